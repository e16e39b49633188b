#include "importer/register/profile.h"

#include <algorithm>
#include <filesystem>

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/events/fields.h"
#include "ledger/words/words.h"

namespace trayproof::registers {
namespace {

using json::Value;
namespace fs = std::filesystem;

constexpr std::string_view front = "register-";
constexpr std::string_view back = ".json";

std::string folder_beside(const std::string& ledger_path) { return ledger_path + ".profiles"; }

Result<void> check_name(const std::string& name) {
  if (events::is_id(name) && name.find_first_of("/:") == std::string::npos) return {};
  return Error(ErrorCode::invalid, say("register.profile-name", {{"found", name}}));
}

std::string names_in(const std::string& folder) {
  std::vector<std::string> names;
  std::error_code none;  // a folder that is not there holds no profile
  for (const auto& one : fs::directory_iterator(folder, none)) {
    const std::string name = one.path().filename().string();
    if (name.starts_with(front) && name.ends_with(back))
      names.push_back(name.substr(front.size(), name.size() - front.size() - back.size()));
  }
  std::sort(names.begin(), names.end());
  return names.empty() ? say("register.nothing") : listed(names);
}

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
  return folder_beside(ledger_path) + "/" + std::string(front) + name + std::string(back);
}

Result<void> save_profile(const std::string& ledger_path, const std::string& name, const events::Kind& kind,
                          const Choices& choices, const Register& settled) {
  TRY(check_name(name));
  Value profile = Value::object().set("for", "register").set("kind", kind.name);
  for (const std::string_view part : {"delimiter", "decimal", "date_order", "zone"}) {
    if (const auto text = settled.reading.text_at(part)) profile.set(part, *text);
  }
  if (choices.encoding) profile.set("encoding", *choices.encoding);
  if (choices.empty_not_recorded) profile.set("empty", "not-recorded");
  profile.set("columns", pairs_json(columns_of(settled), "field", "heading"));
  profile.set("fixed", pairs_json(choices.fixed, "field", "value"));
  profile.set("words", pairs_json(choices.words, "found", "meant"));
  std::error_code failed;
  fs::create_directory(folder_beside(ledger_path), failed);
  const std::string file = profile_file(ledger_path, name);
  if (failed) return Error(ErrorCode::unavailable, file + ": " + failed.message());
  const std::string text = json::indented(profile) + "\n";
  return replace_file(file, as_bytes(text), FileMode::shared);
}

Result<Choices> with_profile(const std::string& ledger_path, const std::string& name, const events::Kind& kind,
                             Choices said) {
  TRY(check_name(name));
  const std::string file = profile_file(ledger_path, name);
  if (!file_exists(file)) {
    const std::string folder = folder_beside(ledger_path);
    return Error(ErrorCode::missing,
                 say("register.profile-missing", {{"name", name}, {"folder", folder}, {"those", names_in(folder)}}));
  }
  TRY_LET(const auto bytes, read_file(file, limits::toml_bytes));
  auto read = json::parse(as_text(bytes));
  if (!read.ok() || read.value().text_at("for") != "register") {
    const std::string found = read.ok() ? say("register.nothing") : read.error().sentence();
    return Error(ErrorCode::invalid, say("register.profile-broken", {{"file", file}, {"found", found}}));
  }
  const Value& profile = read.value();
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
