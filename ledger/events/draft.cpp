#include "ledger/events/draft.h"

#include <algorithm>

#include "ledger/base/bytes.h"
#include "ledger/base/limits.h"
#include "ledger/base/utf8.h"
#include "ledger/events/fields.h"
#include "ledger/words/words.h"

namespace trayproof::events {
namespace {

using json::Value;

constexpr std::string_view unknown_reasons[] = {"not-recorded", "not-done", "not-readable"};

class DraftReader {
 public:
  DraftReader(Value& event, Giver giver, std::string prefix, Refusals& refusals)
      : event_(event), giver_(giver), prefix_(std::move(prefix)), refusals_(refusals) {}

  const Kind* read();

 private:
  bool in_replacement() const { return !prefix_.empty(); }
  StandIns stand_ins() const { return in_replacement() ? StandIns::taken : StandIns::refused; }
  void refuse(std::string_view field, std::string why) {
    refusals_.push_back({0, prefix_ + std::string(field), std::move(why)});
  }
  void refuse_missing(const Field& field) { refuse(field.name, say("refused.missing", {{"allowed", allowed(field)}})); }
  bool has(std::string_view name) const { return event_.find(name) != nullptr; }
  // Given, or said to be unknown.
  bool stated(std::string_view name) const { return has(name) || is_unknown(name); }
  bool is_unknown(std::string_view name) const {
    const Value* unknown = event_.find("unknown");
    return unknown != nullptr && unknown->find(name) != nullptr;
  }

  const Kind* read_kind();
  void read_member(const Kind& kind, json::Member& member);
  void read_envelope_member(const Field& field, Value& value);
  void read_unknown(const Kind& kind);
  void read_files(Value& value);
  void read_as_read(Value& value);
  void check_needed(const Kind& kind);
  void check_combinations(const Kind& kind);
  void check_recipe();
  void check_facility();
  void check_spans(const Kind& kind);
  void one_of_two(std::string_view first, std::string_view second);
  void read_replacement(Value& value);

  Value& event_;
  Giver giver_;
  std::string prefix_;
  Refusals& refusals_;
};

const Kind* DraftReader::read_kind() {
  const auto name = event_.text_at("kind");
  if (!has("kind")) {
    refuse("kind", say("refused.missing", {{"allowed", say("allowed.kind")}}));
    return nullptr;
  }
  const Kind* kind = name ? find_kind(*name) : nullptr;
  if (kind == nullptr) {
    refuse("kind", say("refused.value", {{"found", shown(*event_.find("kind"))}, {"allowed", say("allowed.kind")}}));
    return nullptr;
  }
  if (giver_ == Giver::recorder && !kind->recordable()) {
    refuse("kind", say("refused.kind-of-program", {{"found", kind->name}}));
    return nullptr;
  }
  return kind;
}

void DraftReader::read_files(Value& value) {
  static constexpr Field file{"files", Type::sha256, Needed::no};
  if (!value.is_list() || value.items().size() > limits::list_items) {
    return refuse("files", say("refused.value", {{"found", shown(value)}, {"allowed", say("allowed.files")}}));
  }
  for (Value& one : value.items()) settle(one, file, prefix_ + "files", refusals_, StandIns::refused);
}

// Text as on the gauge or as scanned: a raw GS1 element string holds its group separator, U+001D.
void DraftReader::read_as_read(Value& value) {
  static constexpr Field reading{"as_read", Type::text, Needed::no};
  if (!value.is_object()) {
    return refuse("as_read", say("refused.value", {{"found", shown(value)}, {"allowed", say("allowed.as-read")}}));
  }
  for (json::Member& member : value.members()) {
    const std::string path = prefix_ + "as_read." + shortened(member.name, 40);
    Value name(member.name);
    settle(name, reading, path, refusals_, StandIns::refused);
    if (!member.value.is_text()) {
      refusals_.push_back(
          {0, path, say("refused.value", {{"found", shown(member.value)}, {"allowed", say("allowed.text")}})});
      continue;
    }
    // Settled around its separators, so that everything else is checked as in any other text.
    const std::string raw = member.value.text();
    std::string joined;
    std::size_t from = 0;
    while (true) {
      const std::size_t cut = raw.find('\x1D', from);
      Value part(raw.substr(from, cut == std::string::npos ? std::string::npos : cut - from));
      settle(part, reading, path, refusals_, StandIns::refused);
      joined += part.is_text() ? part.text() : std::string();
      if (cut == std::string::npos) break;
      joined += '\x1D';
      from = cut + 1;
    }
    if (code_points(joined) > limits::text_code_points) {
      refusals_.push_back({0, path,
                           say("refused.long", {{"found", std::to_string(code_points(joined))},
                                                {"allowed", std::to_string(limits::text_code_points)}})});
    }
    member.value = Value(std::move(joined));
  }
}

void DraftReader::read_envelope_member(const Field& field, Value& value) {
  if (field.name == "kind" || field.name == "unknown") return;
  if (in_replacement() && (field.name == "slip" || field.name == "entered")) {
    return refuse(field.name, say("refused.not-in-replacement"));
  }
  if (field.name == "files") return read_files(value);
  if (field.name == "as_read") return read_as_read(value);
  settle(value, field, prefix_ + std::string(field.name), refusals_, stand_ins());
}

void DraftReader::read_member(const Kind& kind, json::Member& member) {
  const auto [field, in_envelope] = kind.find(member.name);
  if (field != nullptr && in_envelope) return read_envelope_member(*field, member.value);
  if (field == nullptr && is_added_by_ledger(member.name)) return refuse(member.name, say("refused.added-by-ledger"));
  if (field == nullptr) {
    std::string names;
    for (const Field& one : kind.fields) names += (names.empty() ? "" : ", ") + std::string(one.name);
    return refuse(shortened(member.name, 40), say("refused.unknown-field", {{"kind", kind.name}, {"allowed", names}}));
  }
  if (field->type == Type::replacement) return read_replacement(member.value);
  settle(member.value, *field, prefix_ + member.name, refusals_, stand_ins());
}

void DraftReader::read_replacement(Value& value) {
  if (value.is_null()) return;
  if (!value.is_object()) {
    return refuse("replacement",
                  say("refused.value", {{"found", shown(value)}, {"allowed", say("allowed.replacement")}}));
  }
  const Kind* kind = DraftReader(value, Giver::program, prefix_ + "replacement.", refusals_).read();
  if (kind != nullptr && !kind->correctable()) {
    refuse("replacement.kind", say("refused.not-correctable", {{"found", kind->name}}));
  }
}

void DraftReader::read_unknown(const Kind& kind) {
  Value* unknown = event_.find("unknown");
  if (unknown == nullptr) return;
  if (!unknown->is_object()) {
    return refuse("unknown", say("refused.value", {{"found", shown(*unknown)}, {"allowed", say("allowed.unknown")}}));
  }
  if (!kind.takes_unknown()) return refuse("unknown", say("refused.no-unknown", {{"kind", kind.name}}));
  for (const json::Member& member : unknown->members()) {
    const std::string name = "unknown." + shortened(member.name, 40);
    const Field* field = kind.field(member.name);
    const bool recipe = kind.name == "solution-prepared" && member.name == "recipe";
    if (field == nullptr && !recipe) {
      refuse(name, say("refused.unknown-name", {{"kind", kind.name}}));
    } else if (field == &kind.fields.front() || member.name == "method") {
      refuse(name, say("refused.unknown-first", {{"found", member.name}}));
    } else if (has(member.name)) {
      refuse(name, say("refused.unknown-and-given", {{"found", member.name}}));
    }
    const bool fits = member.value.is_text() && std::find(std::begin(unknown_reasons), std::end(unknown_reasons),
                                                          member.value.text()) != std::end(unknown_reasons);
    if (!fits)
      refuse(name, say("refused.value", {{"found", shown(member.value)}, {"allowed", say("allowed.unknown")}}));
  }
}

void DraftReader::check_needed(const Kind& kind) {
  for (const Field& field : envelope()) {
    if (field.needed == Needed::yes && field.name != "kind" && !has(field.name)) refuse_missing(field);
  }
  for (const Field& field : kind.fields) {
    if (field.needed == Needed::yes && !stated(field.name)) refuse_missing(field);
  }
}

void DraftReader::one_of_two(std::string_view first, std::string_view second) {
  if (!stated(first) && !stated(second)) {
    refuse(first, say("refused.one-of-two", {{"first", first}, {"second", second}}));
  }
}

// Exactly one of the three recipes, whole; single amounts may be said to be unknown.
void DraftReader::check_recipe() {
  const bool liquid = stated("stock_percent") || stated("stock_ml");
  const bool powder = stated("available_percent") || stated("powder_g");
  const bool ready = has("ready_to_use");
  const bool unknown = is_unknown("recipe") || is_unknown("ready_to_use");
  const int given = (liquid ? 1 : 0) + (powder ? 1 : 0) + (ready ? 1 : 0) + (unknown ? 1 : 0);
  if (given != 1 || ((ready || unknown) && stated("water_ml"))) return refuse("recipe", say("refused.recipe"));
  if (ready && event_.bool_at("ready_to_use") == false) return refuse("ready_to_use", say("refused.recipe"));
  const auto need = [&](std::string_view name) {
    if (!stated(name)) refuse(name, say("refused.recipe"));
  };
  if (liquid) need("stock_percent"), need("stock_ml"), need("water_ml");
  if (powder) need("available_percent"), need("powder_g"), need("water_ml");
}

// A title that can be read, and an altitude for which the air has a pressure: the lowest layer of the standard
// atmosphere.
void DraftReader::check_facility() {
  const auto title = event_.text_at("title");
  if (title && title->find_first_not_of(' ') == std::string_view::npos)
    refuse("title", say("refused.value", {{"found", shown(*event_.find("title"))}, {"allowed", say("allowed.title")}}));
  const auto altitude_m = event_.number_at("altitude_m");
  if (altitude_m && (*altitude_m < limits::altitude_m_min || *altitude_m > limits::altitude_m_max))
    refuse("altitude_m",
           say("refused.value", {{"found", shown(*event_.find("altitude_m"))}, {"allowed", say("allowed.altitude")}}));
}

void DraftReader::check_combinations(const Kind& kind) {
  if (kind.name == "facility-described") check_facility();
  if (kind.name == "solution-prepared") check_recipe();
  if (kind.name == "solution-tested") one_of_two("percent", "strip");
  if (kind.name == "indicator-read") one_of_two("load", "pack");
  if (kind.name == "recall-answered") one_of_two("procedure", "pack");
  if (kind.name == "load-started") {
    const std::string_view method = event_.text_at("method").value_or("");
    if (is_heat(method) && !stated("equipment"))
      refuse("equipment", say("refused.equipment-needed", {{"found", method}}));
    if (is_chemical(method) && !stated("solution"))
      refuse("solution", say("refused.solution-needed", {{"found", method}}));
  }
  if (kind.name == "load-changed" && !is_unknown("added") && !is_unknown("removed")) {
    const auto empty = [&](std::string_view name) {
      const Value* list = event_.find(name);
      return list == nullptr || !list->is_list() || list->items().empty();
    };
    if (empty("added") && empty("removed")) refuse("added", say("refused.no-pack"));
  }
}

void DraftReader::check_spans(const Kind& kind) {
  const auto precision = parse_precision(event_.text_at("precision").value_or("second")).value_or(Precision::second);
  const auto span = [&](std::string_view name) -> std::optional<Span> {
    const auto text = event_.text_at(name);
    const auto time = text ? parse_date_time(*text) : std::nullopt;
    if (!time) return std::nullopt;
    return span_of(*time, precision);
  };
  const auto ordered = [&](std::string_view begin) {
    const auto from = span(begin);
    const auto until = span("until");
    if (from && until && until->latest < from->earliest) {
      refuse("until",
             say("refused.until",
                 {{"found", *event_.text_at("until")}, {"begin", begin}, {"allowed", *event_.text_at(begin)}}));
    }
  };
  if (kind.field("from") != nullptr) ordered("from");
  if (kind.name == "soaked" || kind.name == "procedure-done") ordered("at");
}

const Kind* DraftReader::read() {
  const Kind* kind = read_kind();
  if (kind == nullptr) return nullptr;
  const std::size_t before = refusals_.size();
  for (json::Member& member : event_.members()) read_member(*kind, member);
  read_unknown(*kind);
  check_needed(*kind);
  if (refusals_.size() == before) {
    check_combinations(*kind);
    check_spans(*kind);
  }
  return kind;
}

}  // namespace

DraftReading read_draft(Value given, Giver giver, const std::optional<std::string>& default_by) {
  DraftReading reading;
  if (!given.is_object()) {
    reading.refusals.push_back(
        {0, "", say("refused.value", {{"found", shown(given)}, {"allowed", say("allowed.event")}})});
    return reading;
  }
  if (default_by && given.find("by") == nullptr) given.set("by", Value(*default_by));
  Draft draft;
  draft.event = std::move(given);
  draft.kind = DraftReader(draft.event, giver, "", reading.refusals).read();
  if (!reading.refusals.empty() || draft.kind == nullptr) return reading;
  draft.at = *parse_date_time(*draft.event.text_at("at"));
  draft.precision = parse_precision(draft.event.text_at("precision").value_or("second")).value_or(Precision::second);
  reading.draft = std::move(draft);
  return reading;
}

}  // namespace trayproof::events
