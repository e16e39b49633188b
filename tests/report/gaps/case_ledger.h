// A ledger with the events of one case file's case in it, in a folder of its own, and what the rules find there. A case
// that cannot be built ends the program with the line at fault: the case is wrong, not the rule.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/links/links.h"
#include "report/gaps/find.h"
#include "tests/report/gaps/cases.h"
#include "tests/support/folder.h"
#include "tests/support/set_clock.h"

namespace trayproof::tests {

// The paths of all case files, sorted.
std::vector<std::string> case_files();

class CaseLedger {
 public:
  explicit CaseLedger(const GapCase& one);

  // What the case's rule finds in the case's period.
  gaps::Findings find();
  // The facts read for that period, or all.
  gaps::Facts facts(std::optional<Instant> from, std::optional<Instant> until);
  // The facts as they were when the ledger had no more than so many entries, looked at by the same clock.
  gaps::Facts facts_of_first(std::int64_t entries);

 private:
  Ledger made();
  void run(const GapStep& step);
  void add_signed(const std::string& person, const GapStep& step, GapStep::What what);
  json::Value parsed(const GapStep& step);
  void add(const GapStep& step, json::Value event);
  void append();
  void add_curve(const GapStep& step);
  links::Links& tables();
  gaps::Facts read(links::Links& tables, sop::Editions editions, std::optional<Instant> from,
                   std::optional<Instant> until);

  const GapCase& case_;
  Folder folder_;
  SetClock clock_;
  Ledger ledger_;
  std::optional<links::Links> tables_;
  std::vector<GivenEvent> waiting_;
  std::int64_t last_ = 0;
  int curves_ = 0;
};

}  // namespace trayproof::tests
