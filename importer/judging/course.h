// What happens in a cycle, one phase after the other: air removal with its pulses, come-up, plateau, exhaust, drying,
// cooling. docs/import-reading.md, "Phases", is the authority. Told, never judged.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "importer/judging/curve.h"

namespace trayproof::judging {

struct Phase {
  std::string_view what;  // air-removal, come-up, plateau, exhaust, drying, cooling
  std::size_t first = 0;  // indexes into the readings; a phase begins where the one before ends
  std::size_t last = 0;
};
struct Course {
  std::vector<Phase> phases;
  std::size_t pulses = 0;  // of the air removal
};

// `first` and `last` bound the plateau; without one the top is the highest reading. Steam is let out, other heat only
// falls.
enum class Heat { steam, other };
Course course_of(const Curve& curve, const std::optional<Plateau>& plateau, Heat heat, double room_kpa);

}  // namespace trayproof::judging
