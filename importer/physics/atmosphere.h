// The pressure of the room by altitude: International Standard Atmosphere. docs/physics.md is the authority.
#pragma once

#include <optional>

#include "importer/physics/units.h"

namespace trayproof::physics {

// Below the tropopause only: -500 m to 11,000 m of geopotential height; nothing outside.
std::optional<KpaAbs> standard_pressure(double altitude_m);

}  // namespace trayproof::physics
