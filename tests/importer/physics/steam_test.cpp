#include "importer/physics/steam.h"

#include <cmath>

#include "importer/physics/atmosphere.h"
#include "tests/support/test.h"

using namespace trayproof::physics;

namespace {

double pressure_mpa(double kelvin) { return saturation_pressure({kelvin - 273.15})->value / 1000; }
double temperature_k(double mpa) { return saturation_temperature({mpa * 1000})->value + 273.15; }

}  // namespace

TEST_SUITE("importer/physics/steam.h") {
  TEST_CASE("saturation pressure agrees with IAPWS R7-97 table 35") {
    CHECK(pressure_mpa(300) == doctest::Approx(0.353658941e-2).epsilon(1e-8));
    CHECK(pressure_mpa(500) == doctest::Approx(0.263889776e1).epsilon(1e-8));
    CHECK(pressure_mpa(600) == doctest::Approx(0.123443146e2).epsilon(1e-8));
  }

  TEST_CASE("saturation temperature agrees with IAPWS R7-97 table 36") {
    CHECK(temperature_k(0.1) == doctest::Approx(372.755919).epsilon(1e-8));
    CHECK(temperature_k(1) == doctest::Approx(453.035632).epsilon(1e-8));
    CHECK(temperature_k(10) == doctest::Approx(584.149488).epsilon(1e-8));
  }

  TEST_CASE("saturation temperatures agree with python3-iapws 1.5.3") {
    const double table[][2] = {{101.325, 99.9743}, {120, 104.7838}, {150, 111.3500}, {200, 120.2115},
                               {205, 120.9940},    {207, 121.3026}, {210, 121.7610}, {220, 123.2514},
                               {250, 127.4136},    {300, 133.5254}, {304, 133.9776}, {320, 135.7400}};
    for (const auto& [kpa, c] : table) CHECK(saturation_temperature({kpa})->value == doctest::Approx(c).epsilon(1e-6));
  }

  TEST_CASE("saturation pressures agree with an independent IF97") {
    const double table[][2] = {{100, 101.418}, {105, 120.902}, {110, 143.376}, {115, 169.177},
                               {118, 186.404}, {120, 198.665}, {121, 205.039}, {121.1, 205.685},
                               {124, 225.168}, {126, 239.460}, {129, 262.274}, {132, 286.823},
                               {134, 304.199}, {135, 313.201}, {137, 331.852}, {140, 361.501}};
    for (const auto& [c, kpa] : table) CHECK(saturation_pressure({c})->value == doctest::Approx(kpa).epsilon(5e-6));
  }

  TEST_CASE("both ways undo each other over the range of the trade") {
    for (double c = 0; c <= 373; c += 0.5) {
      const auto pressure = saturation_pressure({c});
      REQUIRE(pressure);
      CHECK(saturation_temperature(*pressure)->value == doctest::Approx(c).epsilon(1e-6));
    }
  }

  TEST_CASE("outside the range of the equation there is no answer") {
    CHECK_FALSE(saturation_temperature({0.6}));
    CHECK_FALSE(saturation_temperature({22065}));
    CHECK_FALSE(saturation_temperature({-5}));
    CHECK_FALSE(saturation_pressure({-0.1}));
    CHECK_FALSE(saturation_pressure({374}));
  }

  // 7 CFR 305.23 and the Jhpiego/IARC manual, page 126: published pairs, gauge at sea level.
  TEST_CASE("published pairs of gauge pressure and temperature") {
    const KpaAbs sea{101.325};
    CHECK(saturation_temperature(absolute(KpaGauge{106}, sea))->value == doctest::Approx(121.35).epsilon(1e-4));
    CHECK(saturation_temperature(absolute(KpaGauge{kilopascals(15, PressureUnit::psi)}, sea))->value ==
          doctest::Approx(120.955).epsilon(1e-5));
  }
}

TEST_SUITE("importer/physics/atmosphere.h") {
  // US Standard Atmosphere 1976, printed by two unrelated public test suites.
  TEST_CASE("pressure by altitude agrees with the 1976 standard within a pascal") {
    const double table[][2] = {{0, 101325},          {500, 95460.839342},  {1000, 89874.570502}, {1500, 84556.004841},
                               {2000, 79495.215511}, {2500, 74682.533661}, {3000, 70108.544670}};
    for (const auto& [metres, pascals] : table)
      CHECK(standard_pressure(metres)->value * 1000 == doctest::Approx(pascals).epsilon(1e-8));
  }

  TEST_CASE("water boils where the table says") {
    const double table[][2] = {{0, 99.974},    {500, 98.312},  {1000, 96.649},
                               {1500, 94.983}, {2000, 93.315}, {3000, 89.972}};
    for (const auto& [metres, c] : table) {
      CHECK(saturation_temperature(*standard_pressure(metres))->value == doctest::Approx(c).epsilon(1e-5));
    }
  }

  // Gauge pressure for 121 and 134 °C by altitude: an independent IF97 on the 1976 standard atmosphere. What clinic
  // manuals leave out: 106 kPa, said for 121 °C, is 118.7 °C at 1,500 m.
  TEST_CASE("the gauge that a set temperature needs rises with the altitude") {
    const double table[][3] = {{0, 103.71, 202.87},    {500, 109.58, 208.74},  {1000, 115.16, 214.32},
                               {1500, 120.48, 219.64}, {2000, 125.54, 224.70}, {2500, 130.36, 229.52},
                               {3000, 134.93, 234.09}};
    for (const auto& [metres, low, high] : table) {
      const KpaAbs room = *standard_pressure(metres);
      CHECK(std::abs(gauge(*saturation_pressure({121}), room).value - low) < 0.006);
      CHECK(std::abs(gauge(*saturation_pressure({134}), room).value - high) < 0.006);
    }
    const KpaAbs high = absolute(KpaGauge{106}, *standard_pressure(1500));
    CHECK(std::abs(saturation_temperature(high)->value - 118.69) < 0.006);
  }

  // USDA Complete Guide to Home Canning, as reproduced; IF97 and ISA by an independent program.
  TEST_CASE("15 psi and half a psi more a thousand feet is near 121 C up to ten thousand feet") {
    const double table[][2] = {{0, 120.95}, {2000, 120.92}, {5000, 120.99}, {8000, 121.19}, {10000, 121.39}};
    for (const auto& [feet, c] : table) {
      const KpaGauge gauge{kilopascals(15 + feet / 2000, PressureUnit::psi)};
      CHECK(saturation_temperature(absolute(gauge, *standard_pressure(feet * 0.3048)))->value ==
            doctest::Approx(c).epsilon(1e-4));
    }
  }

  TEST_CASE("above the tropopause and far below the sea there is no answer") {
    CHECK_FALSE(standard_pressure(11001));
    CHECK_FALSE(standard_pressure(-501));
  }
}
