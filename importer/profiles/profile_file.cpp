#include "importer/profiles/profile_file.h"

#include <algorithm>
#include <filesystem>
#include <vector>

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/events/fields.h"
#include "ledger/words/words.h"

namespace trayproof::profiles {
namespace {

using json::Value;
namespace fs = std::filesystem;

constexpr std::string_view back = ".json";

std::string folder_beside(const std::string& ledger_path) { return ledger_path + ".profiles"; }

Result<void> check_name(const std::string& name) {
  if (events::is_id(name) && name.find_first_of("/:") == std::string::npos) return {};
  return Error(ErrorCode::invalid, say("profile.name", {{"found", name}}));
}

std::string names_in(const std::string& folder, std::string_view sort) {
  const std::string front = std::string(sort) + "-";
  std::vector<std::string> names;
  std::error_code none;  // a folder that is not there holds no profile
  for (const auto& one : fs::directory_iterator(folder, none)) {
    const std::string name = one.path().filename().string();
    if (name.starts_with(front) && name.ends_with(back))
      names.push_back(name.substr(front.size(), name.size() - front.size() - back.size()));
  }
  std::sort(names.begin(), names.end());
  return names.empty() ? say("profile.none") : listed(names);
}

}  // namespace

std::string file_of(const std::string& ledger_path, std::string_view sort, const std::string& name) {
  return folder_beside(ledger_path) + "/" + std::string(sort) + "-" + name + std::string(back);
}

Result<void> save(const std::string& ledger_path, std::string_view sort, const std::string& name, Value profile) {
  TRY(check_name(name));
  Value whole = Value::object().set("for", sort);
  for (json::Member& member : profile.members()) whole.set(member.name, std::move(member.value));
  std::error_code failed;
  fs::create_directory(folder_beside(ledger_path), failed);
  const std::string file = file_of(ledger_path, sort, name);
  if (failed) return Error(ErrorCode::unavailable, file + ": " + failed.message());
  const std::string text = json::indented(whole) + "\n";
  return replace_file(file, as_bytes(text), FileMode::shared);
}

Result<Value> load(const std::string& ledger_path, std::string_view sort, const std::string& name) {
  TRY(check_name(name));
  const std::string file = file_of(ledger_path, sort, name);
  if (!file_exists(file)) {
    const std::string folder = folder_beside(ledger_path);
    return Error(ErrorCode::missing,
                 say("profile.missing", {{"name", name}, {"folder", folder}, {"those", names_in(folder, sort)}}));
  }
  TRY_LET(const auto bytes, read_file(file, limits::toml_bytes));
  auto read = json::parse(as_text(bytes));
  if (!read.ok()) {
    return Error(ErrorCode::invalid, say("profile.broken", {{"file", file}, {"why", read.error().sentence()}}));
  }
  if (!read.value().is_object() || read.value().text_at("for") != sort) {
    const Value* const found = read.value().find("for");
    return Error(ErrorCode::invalid,
                 say("profile.for", {{"file", file},
                                     {"found", found != nullptr ? json::plain(*found) : say("profile.none")},
                                     {"allowed", sort}}));
  }
  return read;
}

}  // namespace trayproof::profiles
