// The invented morning that the crash tests live through: one step a durable action, and what stands in the ledger
// after each, told so shortly that two moments can be compared.
#pragma once

#include <functional>
#include <random>
#include <string>
#include <vector>

#include "tests/support/ward_ledger.h"

namespace trayproof::tests {

struct Standing {
  bool there = false;
  std::int64_t events = 0;
  Digest head{};
  std::size_t attachments = 0;
  std::size_t checkpoints = 0;
  std::int64_t texts = 0;
  std::int64_t patients = 0;
  bool operator==(const Standing&) const = default;
};

Result<Standing> standing_of(Ledger& ledger);
std::string told(const Standing& standing);

struct Step {
  std::string name;
  std::function<Result<void>(Ledger&, SetClock&)> act;
};

// After `create`: single events, files, attachments, corrections, a clock that went back, checkpoints, derived tables,
// a file so large that it does not fit the cache, verify.
const std::vector<Step>& morning();

// What must hold of a ledger that was opened again; empty when it holds. verify finds nothing in full depth …
std::string fault_of(Ledger& ledger);
// … and the derived tables, caught up, are those of a fresh derivation.
std::string fault_of_tables(Ledger& ledger);

// From the environment, for longer runs (docs/testing.md): how often each dice is thrown, and where they begin.
std::size_t rounds_or(std::size_t usual);
std::uint64_t dice_seed();

}  // namespace trayproof::tests
