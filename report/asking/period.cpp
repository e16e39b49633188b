#include "report/asking/period.h"

#include "ledger/words/words.h"

namespace trayproof {

AskedPeriod period_of(const std::optional<std::string>& from, const std::optional<std::string>& to, const Zone& zone) {
  AskedPeriod asked;
  if (from) {
    asked.from = parse_moment(*from, zone, DateMeans::start);
    if (!asked.from) asked.misuse = say("gaps.command.unknown-time", {{"option", "--from"}, {"found", *from}});
  }
  if (to) {
    asked.until = parse_moment(*to, zone, DateMeans::end);
    if (!asked.until) asked.misuse = say("gaps.command.unknown-time", {{"option", "--to"}, {"found", *to}});
  }
  if (asked.from && asked.until && *asked.from > *asked.until) {
    asked.misuse = say("gaps.command.backward", {{"from", *from}, {"until", *to}});
  }
  return asked;
}

}  // namespace trayproof
