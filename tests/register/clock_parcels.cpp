// Parcels of ledgers whose clock is wrong.
//
//   clock_parcels FOLDER     writes
//     FOLDER/before.parcel, after.parcel   the clock is set back before a backup is restored, so that `clock-noted`
//     stands
//                                          before `ledger-restored`: before the loss, and after it
//     FOLDER/month.parcel, ahead.parcel    work of last month; the same and an event of a clock four years ahead
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

constexpr std::int64_t a_day_ms = 24 * 60 * minute_ms;

std::string packed_now(WardLedger& ward, const std::string& pack) {
  return R"({"kind":"packed","at":")" + format_date_time({ward.clock().now(), 300}) + R"(","by":"ana","pack":")" +
         pack + R"(","set":"DS-1","wrap":"wrapped"})" + "\n";
}

void set_back_and_restored(const std::string& folder) {
  WardLedger ward;
  ward.take(packed("PK-1"));
  const std::string backup = ward.folder().file("stick.backup");
  must(make_backup(ward.ledger(), backup, "2026-10-05T12:00:00+05:00"));
  ward.take(packed("PK-2"));
  send(ward, folder + "/before.parcel");
  ward.clock().turn_to({tests::noon().ms - a_day_ms});
  auto restore = must(Restore::begin(
      {.ledger = ward.path(), .backup = backup, .checkpoints = {}, .erasures = {}, .drives = Drives::own},
      ward.clock()));
  must(restore.finish(nullptr, "noor", "2026-10-04T12:00:00+05:00"));
  ward.reopen();
  send(ward, folder + "/after.parcel");
}

void ahead(const std::string& folder) {
  WardLedger ward;
  const Instant last_month{SystemClock().now().ms - 30 * a_day_ms};
  ward.clock().turn_to(last_month);
  for (int i = 0; i < 6; ++i) ward.take(packed_now(ward, "PK-" + std::to_string(i)));
  send(ward, folder + "/month.parcel");
  ward.clock().turn_to({last_month.ms + 4 * 365 * a_day_ms});
  ward.take(packed_now(ward, "PK-ahead"));
  send(ward, folder + "/ahead.parcel");
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) return std::fprintf(stderr, "clock_parcels FOLDER\n"), 2;
  const std::string folder = argv[1];
  set_back_and_restored(folder);
  ahead(folder);
  return 0;
}
