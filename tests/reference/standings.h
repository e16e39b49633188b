// Seventh part of the reference: where each affected pack is, and which procedures were reached.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tests/reference/affected.h"

namespace trayproof::reference {

struct PackStanding {
  const Pack* pack = nullptr;
  const Load* load = nullptr;  // the latest affected load that holds it
  std::string standing;
  std::optional<std::string> place;
};

struct Use {
  std::string pack;
  std::optional<std::string> load;
};

struct ReachedProcedure {
  const Procedure* procedure = nullptr;
  std::vector<Use> uses;
};

// In the order of the answer.
std::vector<PackStanding> standings(const Facts& facts, const Affected& affected);
std::vector<ReachedProcedure> reached_procedures(const Facts& facts, const Affected& affected);
std::vector<ReachedProcedure> handled_procedures(const Facts& facts, const Affected& affected);

}  // namespace trayproof::reference
