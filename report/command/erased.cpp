#include "report/command/erased.h"

#include <algorithm>
#include <filesystem>

#include "ledger/base/files.h"
#include "ledger/words/words.h"

namespace trayproof::command {

using json::Value;

Result<void> can_be_second(const Ledger& ledger, const std::string& person) {
  if (person == ledger.actor()) return Error(ErrorCode::invalid, say("erase.second-self", {{"person", person}}));
  if (!ledger.signer()) return {};
  TRY_LET(const auto book, ledger.key_book());
  if (book.in_force(person, "person") != nullptr) return {};
  return Error(ErrorCode::invalid, say("erase.second-no-key", {{"person", person}}));
}

Result<StillHolding> what_still_holds(const Ledger& ledger, const ErasureRequest& request) {
  StillHolding holding;
  TRY_LET(holding.backups, backups_that_hold(ledger, request));
  const std::filesystem::path path(ledger.path());
  const std::string begin = path.filename().string() + ".before-restore-";
  std::error_code unreadable;  // a folder that cannot be listed hides nothing that was not hidden before
  for (const auto& one : std::filesystem::directory_iterator(folder_of(ledger.path()), unreadable)) {
    const std::string name = one.path().filename().string();
    if (name.starts_with(begin)) holding.aside.push_back(name);
  }
  std::sort(holding.aside.begin(), holding.aside.end());
  return holding;
}

void print(const Context& context, const StillHolding& holding) {
  if (!holding.backups.empty()) context.line(say("erase.backups"));
  for (const HoldingBackup& one : holding.backups) {
    context.line(say("erase.backup", {{"where", one.where}, {"at", one.at}, {"seq", std::to_string(one.seq)}}));
  }
  for (const std::string& one : holding.aside) context.line(say("erase.aside", {{"file", one}}));
}

void put_into(Value& document, const StillHolding& holding) {
  Value backups = Value::list();
  for (const HoldingBackup& one : holding.backups) {
    backups.push(Value::object().set("seq", one.seq).set("at", one.at).set("where", one.where));
  }
  Value aside = Value::list();
  for (const std::string& one : holding.aside) aside.push(one);
  document.set("backups", std::move(backups)).set("aside", std::move(aside));
}

}  // namespace trayproof::command
