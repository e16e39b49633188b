#include "report/desk/awaiting.h"

#include "ledger/links/trace.h"
#include "ledger/text/json.h"

namespace trayproof::desk {
namespace {

constexpr std::int64_t long_ago_ms = 400 * day_ms;

// Those that nobody signed come first: the others await only where no signature counts.
constexpr const char* named = R"(
  WITH named (seq, at_ms) AS (
    SELECT seq, at_ms FROM load_released WHERE second IS NOT NULL AND at_ms >= ?1
    UNION ALL SELECT seq, at_ms FROM finding_answered WHERE second IS NOT NULL AND at_ms >= ?1
    UNION ALL SELECT seq, at_ms FROM corrected WHERE at_ms >= ?1
    UNION ALL SELECT seq, at_ms FROM recall_closed WHERE at_ms >= ?1
    UNION ALL SELECT seq, at_ms FROM sop_confirmed WHERE at_ms >= ?1
    UNION ALL SELECT seq, at_ms FROM patient_erased WHERE at_ms >= ?1
    UNION ALL SELECT seq, at_ms FROM text_removed WHERE at_ms >= ?1
    UNION ALL SELECT seq, at_ms FROM attachment_removed WHERE at_ms >= ?1
    UNION ALL SELECT seq, at_ms FROM ledger_restored WHERE at_ms >= ?1),
  signed ("of") AS (SELECT DISTINCT "of" FROM countersigned)
  SELECT n.seq, n.at_ms FROM named n LEFT JOIN signed s ON s."of" = n.seq
  ORDER BY s."of" IS NOT NULL, n.at_ms DESC, n.seq DESC LIMIT ?2)";

}  // namespace

Instant due_since(Instant now) { return {now.ms - long_ago_ms}; }

Result<std::vector<Awaiting>> awaiting_second(const Ledger& ledger, links::Links& tables, Instant since,
                                              std::int64_t most) {
  std::vector<std::pair<std::int64_t, std::int64_t>> candidates;
  TRY_LET(auto* rows, tables.statements().at(named));
  rows->bind(1, since.ms).bind(2, most);
  TRY(links::each_row(*rows, [&](store::Statement& row) { candidates.emplace_back(row.integer(0), row.integer(1)); }));
  std::vector<Awaiting> out;
  for (const auto& [seq, at] : candidates) {
    TRY_LET(const auto second, ledger.second(seq));
    if (second.second != people::Second::awaiting) continue;
    TRY_LET(const auto entry, ledger.entry(seq));
    TRY_LET(const auto event, json::parse(entry.bytes));
    out.push_back({.seq = seq,
                   .at = {at},
                   .by = std::string(event.text_at("by").value_or("")),
                   .second = std::string(event.text_at("second").value_or("")),
                   .says = links::sentence_of(ledger, event.text_at("kind").value_or(""), event)});
  }
  return out;
}

}  // namespace trayproof::desk
