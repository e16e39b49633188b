#include "report/command/period.h"

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/words/words.h"

namespace trayproof::command {

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
    asked.misuse = say("gaps.command.backward", {{"from", *from}, {"to", *to}});
  }
  return asked;
}

Result<std::string> sop_text(const std::string& file) {
  TRY_LET(const auto bytes, read_file(file, limits::toml_bytes));
  std::string text(as_text(bytes));
  const auto sop = sop::read(text);
  if (!sop.ok()) return Error(sop.error()).during(file);
  return text;
}

std::string short_time(const Zone& zone, Instant at) {
  const std::string whole = format_date_time(zone.local(at));
  return whole.substr(0, 10) + " " + whole.substr(11, 5);
}

}  // namespace trayproof::command
