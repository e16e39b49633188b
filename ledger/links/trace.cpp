#include "ledger/links/trace.h"

#include <algorithm>
#include <map>
#include <tuple>

#include "ledger/people/stolen.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"

namespace trayproof::links {
namespace {

constexpr std::string_view things[] = {"biological", "equipment", "load",   "lot", "pack",
                                       "person",     "procedure", "recall", "set", "solution"};

class Tracer {
 public:
  Tracer(Links& links, Trace& trace) : links_(links), trace_(trace) {}

  Result<void> follow();

 private:
  using Key = std::tuple<std::string, std::string, std::string>;

  void link(std::string_view kind, std::string_view id, std::string_view how, std::int64_t seq) {
    if (seq > 0) seqs_.insert(seq);
    if (kind == trace_.kind && id == trace_.id) return;
    auto& seqs = found_[Key(kind, id, how)];
    if (seq > 0) seqs.insert(seq);
  }

  Result<void> follow_named();
  Result<void> choose_packs_and_loads();
  Result<void> collect(const char* sql, std::set<std::string>& into);
  Result<void> follow_pack(const std::string& pack);
  Result<void> follow_load(const std::string& load);
  Result<void> add_entries_naming(std::string_view thing, const std::string& id);
  Result<void> read_countersignatures();
  Result<void> tell();
  void tell_signing(const json::Value& entry, TraceEvent& event) const;

  Links& links_;
  Trace& trace_;
  std::map<Key, std::set<std::int64_t>> found_;
  std::set<std::int64_t> seqs_;
  std::set<std::string> packs_;
  std::set<std::string> loads_;
  people::KeyBook keys_;
  std::map<std::int64_t, std::vector<people::Countersignature>> countersigned_;  // by the seq that they sign
};

Result<void> Tracer::follow() {
  TRY(follow_named());
  TRY(choose_packs_and_loads());
  // Of what belongs to one pack, procedure or load the whole story is told; elsewhere the entries that tie.
  const bool story = trace_.kind == "pack" || trace_.kind == "procedure" || trace_.kind == "load";
  for (const std::string& pack : packs_) {
    TRY(follow_pack(pack));
    if (story) TRY(add_entries_naming("pack", pack));
  }
  for (const std::string& load : loads_) {
    TRY(follow_load(load));
    if (story && trace_.kind != "load") TRY(add_entries_naming("load", load));
  }
  for (auto& [key, seqs] : found_) {
    trace_.links.push_back({std::get<0>(key), std::get<1>(key), std::get<2>(key), std::move(seqs)});
  }
  return tell();
}

// Every entry that names it, also those that were replaced, and what else they name.
Result<void> Tracer::follow_named() {
  std::set<std::int64_t> naming;
  std::map<std::int64_t, bool> holds;
  TRY_LET(auto* const read, links_.statements().at("SELECT seq, holds FROM mentions WHERE thing = ? AND id = ?"));
  read->bind(1, trace_.kind).bind(2, trace_.id);
  TRY(each_row(*read, [&](store::Statement& row) {
    naming.insert(row.integer(0));
    holds[row.integer(0)] = holds[row.integer(0)] || row.integer(1) == 1;
  }));
  for (const std::int64_t seq : naming) {
    seqs_.insert(seq);
    if (!holds[seq]) continue;
    TRY_LET(const store::Entry bytes, links_.ledger().entry(seq));
    TRY_LET(const Entry entry, read_entry(seq, bytes.bytes));
    const json::Value* fields = &entry.fields;
    if (const json::Value* replacement = entry.fields.find("replacement");
        entry.kind == "corrected" && replacement != nullptr && replacement->is_object()) {
      fields = replacement;
    }
    const std::string_view kind_name = fields->text_at("kind").value_or("");
    const events::Kind* kind = events::find_kind(kind_name);
    if (kind == nullptr) continue;
    for (const Mention& mention : mentions_of(*kind, *fields)) link(mention.thing, mention.id, kind_name, seq);
  }
  return {};
}

Result<void> Tracer::collect(const char* sql, std::set<std::string>& into) {
  TRY_LET(auto* const read, links_.statements().at(sql));
  read->bind(1, trace_.id);
  return each_row(*read, [&](store::Statement& row) {
    if (!row.is_null(0)) into.emplace(row.text(0));
  });
}

Result<void> Tracer::choose_packs_and_loads() {
  const std::string& kind = trace_.kind;
  if (kind == "pack") {
    packs_.insert(trace_.id);
    return collect("SELECT load FROM load_packs WHERE pack = ?", loads_);
  }
  if (kind == "procedure") {
    TRY(collect("SELECT pack FROM uses WHERE procedure = ?", packs_));
    return collect("SELECT load FROM uses WHERE procedure = ?", loads_);
  }
  if (kind == "load") {
    loads_.insert(trace_.id);
    return collect("SELECT pack FROM load_packs WHERE load = ?", packs_);
  }
  if (kind == "set") return collect("SELECT pack FROM packs WHERE \"set\" = ?", packs_);
  if (kind == "solution") {
    TRY(collect("SELECT load FROM loads WHERE solution = ?", loads_));
    TRY(collect("SELECT pack FROM turns WHERE solution = ?", packs_));
    return collect("SELECT h.pack FROM loads l JOIN load_packs h ON h.load = l.load WHERE l.solution = ?", packs_);
  }
  if (kind == "equipment") {
    TRY(collect("SELECT load FROM loads WHERE equipment = ?", loads_));
    TRY(collect("SELECT load FROM curves WHERE logger = ?", loads_));
    return collect("SELECT h.pack FROM loads l JOIN load_packs h ON h.load = l.load WHERE l.equipment = ?", packs_);
  }
  if (kind == "lot") {
    TRY(
        collect("SELECT i.load FROM mentions m JOIN indicators i ON i.origin = m.origin WHERE m.thing = 'lot' AND m.id "
                "= ? AND m.holds = 1",
                loads_));
    TRY(
        collect("SELECT b.load FROM mentions m JOIN biological_placed b ON b.origin = m.origin WHERE m.thing = 'lot' "
                "AND m.id = ? AND m.holds = 1",
                loads_));
    TRY(
        collect("SELECT b.load FROM mentions m JOIN biological_read b ON b.origin = m.origin WHERE m.thing = 'lot' AND "
                "m.id = ? AND m.holds = 1",
                loads_));
    return collect(
        "SELECT p.pack FROM mentions m JOIN packed p ON p.origin = m.origin WHERE m.thing = 'lot' AND m.id = ? AND "
        "m.holds = 1",
        packs_);
  }
  return {};
}

Result<void> Tracer::follow_pack(const std::string& pack) {
  const bool own = trace_.kind == "pack";
  TRY_LET(auto* const packing,
          links_.statements().at(
              "SELECT \"set\", packed_seq, indicator_lot, wrap_lot, outside_lot FROM packs WHERE pack = ?"));
  packing->bind(1, pack);
  TRY(first_row(*packing, [&](store::Statement& row) {
    if (!row.is_null(0)) link("set", row.text(0), "packed", row.integer(1));
    for (const int column : {2, 3, 4}) {
      if (own && !row.is_null(column)) link("lot", row.text(column), "lot", row.integer(1));
    }
  }));
  TRY_LET(auto* const uses, links_.statements().at("SELECT procedure, load, seq FROM uses WHERE pack = ?"));
  uses->bind(1, pack);
  TRY(each_row(*uses, [&](store::Statement& row) {
    // From a load, only the uses that it reached; from a procedure, only its own.
    if (trace_.kind == "load" && row.text(1) != trace_.id) return;
    if (trace_.kind == "procedure" && row.text(0) != trace_.id) return;
    link("procedure", row.text(0), trace_.kind == "load" ? "reached" : "used-in", row.integer(2));
    link("pack", pack, "used-in", row.integer(2));
    if (!row.is_null(1)) link("load", row.text(1), "relevant-load", row.integer(2));
  }));
  if (trace_.kind != "procedure") {
    TRY_LET(auto* const held, links_.statements().at("SELECT load, seq FROM load_packs WHERE pack = ?"));
    held->bind(1, pack);
    TRY(each_row(*held, [&](store::Statement& row) {
      if (trace_.kind == "load" || trace_.kind == "equipment") return;
      link("load", row.text(0), "held-by", row.integer(1));
    }));
  }
  if (trace_.kind == "equipment" || trace_.kind == "lot") return {};
  TRY_LET(auto* const turn, links_.statements().at("SELECT solution, seq FROM turns WHERE pack = ?"));
  turn->bind(1, pack);
  return each_row(*turn, [&](store::Statement& row) {
    if (trace_.kind == "solution" && row.text(0) != trace_.id) return;
    link("pack", pack, "turn", row.integer(1));
    if (!row.is_null(0)) link("solution", row.text(0), "turn", row.integer(1));
  });
}

Result<void> Tracer::follow_load(const std::string& load) {
  TRY_LET(
      auto* const read,
      links_.statements().at("SELECT equipment, solution, start_seq, end_seq, decision_seq FROM loads WHERE load = ?"));
  read->bind(1, load);
  TRY(first_row(*read, [&](store::Statement& row) {
    if (!row.is_null(0)) link("equipment", row.text(0), "ran-in", row.integer(2));
    if (!row.is_null(1)) link("solution", row.text(1), "ran-in", row.integer(2));
    for (const int column : {2, 3, 4}) link("load", load, "ran-in", row.integer(column));
  }));
  if (trace_.kind != "load") return {};
  // Its curves name the load only where they are placed; what was measured, and what of its file could not be read,
  // stands in the entries beside.
  TRY_LET(auto* const curves, links_.statements().at("SELECT curve, judged_seq FROM curves WHERE load = ?"));
  curves->bind(1, load);
  return each_row(*curves, [&](store::Statement& row) {
    seqs_.insert(row.integer(0));
    if (!row.is_null(1)) seqs_.insert(row.integer(1));
  });
}

Result<void> Tracer::add_entries_naming(std::string_view thing, const std::string& id) {
  TRY_LET(auto* const read,
          links_.statements().at("SELECT seq FROM mentions WHERE thing = ? AND id = ? AND holds = 1"));
  read->bind(1, thing).bind(2, id);
  return each_row(*read, [&](store::Statement& row) { seqs_.insert(row.integer(0)); });
}

// Those of the entries that are told; they are entries of the story themselves.
Result<void> Tracer::read_countersignatures() {
  TRY_LET(keys_, links_.ledger().key_book());
  TRY_LET(auto* const read,
          links_.statements().at("SELECT \"of\", seq, key, recorded_ms FROM countersigned ORDER BY seq"));
  TRY(each_row(*read, [&](store::Statement& row) {
    if (!seqs_.contains(row.integer(0))) return;
    countersigned_[row.integer(0)].push_back(
        {.seq = row.integer(1), .key = std::string(row.text(2)), .recorded = Instant{row.integer(3)}});
  }));
  for (const auto& [of, signatures] : countersigned_) {
    for (const people::Countersignature& one : signatures) seqs_.insert(one.seq);
  }
  return {};
}

void Tracer::tell_signing(const json::Value& entry, TraceEvent& event) const {
  if (const people::KnownKey* key = keys_.find(entry.text_at("key").value_or(""))) {
    event.signed_by = key->owner;
    event.signed_by_person = key->is_person();
  }
  if (const people::KnownKey* key = people::stolen_for(keys_, entry))
    event.theft = {.told = key->retired->told, .since = key->retired->since_text};
  const auto signatures = countersigned_.find(event.seq);
  event.second = people::second_of(
      people::seconded(entry),
      signatures == countersigned_.end() ? std::vector<people::Countersignature>{} : signatures->second, keys_);
}

Result<void> Tracer::tell() {
  TRY(read_countersignatures());
  for (const std::int64_t seq : seqs_) {
    TRY_LET(const store::Entry bytes, links_.ledger().entry(seq));
    TRY_LET(const Entry entry, read_entry(seq, bytes.bytes));
    TraceEvent event;
    event.seq = seq;
    event.kind = entry.kind;
    if (const auto at = parse_date_time(entry.fields.text_at("at").value_or(""))) event.at = at->instant;
    event.by = entry.fields.text_at("by").value_or("");
    event.says = sentence_of(links_.ledger(), entry.kind, entry.fields);
    tell_signing(entry.fields, event);
    TRY_LET(auto* const later, links_.statements().at("SELECT max(seq) FROM corrections WHERE origin = "
                                                      "coalesce((SELECT origin FROM corrections WHERE seq = ?1), ?1)"));
    later->bind(1, seq);
    TRY(first_row(*later, [&](store::Statement& row) {
      if (row.integer(0) > seq) event.says += " " + say("trace.replaced", {{"seq", std::to_string(row.integer(0))}});
    }));
    trace_.events.push_back(std::move(event));
  }
  std::ranges::sort(trace_.events, {}, [](const TraceEvent& event) { return std::pair(event.at, event.seq); });
  return {};
}

}  // namespace

Result<std::vector<std::string>> kinds_of(Links& links, std::string_view id) {
  std::vector<std::string> kinds;
  for (const std::string_view thing : things) {
    TRY_LET(auto* const read, links.statements().at("SELECT 1 FROM mentions WHERE thing = ? AND id = ? LIMIT 1"));
    read->bind(1, thing).bind(2, id);
    TRY_LET(const bool named, first_row(*read, [](store::Statement&) {}));
    if (named) kinds.emplace_back(thing);
  }
  return kinds;
}

Result<Trace> trace(Links& links, std::string_view kind, std::string_view id) {
  TRY_LET(const Snapshot snapshot, Snapshot::begin(links.statements()));
  TRY_LET(auto* const read, links.statements().at("SELECT 1 FROM mentions WHERE thing = ? AND id = ? LIMIT 1"));
  read->bind(1, kind).bind(2, id);
  TRY_LET(const bool named, first_row(*read, [](store::Statement&) {}));
  if (!named) return Error(ErrorCode::missing, say("recall.not-held", {{"kind", kind}, {"id", id}}));
  Trace out{std::string(kind), std::string(id), links.zone(), {}, {}};
  TRY(Tracer(links, out).follow());
  return out;
}

std::string how_in_words(const TraceLink& link) {
  if (language() == Language::english) return link.how;
  const std::string kind = "kind." + link.how;
  const std::string tie = "how." + link.how;
  return has_word(kind) ? say(kind) : has_word(tie) ? say(tie) : link.how;
}

json::Value to_json(const Trace& trace) {
  json::Value links = json::Value::list();
  for (const TraceLink& link : trace.links) {
    json::Value seqs = json::Value::list();
    for (const std::int64_t seq : link.seqs) seqs.push(seq);
    links.push(json::Value::object()
                   .set("kind", link.kind)
                   .set("id", link.id)
                   .set("how", link.how)
                   .set("seqs", std::move(seqs)));
  }
  json::Value events = json::Value::list();
  for (const TraceEvent& event : trace.events) {
    json::Value one = json::Value::object();
    one.set("seq", event.seq).set("kind", event.kind).set("at", format_date_time(trace.zone.local(event.at)));
    one.set("by", event.by).set("says", event.says);
    if (event.signed_by_person && event.signed_by != event.by) one.set("entered_by", event.signed_by);
    if (!event.signed_by.empty() && event.signed_by != event.by) one.set("signed_by", event.signed_by);
    if (event.second.second != people::Second::none_needed) one.set("second", people::word(event.second.second));
    if (event.theft)
      one.set("key_stolen", json::Value::object().set("since", event.theft->since).set("told", event.theft->told));
    events.push(std::move(one));
  }
  return json::Value::object()
      .set("subject", json::Value::object().set("kind", trace.kind).set("id", trace.id))
      .set("links", std::move(links))
      .set("events", std::move(events));
}

}  // namespace trayproof::links
