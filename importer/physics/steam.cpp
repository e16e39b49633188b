#include "importer/physics/steam.h"

#include <array>
#include <cmath>

namespace trayproof::physics {
namespace {

// IAPWS R7-97(2012), table 34: n1 to n10; temperature in K, pressure in MPa.
constexpr std::array<double, 10> n = {0.11670521452767e4,  -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5,
                                      -0.32325550322333e7, 0.14915108613530e2,  -0.48232657361591e4, 0.40511340542057e6,
                                      -0.23855557567849,   0.65017534844798e3};

}  // namespace

// Equation 31.
std::optional<Celsius> saturation_temperature(KpaAbs pressure) {
  if (!(pressure >= saturation_lowest && pressure <= saturation_highest)) return std::nullopt;
  const double beta = std::pow(pressure.value / 1000, 0.25);
  const double e = beta * beta + n[2] * beta + n[5];
  const double f = n[0] * beta * beta + n[3] * beta + n[6];
  const double g = n[1] * beta * beta + n[4] * beta + n[7];
  const double d = 2 * g / (-f - std::sqrt(f * f - 4 * e * g));
  const double sum = n[9] + d;
  const double kelvin = (sum - std::sqrt(sum * sum - 4 * (n[8] + n[9] * d))) / 2;
  return celsius(kelvin, TemperatureUnit::kelvin);
}

// Equation 30.
std::optional<KpaAbs> saturation_pressure(Celsius temperature) {
  if (!(temperature >= saturation_coldest && temperature <= saturation_hottest)) return std::nullopt;
  const double kelvin = temperature.value + 273.15;
  const double theta = kelvin + n[8] / (kelvin - n[9]);
  const double a = theta * theta + n[0] * theta + n[1];
  const double b = n[2] * theta * theta + n[3] * theta + n[4];
  const double c = n[5] * theta * theta + n[6] * theta + n[7];
  return KpaAbs{std::pow(2 * c / (-b + std::sqrt(b * b - 4 * a * c)), 4) * 1000};
}

}  // namespace trayproof::physics
