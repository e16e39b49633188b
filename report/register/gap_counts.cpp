#include "report/register/gap_counts.h"

#include <algorithm>

#include "report/gaps/find.h"

namespace trayproof::registry {
namespace {

constexpr std::int64_t period_days = 365;

}  // namespace

Result<void> put_gap_counts(Connection& connection, const std::string& ledger, links::Links& tables,
                            sop::Editions editions, Instant now) {
  TRY(connection.ask("DELETE FROM derived.gap_counts WHERE ledger = $1", Parameters().add(ledger)));
  if (editions.empty()) return {};
  // A clock that went wrong may have put an event years ahead: the year before that would hold nothing.
  const Instant until{std::min(tables.last_at().ms, now.ms)};
  const Instant from{until.ms - period_days * day_ms};
  const gaps::Question question{.from = from, .until = until, .rule = {}, .severity = {}, .what_if = {}};
  // The lists of recalls are attachments, which do not travel: rules that need them cannot tell here.
  TRY_LET(const auto found, gaps::find_gaps(tables.database(), std::move(editions), until, question));
  TRY_LET(auto copy,
          CopyIn::begin(connection,
                        "derived.gap_counts (ledger, rule, severity, subjects, gaps, cannot_tell, from_time, "
                        "until_time)",
                        8));
  for (const gaps::Count& one : found.looked_at) {
    if (one.subjects == 0) continue;
    copy.row();
    copy.add(std::string_view(ledger));
    copy.add(one.rule->id);
    copy.add(word(one.rule->severity));
    copy.add_bigint(one.subjects);
    copy.add_bigint(one.gaps);
    copy.add_bigint(one.cannot_tell);
    copy.add_time(from);
    copy.add_time(until);
    TRY(copy.flush_some());
  }
  return copy.finish();
}

}  // namespace trayproof::registry
