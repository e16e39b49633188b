#include "report/gaps/recall_changes.h"

#include <algorithm>
#include <set>

#include "ledger/recall/recall.h"

namespace trayproof::gaps {
namespace {

using Names = std::set<std::string, std::less<>>;

// The packs and procedures of an answer; a pack and a procedure of one id are told apart by the list they stand in.
Names list_of(const json::Value& answer) {
  Names out;
  for (const auto& [list, id] : {std::pair<std::string_view, std::string_view>{"packs", "pack"},
                                 {"procedures", "procedure"},
                                 {"handled_procedures", "procedure"}}) {
    const json::Value* items = answer.find(list);
    if (items == nullptr || !items->is_list()) continue;
    for (const json::Value& item : items->items())
      out.insert(std::string(list) + " " + std::string(item.text_at(id).value_or("")));
  }
  return out;
}

// Every id that an answer or a subject names.
void collect(const json::Value& value, Names& out) {
  if (value.is_text()) out.insert(value.text());
  if (value.is_list()) {
    for (const json::Value& item : value.items()) collect(item, out);
  }
  if (value.is_object()) {
    for (const json::Member& member : value.members()) collect(member.value, out);
  }
}

Result<std::map<std::int64_t, Names>> named_by_corrections(store::Database& tables) {
  std::map<std::int64_t, Names> out;
  TRY_LET(auto rows, tables.prepare("SELECT m.seq, m.id FROM corrections c JOIN mentions m ON m.seq = c.seq"));
  for (;;) {
    TRY_LET(const bool more, rows.step());
    if (!more) return out;
    out[rows.integer(0)].insert(std::string(rows.text(1)));
  }
}

bool shares(const Names& a, const Names& b) {
  return std::any_of(a.begin(), a.end(), [&](const std::string& one) { return b.contains(one); });
}

class Changes {
 public:
  Changes(Facts& facts, const RecallAgain& again, const std::map<std::int64_t, Names>& named)
      : facts_(facts), again_(again), named_(named) {}

  void look(const std::string& id, const Recall& recall) {
    std::vector<const Record*> later;
    const auto known_at = static_cast<std::int64_t>(recall.opened->number("known_at").value_or(0));
    for (const Record& one : facts_.of("corrected")) {
      if (one.seq > known_at) later.push_back(&one);
    }
    std::sort(later.begin(), later.end(), [](const Record* a, const Record* b) { return a->seq < b->seq; });
    if (later.empty()) return put(id, nullptr, Told::no);
    const auto before = answer(*recall.opened, known_at);
    const auto now = answer(*recall.opened, later.back()->seq);
    if (!before || !now) return put(id, nullptr, Told::open);
    Names names;
    collect(*before, names);
    collect(*now, names);
    collect(*recall.opened->value("subject"), names);
    bool any = false;
    if (list_of(*before) != list_of(*now)) {
      for (const Record* one : later) any = look_at(id, *recall.opened, *one, names) || any;
    }
    if (!any) put(id, nullptr, Told::no);
  }

 private:
  std::optional<json::Value> answer(const Record& opened, std::int64_t known_at) {
    return again_ ? again_(opened, known_at) : std::nullopt;
  }

  // Whether it changed the list, or might have.
  bool look_at(const std::string& id, const Record& opened, const Record& correction, const Names& names) {
    const auto named = named_.find(correction.seq);
    if (named == named_.end() || !shares(named->second, names)) return false;
    const auto before = answer(opened, correction.seq - 1);
    const auto after = answer(opened, correction.seq);
    const bool known = before && after;
    if (known && list_of(*before) == list_of(*after)) return false;
    put(id, known ? &correction : nullptr, known ? Told::yes : Told::open);
    return true;
  }

  void put(const std::string& id, const Record* correction, Told changed) {
    facts_.recall_changes.push_back({id, correction, changed});
  }

  Facts& facts_;
  const RecallAgain& again_;
  const std::map<std::int64_t, Names>& named_;
};

}  // namespace

Result<void> read_recall_changes(store::Database& tables, Facts& facts, const RecallAgain& again) {
  TRY_LET(const auto named, named_by_corrections(tables));
  Changes changes(facts, again, named);
  for (const auto& [id, recall] : facts.recalls) {
    if (recall.opened != nullptr && !recall.drill) changes.look(id, recall);
  }
  return {};
}

RecallAgain recall_again(const Ledger& ledger, links::Links& tables) {
  return [&ledger, &tables](const Record& opened, std::int64_t known_at) -> std::optional<json::Value> {
    auto request = recall::request_of(opened.text("because"), *opened.value("subject"));
    const auto as_of = opened.time("as_of");
    const auto editions = ledger.editions(known_at);
    if (!request.ok() || !as_of || !editions.ok()) return std::nullopt;
    request.value().as_of = as_of->at;
    request.value().known_at = known_at;
    // A subject that the ledger did not hold yet has no list; the rule says then that it cannot tell.
    const auto answer = recall::answer(request.value(), tables, editions.value());
    if (!answer.ok()) return std::nullopt;
    return recall::to_json(answer.value(), recall::Timing::left_out);
  };
}

}  // namespace trayproof::gaps
