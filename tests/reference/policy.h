// Eighth part of the reference: what the two recall policies count.
#pragma once

#include <cstdint>
#include <set>
#include <string>
#include <vector>

#include "tests/reference/standings.h"

namespace trayproof::reference {

struct PolicyCounts {
  std::int64_t packs = 0;
  std::int64_t procedures = 0;
  std::int64_t patients = 0;
};

// "`evidence: "missing"`: loads with no reading of any kind".
bool has_evidence(const Facts& facts, const Load& load);
// "Patients (newborns too) are counted once each": the pseudonyms of all these procedures.
std::set<std::string> patients_of(const std::vector<ReachedProcedure>& procedures);

PolicyCounts count_at_once(const std::vector<PackStanding>& packs, const std::vector<ReachedProcedure>& procedures);
PolicyCounts count_repeat_first(const Facts& facts, const Affected& affected, const std::vector<PackStanding>& packs,
                                const std::vector<ReachedProcedure>& procedures);

}  // namespace trayproof::reference
