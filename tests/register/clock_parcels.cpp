// Two parcels of a ledger whose clock is set back before its backup is restored, so that `clock-noted` stands before
// `ledger-restored`: before the loss, and after it.
//
//   clock_parcels FOLDER     writes FOLDER/before.parcel and FOLDER/after.parcel
#include <cstdio>
#include <cstdlib>

#include "ledger/backup.h"
#include "ledger/restore.h"
#include "report/parcel/send.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using tests::WardLedger;

namespace {

template <typename T>
T must(Result<T> result) {
  if (!result.ok()) {
    std::fprintf(stderr, "%s\n", result.error().sentence().c_str());
    std::exit(1);
  }
  return std::move(result).value();
}

void send(WardLedger& ward, const std::string& file) {
  must(parcel::send(ward.ledger(), {.since = 0, .title = "Ward", .zone = "Asia/Karachi", .output = file}));
}

std::string packed(const std::string& pack) {
  return R"({"kind":"packed","at":"2026-10-05T08:10+05:00","by":"ana","pack":")" + pack +
         R"(","set":"DS-1","wrap":"wrapped"})" + "\n";
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) return std::fprintf(stderr, "clock_parcels FOLDER\n"), 2;
  const std::string folder = argv[1];
  WardLedger ward;
  ward.take(packed("PK-1"));
  const std::string backup = ward.folder().file("stick.backup");
  must(make_backup(ward.ledger(), backup, "2026-10-05T12:00:00+05:00"));
  ward.take(packed("PK-2"));
  send(ward, folder + "/before.parcel");
  constexpr std::int64_t a_day_ms = 24 * 60 * minute_ms;
  ward.clock().turn_to({tests::noon().ms - a_day_ms});
  auto restore = must(Restore::begin(
      {.ledger = ward.path(), .backup = backup, .checkpoints = {}, .erasures = {}, .drives = Drives::own},
      ward.clock()));
  must(restore.finish(nullptr, "noor", "2026-10-04T12:00:00+05:00"));
  ward.reopen();
  send(ward, folder + "/after.parcel");
  return 0;
}
