#include "ledger/links/derivation.h"

#include <future>

#include "ledger/links/resolve.h"
#include "ledger/links/schema.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"

namespace trayproof::links {
namespace {

constexpr std::int64_t entries_at_once = 1000;
constexpr double format = 1;

struct Raw {
  std::int64_t seq = 0;
  std::string bytes;
};

Result<std::vector<Entry>> parse_all(const std::vector<Raw>& portion) {
  std::vector<Entry> entries;
  entries.reserve(portion.size());
  for (const Raw& raw : portion) {
    TRY_LET(Entry entry, read_entry(raw.seq, raw.bytes));
    entries.push_back(std::move(entry));
  }
  return entries;
}

const json::Value* replacement_of(const json::Value& correction) { return correction.find("replacement"); }

}  // namespace

Derivation::Derivation(Statements& statements, const Ledger& ledger, Zone zone, Cut cut, Indexes indexes)
    : statements_(statements),
      ledger_(ledger),
      zone_(zone),
      cut_(cut),
      indexes_(indexes),
      tables_(statements.database(), zone) {}

// In portions: no entry is read while others are being read, and one portion is parsed while the last is taken in.
Result<void> Derivation::take_in(std::int64_t from, std::int64_t until) {
  std::future<Result<std::vector<Entry>>> parsing;
  for (std::int64_t first = from; first <= until || parsing.valid(); first += entries_at_once) {
    std::future<Result<std::vector<Entry>>> next;
    if (first <= until) {
      std::vector<Raw> portion;
      TRY(ledger_.scan(first, std::min(until, first + entries_at_once - 1),
                       [&](const store::EntryView& view) -> Result<void> {
                         portion.push_back({view.seq, std::string(view.bytes)});
                         return {};
                       }));
      const auto policy = portion.size() < entries_at_once / 4 ? std::launch::deferred : std::launch::async;
      next = std::async(policy, handed_over([raw = std::move(portion)] { return parse_all(raw); }));
    }
    if (parsing.valid()) {
      TRY_LET(auto entries, parsing.get());
      for (Entry& entry : entries) TRY(take(std::move(entry)));
    }
    parsing = std::move(next);
  }
  return {};
}

Result<void> Derivation::take(Entry entry) {
  if (entry.kind == "corrected") return take_correction(std::move(entry));
  const std::int64_t seq = entry.seq;
  const bool known_format = entry.fields.number_at("v").value_or(format) == format;
  if (!known_format || events::find_kind(entry.kind) == nullptr) {
    return put_unknown(seq, entry.kind, entry.fields, json::Value::object().set("kind", entry.kind));
  }
  Taking taking = taking_of(entry.fields);
  std::optional<StandingEvent> event = standing_event(seq, seq, std::move(entry.fields), std::move(taking));
  if (!event) return put_unknown(seq, entry.kind, entry.fields, json::Value::object().set("at", json::Value()));
  return put(*event);
}

Result<std::optional<StandingEvent>> Derivation::standing_before(std::int64_t origin, std::int64_t holder,
                                                                 Taking& taking) {
  TRY_LET(const store::Entry first_bytes, ledger_.entry(origin));
  TRY_LET(Entry first, read_entry(origin, first_bytes.bytes));
  taking = taking_of(first.fields);
  if (holder == 0) return standing_event(origin, origin, std::move(first.fields), taking);
  TRY_LET(const store::Entry held_bytes, ledger_.entry(holder));
  TRY_LET(Entry held, read_entry(holder, held_bytes.bytes));
  json::Value* replacement = held.fields.find("replacement");
  if (replacement == nullptr || !replacement->is_object()) return std::optional<StandingEvent>();
  return standing_event(origin, holder, std::move(*replacement), taking);
}

// The correction with the highest seq of a family holds: as entries come in order of seq, each one replaces what stood.
Result<void> Derivation::take_correction(Entry entry) {
  const std::int64_t seq = entry.seq;
  const auto of_number = entry.fields.number_at("of");
  Taking taking = taking_of(entry.fields);
  std::optional<StandingEvent> correction = standing_event(seq, seq, entry.fields, std::move(taking));
  if (!correction || !of_number || *of_number < 1 || *of_number >= static_cast<double>(seq)) {
    return put_unknown(seq, entry.kind, entry.fields, json::Value::object().set("of", json::Value()));
  }
  TRY(tables_.put(*correction));
  const auto of = static_cast<std::int64_t>(*of_number);
  std::int64_t origin = of;
  std::int64_t holder = 0;
  TRY_LET(auto* const family, statements_.at("SELECT origin FROM corrections WHERE seq = ?"));
  family->bind(1, of);
  TRY(first_row(*family, [&](store::Statement& row) { origin = row.integer(0); }));
  TRY_LET(auto* const latest, statements_.at("SELECT max(seq) FROM corrections WHERE origin = ?"));
  latest->bind(1, origin);
  TRY(first_row(*latest, [&](store::Statement& row) { holder = row.integer(0); }));

  Taking first_taking;
  TRY_LET(const std::optional<StandingEvent> before, standing_before(origin, holder, first_taking));
  const json::Value* replacement = replacement_of(entry.fields);
  std::optional<StandingEvent> after;
  if (replacement != nullptr && replacement->is_object()) {
    after = standing_event(origin, seq, *replacement, std::move(first_taking));
    if (!after)
      TRY(put_unknown(seq, replacement->text_at("kind").value_or(""), *replacement,
                      json::Value::object().set("replacement", *replacement)));
  }

  TRY_LET(auto* const older, statements_.at("UPDATE corrections SET holds = 0 WHERE origin = ? AND holds = 1"));
  TRY(older->bind(1, origin).run());
  TRY_LET(auto* const row, statements_.at("INSERT INTO corrections VALUES (?, ?, ?, ?, 1)"));
  row->bind(1, seq).bind(2, of).bind(3, origin);
  if (after)
    row->bind(4, after->kind->name);
  else
    row->bind_null(4);
  TRY(row->run());
  for (const Mention& mention : mentions_of(*correction->kind, correction->fields))
    TRY(put_mention(mention, *correction, seq, true));
  if (before) {
    // The correction concerns whatever the replaced entry named, also where the replacement names it no more.
    for (const Mention& mention : mentions_of(*before->kind, before->fields))
      TRY(put_mention(mention, *correction, seq, false));
    if (!is_cut_off(*before)) TRY(drop(*before));
  }
  if (after) TRY(put(*after));
  return {};
}

// Where the facility stands does not depend on when it was described.
bool Derivation::is_cut_off(const StandingEvent& event) const {
  return cut_.as_of && event.at.instant > *cut_.as_of && event.kind->name != "facility-described";
}

Result<void> Derivation::put(const StandingEvent& event) {
  if (is_cut_off(event)) return {};
  last_at_ = std::max(last_at_, event.at.instant);
  TRY(tables_.put(event));
  if (const auto names = unknown_fields(*event.kind, event.fields); !names.empty()) {
    json::Value list = json::Value::list();
    for (const std::string& name : names) list.push(name);
    TRY(put_unknown(event.seq, event.kind->name, event.fields, json::Value::object().set("fields", std::move(list))));
  }
  for (const Mention& mention : mentions_of(*event.kind, event.fields)) {
    TRY(put_mention(mention, event, event.seq, true));
    touch(event, mention);
  }
  touch_more(event);
  return put_rows(event);
}

Result<void> Derivation::drop(const StandingEvent& event) {
  TRY(tables_.drop(*event.kind, event.origin));
  for (const Mention& mention : mentions_of(*event.kind, event.fields)) {
    replaced_.push_back({std::string(mention.thing), std::string(mention.id), event.origin, event.seq});
    touch(event, mention);
  }
  touch_more(event);
  return {};
}

Result<void> Derivation::drop_replaced() {
  for (const Replaced& one : replaced_) {
    // By the family or by the correction itself: the index finds both at once. A person is named by every second entry,
    // and looking through all of those for each correction took minutes in ten years of a hospital.
    TRY_LET(auto* const mention,
            statements_.at(
                "UPDATE mentions SET holds = 0 WHERE thing = ?1 AND id = ?2 AND origin IN (?3, ?4) AND seq = ?4"));
    TRY(mention->bind(1, one.thing).bind(2, one.id).bind(3, one.origin).bind(4, one.seq).run());
    if (one.thing == "pack") {
      // A load that was found by the pack loses the reading.
      TRY_LET(auto* const found,
              statements_.at("SELECT load FROM indicators WHERE pack = ? AND seq = ? AND load IS NOT NULL"));
      found->bind(1, one.id).bind(2, one.seq);
      TRY(each_row(*found, [&](store::Statement& row) { touched_.loads.emplace(row.text(0)); }));
      for (const char* sql :
           {"DELETE FROM uses WHERE pack = ? AND seq = ?", "DELETE FROM pack_moves WHERE pack = ? AND seq = ?",
            "DELETE FROM indicators WHERE pack = ? AND seq = ?"}) {
        TRY_LET(auto* const row, statements_.at(sql));
        TRY(row->bind(1, one.id).bind(2, one.seq).run());
      }
    }
    if (one.thing == "load") {
      TRY_LET(auto* const indicator, statements_.at("DELETE FROM indicators WHERE load = ? AND seq = ?"));
      TRY(indicator->bind(1, one.id).bind(2, one.seq).run());
    }
  }
  replaced_.clear();
  return {};
}

Result<void> Derivation::resolve() {
  if (indexes_ == Indexes::to_be_made) {
    TRY(statements_.database().run(kind_indexes_sql()));
    TRY(statements_.database().run(layer_two_indexes_sql()));
    TRY(
        statements_.database().run("INSERT OR IGNORE INTO things SELECT thing, replace(replace(replace(lower(id), '0', "
                                   "'o'), '1', 'l'), 'i', 'l'), id "
                                   "FROM (SELECT DISTINCT thing, id FROM mentions)"));
  }
  TRY(drop_replaced());
  return resolve_touched(statements_, touched_, zone_);
}

}  // namespace trayproof::links
