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

// What each correction names that was made after that seq: by itself, and in what it replaced.
Result<std::map<std::int64_t, Names>> named_by_corrections(store::Database& tables, std::int64_t after) {
  std::map<std::int64_t, Names> out;
  TRY_LET(auto rows,
          tables.prepare("SELECT seq, id FROM mentions WHERE (kind = 'corrected' OR origin <> seq) AND seq > ?"));
  rows.bind(1, after);
  for (;;) {
    TRY_LET(const bool more, rows.step());
    if (!more) return out;
    out[rows.integer(0)].insert(std::string(rows.text(1)));
  }
}

// The entries of corrections after that seq, whenever they were made.
Result<std::vector<std::int64_t>> corrections_after(store::Database& tables, std::int64_t after) {
  std::vector<std::int64_t> out;
  TRY_LET(auto rows, tables.prepare("SELECT seq FROM corrected WHERE seq > ? ORDER BY seq"));
  rows.bind(1, after);
  for (;;) {
    TRY_LET(const bool more, rows.step());
    if (!more) return out;
    out.push_back(rows.integer(0));
  }
}

bool shares(const Names& a, const Names& b) {
  return std::any_of(a.begin(), a.end(), [&](const std::string& one) { return b.contains(one); });
}

class Changes {
 public:
  Changes(store::Database& tables, Facts& facts, const Near& near, const RecallAgain& again)
      : tables_(tables), facts_(facts), near_(near), again_(again) {
    for (const Record& one : facts.of("corrected")) at_hand_[one.seq] = &one;
  }

  // What the period asks: of a recall that was opened in it everything, of another one the corrections made in it.
  Result<void> look(const std::string& id, const Recall& recall) {
    const Instant opened = recall.opened->at.at;
    const bool inside = near_.is_all() || (opened >= near_.from() && opened <= near_.until());
    const auto known_at = static_cast<std::int64_t>(recall.opened->number("known_at").value_or(0));
    TRY_LET(const auto later, corrections_after(tables_, known_at));
    const bool asked =
        inside || std::any_of(later.begin(), later.end(), [&](std::int64_t seq) { return at_hand_.contains(seq); });
    if (!asked) return {};
    if (later.empty()) {
      put(id, nullptr, Told::no);
      return {};
    }
    const auto before = answer(*recall.opened, known_at);
    const auto now = answer(*recall.opened, later.back());
    if (!before || !now) {
      put(id, nullptr, Told::open);
      return {};
    }
    Names names;
    collect(*before, names);
    collect(*now, names);
    collect(*recall.opened->value("subject"), names);
    bool any = false;
    if (list_of(*before) != list_of(*now)) {
      TRY_LET(named_, named_by_corrections(tables_, known_at));
      for (const std::int64_t seq : later) {
        if (inside || at_hand_.contains(seq)) any = look_at(id, *recall.opened, seq, names) || any;
      }
    }
    if (!any) put(id, nullptr, Told::no);
    return {};
  }

 private:
  std::optional<json::Value> answer(const Record& opened, std::int64_t known_at) {
    return again_ ? again_(opened, known_at) : std::nullopt;
  }

  // Whether it changed the list, or might have.
  bool look_at(const std::string& id, const Record& opened, std::int64_t seq, const Names& names) {
    const auto named = named_.find(seq);
    if (named == named_.end() || !shares(named->second, names)) return false;
    const auto before = answer(opened, seq - 1);
    const auto after = answer(opened, seq);
    const bool known = before && after;
    if (known && list_of(*before) == list_of(*after)) return false;
    const auto correction = at_hand_.find(seq);
    if (!known || correction != at_hand_.end())
      put(id, known ? correction->second : nullptr, known ? Told::yes : Told::open);
    return true;
  }

  void put(const std::string& id, const Record* correction, Told changed) {
    facts_.recall_changes.push_back({id, correction, changed});
  }

  store::Database& tables_;
  Facts& facts_;
  const Near& near_;
  const RecallAgain& again_;
  std::map<std::int64_t, const Record*> at_hand_;  // corrections, by seq
  std::map<std::int64_t, Names> named_;
};

}  // namespace

Result<void> read_recall_changes(store::Database& tables, Facts& facts, const Near& near, const RecallAgain& again) {
  Changes changes(tables, facts, near, again);
  for (const auto& [id, recall] : facts.recalls) {
    if (recall.opened != nullptr && !recall.drill) TRY(changes.look(id, recall));
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
