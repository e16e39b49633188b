#include "tests/reference/effective_events.h"

#include <array>
#include <map>
#include <utility>

#include "ledger/base/check.h"

namespace trayproof::reference {
namespace {

Happening happening_of(std::int64_t seq, const json::Value& event) {
  Happening happening;
  happening.seq = seq;
  happening.kind = std::string(event.text_at("kind").value_or(""));
  // "`precision`: `second` (default), `minute`, `hour`, `day`"
  const auto precision = event.text_at("precision");
  happening.precision = precision ? parse_precision(*precision).value_or(Precision::second) : Precision::second;
  happening.event = event;
  const auto at = happening.moment("at");
  CHECK(at.has_value());
  happening.at = *at;
  return happening;
}

// "`of` (the original's seq, or its latest correction's)"; "all corrections that reach the same original are one
// family".
std::int64_t original_of(const std::vector<Entry>& entries, std::int64_t seq) {
  for (const Entry& entry : entries) {
    if (entry.seq != seq || entry.event.text_at("kind") != "corrected") continue;
    return original_of(entries, static_cast<std::int64_t>(*entry.event.number_at("of")));
  }
  return seq;
}

struct Field {
  std::string_view thing;
  std::string_view name;
};

// "Ids are typed by their field name".
constexpr std::array<Field, 17> id_fields = {{{"load", "load"},
                                              {"load", "loads"},
                                              {"pack", "pack"},
                                              {"pack", "packs"},
                                              {"pack", "added"},
                                              {"pack", "removed"},
                                              {"equipment", "equipment"},
                                              {"equipment", "logger"},
                                              {"solution", "solution"},
                                              {"procedure", "procedure"},
                                              {"set", "set"},
                                              {"lot", "lot"},
                                              {"lot", "indicator_lot"},
                                              {"lot", "wrap_lot"},
                                              {"lot", "detergent_lot"},
                                              {"lot", "disposable_lot"},
                                              {"recall", "recall"}}};

void collect_names(const json::Value& value, std::string_view thing, std::set<std::string>& ids) {
  if (value.is_list()) {
    for (const json::Value& item : value.items()) collect_names(item, thing, ids);
    return;
  }
  if (!value.is_object()) return;
  if (value.text_at("kind") == thing && value.text_at("id")) ids.emplace(*value.text_at("id"));
  for (const json::Member& member : value.members()) {
    // These two hold words about fields, under the fields' own names.
    if (member.name == "unknown" || member.name == "as_read") continue;
    for (const Field& field : id_fields) {
      if (field.thing != thing || field.name != member.name) continue;
      if (member.value.is_text()) ids.insert(member.value.text());
      if (!member.value.is_list()) continue;
      for (const json::Value& item : member.value.items()) {
        if (item.is_text()) ids.insert(item.text());
      }
    }
    collect_names(member.value, thing, ids);
  }
}

}  // namespace

std::optional<std::string> Happening::text(std::string_view field) const {
  const auto found = event.text_at(field);
  if (!found) return std::nullopt;
  return std::string(*found);
}

std::optional<double> Happening::number(std::string_view field) const { return event.number_at(field); }

bool Happening::yes(std::string_view field) const { return event.bool_at(field).value_or(false); }

std::vector<std::string> Happening::texts(std::string_view field) const {
  std::vector<std::string> found;
  const json::Value* list = event.find(field);
  if (list == nullptr || !list->is_list()) return found;
  for (const json::Value& item : list->items()) {
    if (item.is_text()) found.push_back(item.text());
  }
  return found;
}

std::optional<Moment> Happening::moment(std::string_view field) const {
  const auto found = event.text_at(field);
  if (!found) return std::nullopt;
  const auto time = parse_date_time(*found);
  if (!time) return std::nullopt;
  return Moment{*time, span_of(*time, precision)};
}

Happenings known_events(const std::vector<Entry>& entries, std::int64_t known_at) {
  // "`--known-at SEQ`: using only events up to SEQ."
  std::vector<Entry> known;
  for (const Entry& entry : entries) {
    if (entry.seq <= known_at) known.push_back(entry);
  }
  // "All corrections that reach the same original are one family, and the one with the highest seq holds."
  std::map<std::int64_t, const Entry*> holding;
  for (const Entry& entry : known) {
    if (entry.event.text_at("kind") != "corrected") continue;
    const Entry*& latest = holding[original_of(known, entry.seq)];
    if (latest == nullptr || latest->seq < entry.seq) latest = &entry;
  }
  Happenings happenings;
  for (const Entry& entry : known) {
    if (entry.event.text_at("kind") == "corrected") continue;
    const auto correction = holding.find(entry.seq);
    if (correction == holding.end()) {
      happenings.push_back(happening_of(entry.seq, entry.event));
      continue;
    }
    // "`replacement` (a whole event …; `null` = it never happened)"; "an envelope field left out of `replacement` is
    // absent afterwards".
    // The definition is silent: a corrected event keeps the seq of its original wherever order goes by seq.
    const json::Value* replacement = correction->second->event.find("replacement");
    if (replacement == nullptr || replacement->is_null()) continue;
    happenings.push_back(happening_of(entry.seq, *replacement));
  }
  return happenings;
}

Happenings events_until(const Happenings& known, Instant as_of) {
  // "`--as-of T`: the state at T (events whose `at` is not later), using all that is known now, corrections included."
  // The definition is silent: with a coarse precision `at` counts as written. An event of a correction's replacement
  // goes by the replacement's `at`; the `at` of the correction itself plays no part.
  Happenings until;
  for (const Happening& happening : known) {
    if (happening.at.written.instant <= as_of) until.push_back(happening);
  }
  return until;
}

std::set<std::string> named_in(const json::Value& event, std::string_view thing) {
  std::set<std::string> ids;
  collect_names(event, thing, ids);
  return ids;
}

}  // namespace trayproof::reference
