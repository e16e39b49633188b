// Every finding a cycle can have, by name, in one table: what it does to the verdict. Its sentence stands in the
// catalogue under "importer.finding.<name>".
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "importer/judging/sample.h"

namespace trayproof::judging {

enum class Weight {
  told,  // said beside the verdict
  cannot_tell,
  not_reached,
};

struct FindingKind {
  std::string_view what;
  Weight weight;
};

std::span<const FindingKind> finding_kinds();
Weight weight_of(std::string_view what);

// The sentence that people read.
std::string sentence(const Finding& finding);

// The heaviest finding decides; "reached" without one that weighs.
std::string_view verdict_of(const std::vector<Finding>& findings);

}  // namespace trayproof::judging
