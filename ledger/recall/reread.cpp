// The entries that an answer rests on, read again from the ledger and compared with what the answer says of them.
#include <algorithm>
#include <map>
#include <set>
#include <unordered_map>

#include "ledger/log/chain.h"
#include "ledger/recall/recall.h"
#include "ledger/words/words.h"

namespace trayproof::recall {
namespace {

using links::each_row;
using links::first_row;

// One effective event as its entry gives it: the entry's own fields, or those of the replacement it carries.
class Reread {
 public:
  Reread(Answer& answer, links::Links& links) : answer_(answer), links_(links) {}

  Result<void> everything() {
    for (const AffectedLoad& load : answer_.loads) TRY(check_load(load));
    for (const AffectedProcedure& procedure : answer_.procedures) {
      TRY(check_procedure(procedure));
      for (const AffectedUse& use : procedure.uses) used_.insert(use.pack);
    }
    for (const AffectedPack& pack : answer_.packs) TRY(check_pack(pack));
    for (const AffectedProcedure& procedure : answer_.handled_procedures) TRY(check_procedure(procedure));
    for (const auto* bound : {&answer_.after, &answer_.before}) {
      if (*bound) TRY(check_bound(**bound));
    }
    answer_.cited.assign(cited_.begin(), cited_.end());
    return {};
  }

 private:
  struct Kept {
    json::Value fields;
    std::string kind;
    Instant at;
  };

  static Error differs(std::int64_t seq, std::string_view what) {
    return {ErrorCode::corrupt, say("recall.differs", {{"seq", std::to_string(seq)}, {"what", what}})};
  }

  Result<const Kept*> event(std::int64_t seq) {
    const auto place = kept_.find(seq);
    if (place != kept_.end()) return &place->second;
    auto read = links_.ledger().entry(seq);
    if (!read.ok()) {
      if (read.error().code() != ErrorCode::missing) return std::move(read).error();
      return differs(seq, "");
    }
    const store::Entry entry = std::move(read).value();
    if (log::leaf_hash(entry.bytes) != entry.hash) return differs(seq, "hash");
    TRY_LET(links::Entry parsed, links::read_entry(seq, entry.bytes));
    Kept kept;
    kept.fields = std::move(parsed.fields);
    if (parsed.kind == "corrected") {
      json::Value* replacement = kept.fields.find("replacement");
      if (replacement == nullptr || !replacement->is_object()) return differs(seq, "replacement");
      json::Value inside = std::move(*replacement);
      kept.fields = std::move(inside);
    }
    kept.kind = kept.fields.text_at("kind").value_or("");
    const auto at = parse_date_time(kept.fields.text_at("at").value_or(""));
    if (!at) return differs(seq, "at");
    kept.at = at->instant;
    cited_.insert(seq);
    return &kept_.emplace(seq, std::move(kept)).first->second;
  }

  static bool is(const Kept& event, std::string_view field, std::string_view value) {
    return event.fields.text_at(field) == value;
  }
  static bool is_or_absent(const Kept& event, std::string_view field, const std::optional<std::string>& value) {
    const auto found = event.fields.text_at(field);
    return value ? found == *value : !found;
  }
  static bool lists(const Kept& event, std::string_view field, std::string_view id) {
    const json::Value* list = event.fields.find(field);
    if (list == nullptr || !list->is_list()) return false;
    return std::ranges::any_of(list->items(),
                               [&](const json::Value& one) { return one.is_text() && one.text() == id; });
  }

  Result<void> check_load(const AffectedLoad& load);
  Result<void> check_membership(const AffectedLoad& load);
  Result<void> check_pack(const AffectedPack& pack);
  Result<void> check_standing(const AffectedPack& pack);
  Result<void> check_procedure(const AffectedProcedure& procedure);
  Result<void> check_uses(const AffectedProcedure& procedure, const Kept& done);
  Result<void> check_bound(const Bound& bound);

  Answer& answer_;
  links::Links& links_;
  std::unordered_map<std::int64_t, Kept> kept_;
  std::set<std::int64_t> cited_;
  std::set<std::string_view> used_;
  std::unordered_map<std::string, std::set<std::string>> members_;  // of each affected load, as the entries have it
};

Result<void> Reread::check_load(const AffectedLoad& load) {
  if (load.start_seq) {
    TRY_LET(const Kept* start, event(*load.start_seq));
    if (start->kind != "load-started" || !is(*start, "load", load.load)) return differs(*load.start_seq, "load");
    if (start->at.ms != load.started_ms) return differs(*load.start_seq, "at");
    if (!is_or_absent(*start, "equipment", load.equipment)) return differs(*load.start_seq, "equipment");
  }
  if (load.end_seq) {
    TRY_LET(const Kept* end, event(*load.end_seq));
    if (end->kind != "load-ended" || !is(*end, "load", load.load)) return differs(*load.end_seq, "load");
    if (end->at.ms != load.ended_ms) return differs(*load.end_seq, "at");
  }
  if (load.decision_seq) {
    TRY_LET(const Kept* decision, event(*load.decision_seq));
    const bool released = decision->kind == "load-released";
    if ((!released && decision->kind != "load-rejected") || !is(*decision, "load", load.load))
      return differs(*load.decision_seq, "load");
    if (released != load.released_ms.has_value() || (released && decision->at.ms != load.released_ms))
      return differs(*load.decision_seq, "at");
  }
  return check_membership(load);
}

// Works out once more from the entries which packs the load holds, and compares with the table.
Result<void> Reread::check_membership(const AffectedLoad& load) {
  std::set<std::string>& members = members_[load.load];
  const auto each_listed = [](const Kept& event, std::string_view field, const auto& visit) {
    const json::Value* list = event.fields.find(field);
    if (list == nullptr || !list->is_list()) return;
    for (const json::Value& one : list->items()) {
      if (one.is_text()) visit(one.text());
    }
  };
  std::int64_t last_seq = load.start_seq.value_or(0);
  if (load.start_seq) {
    TRY_LET(const Kept* start, event(*load.start_seq));
    each_listed(*start, "packs", [&](const std::string& pack) { members.insert(pack); });
  }
  std::vector<std::int64_t> changes;
  TRY_LET(auto* const read,
          links_.statements().at("SELECT seq FROM load_changed WHERE load = ? ORDER BY at_ms, origin"));
  read->bind(1, load.load);
  TRY(each_row(*read, [&](store::Statement& row) { changes.push_back(row.integer(0)); }));
  for (const std::int64_t seq : changes) {
    TRY_LET(const Kept* change, event(seq));
    if (change->kind != "load-changed" || !is(*change, "load", load.load)) return differs(seq, "load");
    each_listed(*change, "removed", [&](const std::string& pack) { members.erase(pack); });
    each_listed(*change, "added", [&](const std::string& pack) { members.insert(pack); });
    last_seq = seq;
  }
  std::set<std::string> held;
  TRY_LET(auto* const rows, links_.statements().at("SELECT pack FROM load_packs WHERE load = ?"));
  rows->bind(1, load.load);
  TRY(each_row(*rows, [&](store::Statement& row) { held.emplace(row.text(0)); }));
  if (held != members) return differs(last_seq, "packs");
  return {};
}

Result<void> Reread::check_pack(const AffectedPack& pack) {
  if (pack.load) {
    const auto members = members_.find(*pack.load);
    if (members == members_.end() || !members->second.contains(pack.pack)) return differs(0, pack.pack);
  }
  std::optional<std::int64_t> packed_seq;
  TRY_LET(auto* const read, links_.statements().at("SELECT packed_seq FROM packs WHERE pack = ?"));
  read->bind(1, pack.pack);
  TRY(first_row(*read, [&](store::Statement& row) { packed_seq = row.maybe_integer(0); }));
  if (packed_seq.has_value() != pack.packed_ms.has_value()) return differs(packed_seq.value_or(0), pack.pack);
  if (packed_seq) {
    TRY_LET(const Kept* packed, event(*packed_seq));
    if ((packed->kind != "packed" && packed->kind != "pack-received") || !is(*packed, "pack", pack.pack))
      return differs(*packed_seq, "pack");
    if (packed->at.ms != pack.packed_ms) return differs(*packed_seq, "at");
    if (!is_or_absent(*packed, "set", pack.set)) return differs(*packed_seq, "set");
  }
  return check_standing(pack);
}

Result<void> Reread::check_standing(const AffectedPack& pack) {
  // A pack is used when a procedure of the answer names it, and only then.
  if ((pack.standing == Standing::used) != used_.contains(pack.pack))
    return differs(pack.standing_seq.value_or(0), pack.pack);
  if (!pack.standing_seq) return {};
  const std::int64_t seq = *pack.standing_seq;
  TRY_LET(const Kept* decided, event(seq));
  const std::string& kind = decided->kind;
  const bool returned = kind == "pack-returned";
  bool fits = false;
  switch (pack.standing) {
    case Standing::used:
      fits = kind == "procedure-done" && lists(*decided, "packs", pack.pack);
      break;
    case Standing::opened:
      fits = kind == "pack-opened" || (returned && is(*decided, "state", "opened"));
      break;
    case Standing::withdrawn:
      fits = kind == "pack-withdrawn";
      break;
    case Standing::issued:
      fits = kind == "pack-issued";
      break;
    case Standing::shelf:
      fits = kind == "pack-stored" || (returned && is(*decided, "state", "closed"));
      break;
    case Standing::reprocessed:
    case Standing::held:
    case Standing::handled:
      break;
  }
  if (!fits || (pack.standing != Standing::used && !is(*decided, "pack", pack.pack))) return differs(seq, pack.pack);
  if (!is_or_absent(*decided, "place", pack.place)) return differs(seq, "place");
  return {};
}

Result<void> Reread::check_procedure(const AffectedProcedure& procedure) {
  TRY_LET(const Kept* done, event(procedure.seq));
  if (done->kind != "procedure-done" || !is(*done, "procedure", procedure.procedure))
    return differs(procedure.seq, "procedure");
  if (done->at.ms != procedure.at_ms) return differs(procedure.seq, "at");
  if (!is_or_absent(*done, "sort", procedure.sort) || !is_or_absent(*done, "place", procedure.place))
    return differs(procedure.seq, "place");
  if (!is_or_absent(*done, "patient", procedure.patient)) return differs(procedure.seq, "patient");
  const json::Value* newborns = done->fields.find("newborns");
  const std::size_t born = newborns != nullptr && newborns->is_list() ? newborns->items().size() : 0;
  if (born != procedure.newborns.size()) return differs(procedure.seq, "newborns");
  for (const std::string& newborn : procedure.newborns) {
    if (!lists(*done, "newborns", newborn)) return differs(procedure.seq, "newborns");
  }
  const auto without = done->fields.number_at("newborns_without_number").value_or(0);
  if (without != static_cast<double>(procedure.newborns_without_number))
    return differs(procedure.seq, "newborns_without_number");
  return check_uses(procedure, *done);
}

// The procedure names the pack, and the load that is said to be relevant holds it and could have ended by then.
Result<void> Reread::check_uses(const AffectedProcedure& procedure, const Kept& done) {
  const auto precision =
      parse_precision(done.fields.text_at("precision").value_or("second")).value_or(Precision::second);
  const auto time =
      parse_date_time(done.fields.text_at(done.fields.find("until") != nullptr ? "until" : "at").value_or(""));
  if (!time) return differs(procedure.seq, "until");
  const Instant latest = span_of(*time, precision).latest;
  for (const AffectedUse& use : procedure.uses) {
    if (!lists(done, "packs", use.pack)) return differs(procedure.seq, "packs");
    if (!use.load) continue;
    const auto members = members_.find(*use.load);
    if (members == members_.end() || !members->second.contains(use.pack)) return differs(procedure.seq, use.pack);
    TRY_LET(auto* const read, links_.statements().at("SELECT end_seq, start_seq FROM loads WHERE load = ?"));
    read->bind(1, *use.load);
    std::optional<std::int64_t> end_seq;
    TRY(first_row(
        *read, [&](store::Statement& row) { end_seq = row.is_null(0) ? row.maybe_integer(1) : row.maybe_integer(0); }));
    if (!end_seq) return differs(procedure.seq, use.pack);
    TRY_LET(const Kept* end, event(*end_seq));
    const auto end_precision =
        parse_precision(end->fields.text_at("precision").value_or("second")).value_or(Precision::second);
    const auto end_time = parse_date_time(end->fields.text_at("at").value_or(""));
    if (!end_time || span_of(*end_time, end_precision).earliest > latest) return differs(*end_seq, "at");
  }
  return {};
}

Result<void> Reread::check_bound(const Bound& bound) {
  for (const std::int64_t seq : bound.seqs) {
    TRY_LET(const Kept* cited, event(seq));
    if (cited->kind == "biological-read") {
      const bool fits = bound.load && is(*cited, "load", *bound.load) && is(*cited, "result", "negative") &&
                        is(*cited, "control", "growth");
      if (!fits) return differs(seq, "result");
    } else if (cited->kind == "equipment-checked") {
      if (!is(*cited, "result", "pass") || cited->at != bound.at) return differs(seq, "result");
    } else if (cited->kind != "load-started" || !bound.load || !is(*cited, "load", *bound.load) ||
               cited->at != bound.at) {
      return differs(seq, "load");
    }
  }
  return {};
}

}  // namespace

Result<void> reread(Answer& answer, links::Links& links) { return Reread(answer, links).everything(); }

}  // namespace trayproof::recall
