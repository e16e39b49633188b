#include "importer/physics/units.h"

#include "tests/support/test.h"

using namespace trayproof::physics;

TEST_SUITE("importer/physics/units.h") {
  // NIST SP 811, from memory; arithmetic recomputed.
  TEST_CASE("15 psi in other units") {
    const double kpa = kilopascals(15, PressureUnit::psi);
    CHECK(kpa == doctest::Approx(103.4214).epsilon(1e-6));
    CHECK(kpa / kilopascals(1, PressureUnit::bar) == doctest::Approx(1.0342).epsilon(1e-4));
    CHECK(kpa / kilopascals(1, PressureUnit::kgf_cm2) == doctest::Approx(1.0546).epsilon(1e-4));
    CHECK(kpa / kilopascals(1, PressureUnit::mmhg) == doctest::Approx(775.72).epsilon(1e-5));
  }

  TEST_CASE("the factors of the other units") {
    CHECK(kilopascals(1, PressureUnit::atm) == 101.325);
    CHECK(kilopascals(1013.25, PressureUnit::hpa) == doctest::Approx(101.325));
    CHECK(kilopascals(0.1, PressureUnit::mpa) == doctest::Approx(100));
    CHECK(kilopascals(29.9212, PressureUnit::inhg) == doctest::Approx(101.325).epsilon(1e-5));
    CHECK(kilopascals(101325, PressureUnit::pa) == doctest::Approx(101.325));
    CHECK(kilopascals(7, PressureUnit::kpa) == 7);
  }

  TEST_CASE("a reading that is 121 degrees in Fahrenheit does not fall below it") {
    CHECK(celsius(249.8, TemperatureUnit::fahrenheit).value >= 121 - 1e-12);
    CHECK(celsius(250, TemperatureUnit::fahrenheit).value == doctest::Approx(121.1111111));
    CHECK(celsius(394.15, TemperatureUnit::kelvin).value == doctest::Approx(121));
    CHECK(kelvins(1.8, TemperatureUnit::fahrenheit) == doctest::Approx(1));
  }
}
