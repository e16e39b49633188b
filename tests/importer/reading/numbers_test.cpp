#include "importer/reading/numbers.h"

#include "tests/support/test.h"

using namespace trayproof::reading;

namespace {

double point(std::string_view cell) { return parse_quantity(cell, Decimal::point).value_or(Number{-99999, {}}).value; }
double comma(std::string_view cell) { return parse_quantity(cell, Decimal::comma).value_or(Number{-99999, {}}).value; }

}  // namespace

TEST_SUITE("importer/reading/numbers.h") {
  TEST_CASE("numbers with either mark and with thousands") {
    CHECK(point("121.3") == 121.3);
    CHECK(comma("121,3") == 121.3);
    CHECK(point("1,234.5") == 1234.5);
    CHECK(comma("1.234,5") == 1234.5);
    CHECK(comma("1 234,5") == 1234.5);
    CHECK(point("1'234.5") == 1234.5);
    CHECK(point("101\xC2\xA0"
                "325") == 101325);
    CHECK(point(".5") == 0.5);
    CHECK(point("-0.25") == -0.25);
    CHECK(point("+7") == 7);
    CHECK(point("\xE2\x88\x92"
                "3.5") == -3.5);
    CHECK(point("1.213E+02") == doctest::Approx(121.3));
    CHECK(point("007.50") == 7.5);
  }

  TEST_CASE("a unit may stand behind") {
    const auto found = parse_quantity("121.3 °C", Decimal::point);
    REQUIRE(found);
    CHECK(found->value == 121.3);
    CHECK(found->unit == "°C");
    CHECK(parse_quantity("1.06 kgf/cm2", Decimal::point)->unit == "kgf/cm2");
  }

  TEST_CASE("what is no number is none") {
    for (const std::string_view cell :
         {"", "abc", "12:30", "2024-05-01", "1/2", "1;2", "-", ".", "1.2.3", "12,3,4", "OL", "1,23"}) {
      CHECK_MESSAGE(!parse_quantity(cell, Decimal::point), cell);
    }
    CHECK_FALSE(parse_quantity("121.3", Decimal::comma));
  }

  TEST_CASE("marks are no numbers and words are no marks") {
    for (const std::string_view cell : {"OL", "-OL", "---", "ERR", "NaN", "#NAME?", "#N/A", "open", "N/A", "****",
                                        "null", "Over Range", ">150", "--.-"}) {
      CHECK_MESSAGE(is_mark(cell), cell);
    }
    for (const std::string_view cell : {"", "hello", "21.5", "Chamber", "2024-05-01"})
      CHECK_FALSE_MESSAGE(is_mark(cell), cell);
  }

  TEST_CASE("what a cell says about the decimal mark") {
    CHECK(decimal_hint("121,3") == DecimalHint::comma);
    CHECK(decimal_hint("121.3") == DecimalHint::point);
    CHECK(decimal_hint("1.234,5") == DecimalHint::comma);
    CHECK(decimal_hint("1,234.5") == DecimalHint::point);
    CHECK(decimal_hint("1,013") == DecimalHint::comma_or_thousands);
    CHECK(decimal_hint("0,013") == DecimalHint::comma);
    CHECK(decimal_hint("1.013") == DecimalHint::point_or_thousands);
    CHECK(decimal_hint("1.234.567") == DecimalHint::comma);
    CHECK(decimal_hint("12") == DecimalHint::none);
  }
}
