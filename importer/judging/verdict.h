// One cycle against the SOP edition in force at its start: reached, not-reached or cannot-tell, with every limit, the
// value found and the margin. docs/import-reading.md, "Verdict", is the authority. Every limit is the edition's; one
// that it does not state is not checked.
#pragma once

#include <string_view>

#include "importer/judging/phases.h"
#include "importer/judging/sample.h"

namespace trayproof::judging {

// `load` is null where the cycle belongs to none.
Cycle judge(const Series& series, const Stretch& stretch, const KnownLoad* load, const Surroundings& around);

// By the load, else the sort of equipment, else the curve itself.
std::string method_of(const Series& series, const Stretch& stretch, const KnownLoad* load,
                      std::string_view equipment_sort);

}  // namespace trayproof::judging
