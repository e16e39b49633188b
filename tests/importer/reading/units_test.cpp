#include "importer/reading/units.h"

#include "tests/support/test.h"

using namespace trayproof::reading;

TEST_SUITE("importer/reading/units.h") {
  TEST_CASE("spellings of units") {
    for (const std::string_view text :
         {"°C", "ºC", "degC", "DEG.C", "deg C", "C", "Celsius", "℃", "(°C)", "Â°C", "Deg. C"}) {
      const auto found = unit_named(text);
      REQUIRE_MESSAGE(found, text);
      CHECK(found->unit == Unit::celsius);
    }
    CHECK(unit_named("psig")->sense == Sense::gauge);
    CHECK(unit_named("psia")->sense == Sense::absolute);
    CHECK(unit_named("bar(g)")->sense == Sense::gauge);
    CHECK(unit_named("bar(a)")->sense == Sense::absolute);
    CHECK(unit_named("kPa abs")->sense == Sense::absolute);
    CHECK(unit_named("kPa")->sense == Sense::unknown);
    CHECK(unit_named("kgf/cm²")->unit == Unit::kgf_cm2);
    CHECK(unit_named("mbar")->unit == Unit::hpa);
    CHECK(unit_named("inHg")->unit == Unit::inhg);
    CHECK_FALSE(unit_named("Chamber"));
    CHECK_FALSE(unit_named(""));
  }

  TEST_CASE("units inside a column's name") {
    CHECK(unit_in("Temp (°C)")->unit == Unit::celsius);
    CHECK(unit_in("T_C")->unit == Unit::celsius);
    CHECK(unit_in("t_s")->unit == Unit::second);
    CHECK(unit_in("Temperature/°F")->unit == Unit::fahrenheit);
    CHECK(unit_in("Chamber kPa abs")->sense == Sense::absolute);
    CHECK(unit_in("Pressure [bar] (gauge)")->sense == Sense::gauge);
    CHECK(unit_in("Thermocouple(°C)")->unit == Unit::celsius);
    CHECK_FALSE(unit_in("Rate (°C/min)"));
    CHECK_FALSE(unit_in("Chamber"));
  }

  TEST_CASE("what a name says that a column holds") {
    CHECK(guess_of("Set Temp (°C)") == Guess::ignored);
    CHECK(guess_of("SetPoint") == Guess::ignored);
    CHECK(guess_of("F0") == Guess::ignored);
    CHECK(guess_of("Rate (°F/h)") == Guess::ignored);
    CHECK(guess_of("Chamber") == Guess::temperature);
    CHECK(guess_of("T1") == Guess::temperature);
    CHECK(guess_of("Pressure") == Guess::pressure);
    CHECK(guess_of("Barometer (hPa)") == Guess::barometer);
    CHECK(guess_of("Date/Time") == Guess::time);
    CHECK(guess_of("Datum") == Guess::date);
    CHECK(guess_of("Index") == Guess::index);
    CHECK(guess_of("Elapsed (min)") == Guess::time);
    CHECK(guess_of("RH %") == Guess::humidity);
  }
}
