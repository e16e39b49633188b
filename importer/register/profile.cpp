#include "importer/register/profile.h"

#include <algorithm>

#include "importer/profiles/profile_file.h"
#include "ledger/words/words.h"

namespace trayproof::registers {
namespace {

using json::Value;

constexpr std::string_view sort = "register";

Value pairs_json(const std::vector<std::pair<std::string, std::string>>& pairs, std::string_view first,
                 std::string_view second) {
  Value list = Value::list();
  for (const auto& [a, b] : pairs) list.push(Value::object().set(first, a).set(second, b));
  return list;
}

std::vector<std::pair<std::string, std::string>> pairs_of(const Value& profile, std::string_view name,
                                                          std::string_view first, std::string_view second) {
  std::vector<std::pair<std::string, std::string>> pairs;
  const Value* list = profile.find(name);
  if (list == nullptr || !list->is_list()) return pairs;
  for (const Value& one : list->items()) {
    const auto a = one.text_at(first);
    const auto b = one.text_at(second);
    if (a && b) pairs.emplace_back(*a, *b);
  }
  return pairs;
}

// Columns by their headings; by their number where a heading stands twice or not at all.
SaidColumns columns_of(const Register& settled) {
  SaidColumns columns;
  const auto& headings = settled.matching.headings;
  for (const MatchedColumn& column : settled.matching.columns) {
    const auto same = std::count_if(headings.begin(), headings.end(), [&](const std::string& heading) {
      return heading_key(heading) == heading_key(column.heading);
    });
    const bool by_number = same != 1 || heading_key(column.heading).empty();
    columns.emplace_back(column.field->name, by_number ? "#" + std::to_string(column.cell + 1) : column.heading);
  }
  return columns;
}

// A field's columns said now replace those of the profile.
void add_unsaid(std::vector<std::pair<std::string, std::string>>& said,
                const std::vector<std::pair<std::string, std::string>>& kept) {
  const auto before = said;
  for (const auto& one : kept) {
    const bool stated =
        std::any_of(before.begin(), before.end(), [&](const auto& other) { return other.first == one.first; });
    if (!stated) said.push_back(one);
  }
}

}  // namespace

std::string profile_file(const std::string& ledger_path, const std::string& name) {
  return profiles::file_of(ledger_path, sort, name);
}

Result<void> save_profile(const std::string& ledger_path, const std::string& name, const events::Kind& kind,
                          const Choices& choices, const Register& settled) {
  Value profile = Value::object().set("kind", kind.name);
  for (const std::string_view part : {"delimiter", "decimal", "date_order", "zone"}) {
    if (const auto text = settled.reading.text_at(part)) profile.set(part, *text);
  }
  if (choices.encoding) profile.set("encoding", *choices.encoding);
  if (choices.empty_not_recorded) profile.set("empty", "not-recorded");
  profile.set("columns", pairs_json(columns_of(settled), "field", "heading"));
  profile.set("fixed", pairs_json(choices.fixed, "field", "value"));
  profile.set("words", pairs_json(choices.words, "found", "meant"));
  return profiles::save(ledger_path, sort, name, std::move(profile));
}

Result<Choices> with_profile(const std::string& ledger_path, const std::string& name, const events::Kind& kind,
                             Choices said) {
  TRY_LET(const Value profile, profiles::load(ledger_path, sort, name));
  const auto kind_then = profile.text_at("kind").value_or("");
  if (kind_then != kind.name) {
    return Error(ErrorCode::invalid,
                 say("register.profile-kind", {{"name", name}, {"found", kind_then}, {"kind", kind.name}}));
  }
  const auto take = [&](std::optional<std::string>& into, std::string_view part) {
    if (const auto text = profile.text_at(part); text && !into) into = std::string(*text);
  };
  take(said.encoding, "encoding");
  take(said.delimiter, "delimiter");
  take(said.decimal, "decimal");
  take(said.date_order, "date_order");
  take(said.zone, "zone");
  if (profile.text_at("empty") == "not-recorded") said.empty_not_recorded = true;
  add_unsaid(said.columns, pairs_of(profile, "columns", "field", "heading"));
  add_unsaid(said.fixed, pairs_of(profile, "fixed", "field", "value"));
  add_unsaid(said.words, pairs_of(profile, "words", "found", "meant"));
  said.profile = name;
  return said;
}

}  // namespace trayproof::registers
