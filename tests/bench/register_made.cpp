#include "tests/bench/register_made.h"

#include "ledger/ledger.h"
#include "ledger/sop/default.h"
#include "report/parcel/send.h"
#include "tests/bench/floor.h"

namespace trayproof::bench {

MadeParcel make_parcel(const std::string& folder, const std::string& name, std::int64_t events, std::int64_t portion) {
  SystemClock clock;
  MadeParcel made;
  made.parcel = folder + "/" + name + ".parcel";
  const double begun = now_s();
  auto ledger = must(Ledger::create(
      folder + "/" + name,
      {.title = "Bench " + name, .zone = "UTC", .altitude_m = {}, .sop_toml = std::string(sop::default_sop())}, clock));
  HospitalLines lines(60'000);
  std::int64_t taken = 0;
  while (taken < events) {
    const auto done = must(ledger.append_lines(lines.next(std::min(portion, events - taken)), {}));
    if (!done.refusals.empty()) {
      std::fprintf(stderr, "%s\n", done.refusals.front().why.c_str());
      std::exit(1);
    }
    taken += done.taken;
  }
  made.making_s = now_s() - begun;
  const double sending = now_s();
  const auto sent =
      must(parcel::send(ledger, {.since = 0, .title = "Bench " + name, .zone = "UTC", .output = made.parcel}));
  made.sending_s = now_s() - sending;
  made.ledger = ledger.ledger_id();
  made.events = sent.size;
  return made;
}

}  // namespace trayproof::bench
