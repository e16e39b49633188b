#include "report/gaps/recall_work.h"

#include "ledger/recall/work.h"

namespace trayproof::gaps {
namespace {

// A recall that was closed, and could not be open too long any more, before the period says nothing of it.
bool is_asked(const Facts& facts, const Near& near, const Recall& recall) {
  if (near.is_all()) return true;
  const auto deadline = recall_deadline(facts, recall);
  const bool over = recall.closed != nullptr && recall.closed->at.at < near.from();
  const bool settled = !deadline || deadline->at < near.from();
  return recall.opened->at.at <= near.until() && !(over && settled && recall.opened->at.at < near.from());
}

}  // namespace

std::optional<When> recall_deadline(const Facts& facts, const Recall& recall) {
  const auto limit = facts.sop_at(recall.opened->at).recall_days_max;
  return limit ? std::optional(after(recall.opened->at, *limit, day_ms)) : std::nullopt;
}

void read_recall_work(Facts& facts, const Near& near, const RecallWork& work) {
  for (auto& [id, recall] : facts.recalls) {
    if (work && recall.opened != nullptr && is_asked(facts, near, recall)) recall.asks = work(id);
  }
}

RecallWork recall_work(const Ledger& ledger, links::Links& tables) {
  return [&ledger, &tables](const std::string& recall) -> std::optional<RecallAsks> {
    const auto editions = ledger.editions(tables.known_at());
    if (!editions.ok()) return std::nullopt;
    // Without the kept answer nobody can tell what was on the list; the rule says then what the counts tell.
    const auto now = recall::work_of(recall, ledger, tables, editions.value());
    if (!now.ok()) return std::nullopt;
    RecallAsks out;
    out.open_again = now.value().state == recall::WorkState::reopened;
    for (const recall::WorkItem& one : now.value().items) {
      const bool found = one.answered && recall::is_found(one.answered->outcome);
      if (one.item == recall::Item::pack && one.needs_answer && !one.gone && !found) out.to_find.push_back(one.entry);
    }
    return out;
  };
}

}  // namespace trayproof::gaps
