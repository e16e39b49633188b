#include "importer/physics/atmosphere.h"

#include <cmath>

#include "ledger/base/limits.h"

namespace trayproof::physics {

// US Standard Atmosphere 1976, equation 33a for the lowest layer; the same numbers as ISO 2533.
std::optional<KpaAbs> standard_pressure(double altitude_m) {
  if (!(altitude_m >= limits::altitude_m_min && altitude_m <= limits::altitude_m_max)) return std::nullopt;
  constexpr double gas_constant = 8.31432;  // J/(mol K), as the 1976 standard has it
  constexpr double molar_mass = 0.0289644;  // kg/mol
  constexpr double gravity = 9.80665;       // m/s²
  constexpr double lapse = 0.0065;          // K/m
  constexpr double sea_level_k = 288.15;
  constexpr double exponent = gravity * molar_mass / (gas_constant * lapse);
  return KpaAbs{101.325 * std::pow(1 - lapse * altitude_m / sea_level_k, exponent)};
}

}  // namespace trayproof::physics
