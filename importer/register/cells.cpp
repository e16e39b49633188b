#include "importer/register/cells.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "importer/reading/records.h"
#include "importer/register/headings.h"
#include "ledger/base/number.h"
#include "ledger/words/words.h"

namespace trayproof::registers {
namespace {

using events::Field;
using events::Type;
using json::Value;

struct Synonym {
  std::string_view word;  // heading_key of what stands in the cell
  std::string_view choice;
  std::string_view field = {};  // of one field only; empty: wherever the choice is allowed
};

// From memory: how wards write results and ways of working.
constexpr auto synonyms = std::to_array<Synonym>({
    {"growth", "growth", "control"},
    {"grew", "growth", "control"},
    {"positive", "growth", "control"},
    {"pos", "growth", "control"},
    {"wachstum", "growth", "control"},
    {"negative", "no-growth", "control"},
    {"neg", "no-growth", "control"},
    {"kein wachstum", "no-growth", "control"},
    {"not done", "not-run", "control"},
    {"none", "not-run", "control"},
    {"passed", "pass"},
    {"ok", "pass"},
    {"bestanden", "pass"},
    {"conforme", "pass"},
    {"satisfactory", "pass"},
    {"failed", "fail"},
    {"not ok", "fail"},
    {"nok", "fail"},
    {"nicht bestanden", "fail"},
    {"no conforme", "fail"},
    {"unsatisfactory", "fail"},
    {"neg", "negative"},
    {"no growth", "negative"},
    {"negativ", "negative"},
    {"negativo", "negative"},
    {"negatif", "negative"},
    {"pos", "positive"},
    {"growth", "positive"},
    {"positiv", "positive"},
    {"positivo", "positive"},
    {"positif", "positive"},
    {"gravity", "steam-gravity"},
    {"gravity steam", "steam-gravity"},
    {"steam gravity displacement", "steam-gravity"},
    {"prevacuum", "steam-prevacuum"},
    {"prevac", "steam-prevacuum"},
    {"pre vacuum", "steam-prevacuum"},
    {"steam pre vacuum", "steam-prevacuum"},
    {"vorvakuum", "steam-prevacuum"},
    {"hot air", "dry-heat"},
    {"heissluft", "dry-heat"},
    {"calor seco", "dry-heat"},
    {"boiled", "boiling"},
    {"by hand", "manual"},
    {"hand", "manual"},
    {"ultrasound", "ultrasonic"},
    {"unleserlich", "unreadable"},
    {"not readable", "unreadable"},
    {"autoclave", "steam-sterilizer"},
    {"steam steriliser", "steam-sterilizer"},
    {"hot air oven", "dry-heat-sterilizer"},
    {"logger", "data-logger"},
    {"naocl", "sodium-hypochlorite"},
    {"opa", "ortho-phthalaldehyde"},
    {"hld", "high-level-disinfection"},
    {"bowie dick", "air-removal", "check"},
    {"bowie dick test", "air-removal", "check"},
    {"leak test", "leak-rate", "check"},
    {"vacuum leak test", "leak-rate", "check"},
    {"kalibrierung", "calibration"},
    {"wartung", "service"},
});

constexpr auto yes_words =
    std::to_array<std::string_view>({"yes", "y", "ja", "j", "si", "s", "oui", "o", "sim", "true", "wahr", "1", "x"});
constexpr auto no_words = std::to_array<std::string_view>({"no", "n", "nein", "non", "nao", "false", "falsch", "0"});
constexpr auto none_words = std::to_array<std::string_view>(
    {"none", "nil", "0", "keine", "keiner", "nichts", "ninguno", "ninguna", "aucun", "aucune", "nenhum"});

struct UnknownWord {
  std::string_view word;
  std::string_view reason;
};
constexpr auto unknown_words = std::to_array<UnknownWord>({
    {"not recorded", "not-recorded"},
    {"not noted", "not-recorded"},
    {"nicht dokumentiert", "not-recorded"},
    {"no registrado", "not-recorded"},
    {"non note", "not-recorded"},
    {"nao registrado", "not-recorded"},
    {"not done", "not-done"},
    {"nicht durchgefuhrt", "not-done"},
    {"no realizado", "not-done"},
    {"non fait", "not-done"},
    {"nao realizado", "not-done"},
    {"not readable", "not-readable"},
    {"unreadable", "not-readable"},
    {"illegible", "not-readable"},
    {"unleserlich", "not-readable"},
    {"ilegible", "not-readable"},
    {"illisible", "not-readable"},
});

template <typename List>
bool one_of(const List& list, std::string_view word) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

// The allowed value that a cell names, or nothing.
std::optional<std::string_view> choice_named(const Field& field, std::string_view cell) {
  const std::string key = heading_key(cell);
  for (const std::string_view choice : field.choices) {
    if (key == heading_key(choice)) return choice;
  }
  for (const bool own : {true, false}) {
    for (const Synonym& one : synonyms) {
      if (one.word != key || (own ? one.field != field.name : !one.field.empty())) continue;
      if (one_of(field.choices, one.choice)) return one.choice;
    }
  }
  return std::nullopt;
}

std::optional<bool> yes_or_no(const Field& field, std::string_view cell) {
  if (cell == "✓" || cell == "✔" || cell == "☑") return true;
  const std::string key = heading_key(cell);
  if (one_of(yes_words, key)) return true;
  if (one_of(no_words, key)) return false;
  if (field.name == "complete" && (key == "complete" || key == "completed")) return true;
  if (field.name == "complete" && (key == "incomplete" || key == "aborted" || key == "cut short")) return false;
  if (field.name == "dry" && key == "dry") return true;
  if (field.name == "dry" && key == "wet") return false;
  return std::nullopt;
}

// Semicolons, bars and line breaks part a list; commas where none of them stands; blanks too where no item has any.
std::vector<std::string_view> parts(std::string_view cell, Type type) {
  std::string_view marks = cell.find_first_of(";|\n") != std::string_view::npos ? ";|\n" : ",";
  if (type == Type::id_list) marks = ";|\n, \t";
  std::vector<std::string_view> out;
  while (!cell.empty()) {
    const std::size_t end = cell.find_first_of(marks);
    const std::string_view part = reading::trimmed(cell.substr(0, end));
    if (!part.empty()) out.push_back(part);
    cell.remove_prefix(end == std::string_view::npos ? cell.size() : end + 1);
  }
  return out;
}

std::optional<std::int64_t> whole(std::string_view text) {
  text = reading::trimmed(text);
  if (text.empty() || text.size() > 4 || text.find_first_not_of("0123456789") != std::string_view::npos)
    return std::nullopt;
  return static_cast<std::int64_t>(*parse_number(text));
}

// "2 x scissors", "scissors x2", "scissors (2)", "scissors: 2", "2 scissors"; one where no number stands.
Value item_of(std::string_view part) {
  const auto item = [](std::string_view name, std::int64_t count) {
    return Value::object().set("item", reading::trimmed(name)).set("count", count);
  };
  const std::size_t first = part.find_first_not_of("0123456789");
  if (first != 0 && first != std::string_view::npos) {
    const auto count = whole(part.substr(0, first));
    std::string_view rest = reading::trimmed(part.substr(first));
    if (rest.starts_with("x ") || rest.starts_with("X ")) rest.remove_prefix(2);
    if (rest.starts_with("×")) rest.remove_prefix(std::string_view("×").size());
    if (count && !rest.empty()) return item(rest, *count);
  }
  std::string_view text = part;
  if (text.ends_with(')')) text.remove_suffix(1);
  const std::size_t last = text.find_last_not_of("0123456789");
  if (last != std::string_view::npos && last + 1 < text.size()) {
    const auto count = whole(text.substr(last + 1));
    const char mark = text[last];
    const std::string_view before = reading::trimmed(text.substr(0, last));
    const bool marked = mark == '(' || mark == ':' || mark == 'x' || mark == 'X' || mark == '=';
    if (count && marked && !before.empty()) return item(before, *count);
    if (count && mark == ' ' && (before.ends_with(" x") || before.ends_with(" X") || before.ends_with(':')))
      return item(before.substr(0, before.size() - 1), *count);
  }
  return item(part, 1);
}

CellRead number_cell(const Field& field, std::string_view cell, std::optional<AmountUnit> unit,
                     const CellRules& rules) {
  CellRead out;
  const auto quantity = reading::parse_quantity(cell, rules.decimal);
  if (!quantity || !std::isfinite(quantity->value)) {
    out.value = Value(cell);  // the ledger tells what the field takes
    return out;
  }
  out.value = Value(quantity->value);
  if (!quantity->unit.empty()) {
    unit = unit_of(quantity->unit);
    if (!unit) {
      out.value = Value(cell);
      return out;
    }
  }
  if (!unit) return out;
  const auto turned = in_unit_of_field(quantity->value, *unit, field.name);
  if (!turned) {
    const std::string_view own = unit_of_field(field.name);
    out.value.reset();
    out.why = own.empty() ? say("register.no-unit") : say("register.other-unit", {{"unit", own}});
    return out;
  }
  out.value = Value(turned->value);
  if (turned->changed) out.as_read = std::string(cell);
  return out;
}

CellRead list_cell(const Field& field, std::string_view cell, const CellRules& rules) {
  CellRead out;
  json::List items;
  const std::string key = heading_key(cell);
  const bool clean = field.name == "found" && (key == "ok" || key == "clean" || key == "complete" ||
                                               key == "complete and clean" || key == "clean and complete");
  if ((one_of(none_words, key) && (key != "0" || field.type != Type::patient_list)) || clean) {
    out.value = Value(json::List{});
    return out;
  }
  for (std::string_view part : parts(cell, field.type)) {
    const auto said = rules.words.find(heading_key(part));
    if (said != rules.words.end() && field.type != Type::patient_list) part = said->second;
    if (field.type == Type::items)
      items.push_back(item_of(part));
    else if (field.type == Type::choice_list)
      items.emplace_back(choice_named(field, part).value_or(part));
    else
      items.emplace_back(part);
  }
  out.value = Value(std::move(items));
  return out;
}

// "load ST1-7", "load: ST1-7".
Value subject_of(std::string_view cell) {
  const std::size_t cut = cell.find_first_of(": ");
  if (cut == std::string_view::npos) return Value(cell);
  std::string_view id = reading::trimmed(cell.substr(cut + 1));
  return Value::object().set("kind", cell.substr(0, cut)).set("id", id);
}

}  // namespace

bool says_nothing(std::string_view cell) {
  return cell.empty() || cell == "-" || cell == "--" || cell == "---" || cell == "–" || cell == "—" || cell == "n/a" ||
         cell == "N/A" || cell == "/" || cell == ".";
}

std::string_view unknown_reason(std::string_view cell) {
  if (cell.size() > 40) return {};
  const std::string key = heading_key(cell);
  const auto found =
      std::find_if(unknown_words.begin(), unknown_words.end(), [&](const UnknownWord& one) { return one.word == key; });
  return found == unknown_words.end() ? std::string_view{} : found->reason;
}

CellRead read_cell(const Field& field, std::string_view cell, const std::optional<AmountUnit>& unit,
                   const CellRules& rules) {
  CellRead out;
  std::string replaced;
  if (!is_patient(field) && !rules.words.empty()) {
    if (const auto said = rules.words.find(heading_key(cell)); said != rules.words.end()) {
      replaced = said->second;
      cell = replaced;
    }
  }
  if (says_nothing(cell)) return out;
  if (field.type == Type::choice) {
    if (const auto choice = choice_named(field, cell)) {
      out.value = Value(*choice);
      if (heading_key(cell) != heading_key(*choice)) out.understood = *choice;
      return out;
    }
  }
  // No patient is numbered by a word for nothing.
  if (field.type == Type::patient && cell != "0" && one_of(none_words, heading_key(cell))) return out;
  if (!events::is_free_text(field.name)) {
    out.unknown = unknown_reason(cell);
    if (!out.unknown.empty()) return out;
  }
  if (is_list(field)) return list_cell(field, cell, rules);
  if (is_number(field)) return number_cell(field, cell, unit, rules);
  if (field.type == Type::boolean || field.type == Type::flag_or_date) {
    if (const auto flag = yes_or_no(field, cell)) {
      out.value = Value(*flag);
      return out;
    }
  }
  if (field.type == Type::subject) {
    out.value = subject_of(cell);
    return out;
  }
  if (field.type == Type::object || field.type == Type::any || field.type == Type::replacement) {
    auto value = json::parse(cell, 8);
    out.value = value.ok() ? std::move(value).value() : Value(cell);
    return out;
  }
  out.value = Value(cell);
  return out;
}

}  // namespace trayproof::registers
