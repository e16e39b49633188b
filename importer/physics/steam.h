// Saturated steam by IAPWS-IF97 region 4 (IAPWS R7-97(2012), equations 29 to 31). docs/physics.md is the authority.
#pragma once

#include <optional>

#include "importer/physics/units.h"

namespace trayproof::physics {

// The saturation line holds from 273.15 K (611.213 Pa) to the critical point, 647.096 K (22.064 MPa).
inline constexpr Celsius saturation_coldest{0};
inline constexpr Celsius saturation_hottest{373.946};
inline constexpr KpaAbs saturation_lowest{0.611213};
inline constexpr KpaAbs saturation_highest{22064};

// Nothing outside the range of the equation.
std::optional<Celsius> saturation_temperature(KpaAbs pressure);
std::optional<KpaAbs> saturation_pressure(Celsius temperature);

}  // namespace trayproof::physics
