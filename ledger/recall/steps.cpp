#include "ledger/recall/steps.h"

#include <algorithm>

#include "ledger/words/words.h"

namespace trayproof::recall {

Result<std::vector<json::Value>> answering(const Work& work, const AnsweringItems& items) {
  std::vector<json::Value> bodies;
  for (const auto& [item, ids] : {std::pair{Item::pack, &items.packs}, std::pair{Item::procedure, &items.procedures}}) {
    for (const std::string& id : *ids) {
      const bool listed = std::any_of(work.items.begin(), work.items.end(), [&, &kind = item](const WorkItem& one) {
        return one.item == kind && one.id == id;
      });
      if (!listed) return Error(ErrorCode::missing, say("recall.not-listed", {{"recall", work.recall}, {"id", id}}));
      if (!fits(item, items.outcome))
        return Error(ErrorCode::invalid, say(item == Item::pack ? "recall.outcome-pack" : "recall.outcome-procedure",
                                             {{"found", items.outcome}}));
      json::Value body = json::Value::object();
      body.set("kind", "recall-answered").set("recall", work.recall);
      body.set(item == Item::pack ? "pack" : "procedure", id).set("outcome", items.outcome);
      if (items.text) body.set("outcome_text", *items.text);
      bodies.push_back(std::move(body));
    }
  }
  return bodies;
}

Result<json::Value> closing(const Work& work, const Closing& closing) {
  if (!closing.second.empty() && closing.second == closing.by)
    return Error(ErrorCode::invalid, say("recall.one-person", {{"recall", work.recall}, {"by", closing.by}}));
  const std::int64_t open = work.unanswered();
  if (open > 0 && !closing.with_open) {
    std::string names;
    constexpr std::size_t named = 5;
    std::size_t count = 0;
    for (const WorkItem& one : work.items) {
      if (!one.needs_answer || one.gone || one.answered || count++ >= named) continue;
      names += (names.empty() ? "" : ", ") + one.id;
    }
    return Error(ErrorCode::invalid, say("recall.still-open",
                                         {{"recall", work.recall}, {"count", std::to_string(open)}, {"names", names}}));
  }
  json::Value body = json::Value::object();
  body.set("kind", "recall-closed").set("recall", work.recall);
  body.set("conclusion", closing.conclusion).set("second", closing.second);
  return body;
}

}  // namespace trayproof::recall
