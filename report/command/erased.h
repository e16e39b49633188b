// What `erase`, `countersign` and `restore` tell in common: who can be a second person, and which copies still hold
// what is to be forgotten.
#pragma once

#include <string>
#include <vector>

#include "ledger/erasure.h"
#include "report/command/context.h"

namespace trayproof::command {

// Somebody other than who acts, with a key in force. Where nobody has one, the name is a claim and any will do.
Result<void> can_be_second(const Ledger& ledger, const std::string& person);

struct StillHolding {
  std::vector<HoldingBackup> backups;
  std::vector<std::string> aside;  // files that restores put aside, beside the ledger
};
Result<StillHolding> what_still_holds(const Ledger& ledger, const ErasureRequest& request);
void print(const Context& context, const StillHolding& holding);
// Members `backups` and `aside`.
void put_into(json::Value& document, const StillHolding& holding);

}  // namespace trayproof::command
