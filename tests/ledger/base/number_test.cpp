#include "ledger/base/number.h"

#include <bit>
#include <cmath>
#include <cstdint>

#include "ledger/base/bytes.h"
#include "tests/support/test.h"

using namespace trayproof;

// RFC 8785 appendix B.
TEST_CASE("numbers are written as the appendix of RFC 8785 writes them") {
  struct Row {
    std::uint64_t bits;
    const char* text;
  };
  const Row rows[] = {
      {0x0000000000000000, "0"},
      {0x8000000000000000, "0"},
      {0x0000000000000001, "5e-324"},
      {0x8000000000000001, "-5e-324"},
      {0x7fefffffffffffff, "1.7976931348623157e+308"},
      {0xffefffffffffffff, "-1.7976931348623157e+308"},
      {0x4340000000000000, "9007199254740992"},
      {0xc340000000000000, "-9007199254740992"},
      {0x4430000000000000, "295147905179352830000"},
      {0x44b52d02c7e14af5, "9.999999999999997e+22"},
      {0x44b52d02c7e14af6, "1e+23"},
      {0x44b52d02c7e14af7, "1.0000000000000001e+23"},
      {0x444b1ae4d6e2ef4e, "999999999999999700000"},
      {0x444b1ae4d6e2ef4f, "999999999999999900000"},
      {0x444b1ae4d6e2ef50, "1e+21"},
      {0x3eb0c6f7a0b5ed8c, "9.999999999999997e-7"},
      {0x3eb0c6f7a0b5ed8d, "0.000001"},
      {0x41b3de4355555553, "333333333.3333332"},
      {0x41b3de4355555554, "333333333.33333325"},
      {0x41b3de4355555555, "333333333.3333333"},
      {0x41b3de4355555556, "333333333.3333334"},
      {0x41b3de4355555557, "333333333.33333343"},
      {0xbecbf647612f3696, "-0.0000033333333333333333"},
      {0x43143ff3c1cb0959, "1424953923781206.2"},
  };
  for (const Row& row : rows) {
    INFO(std::string(row.text));
    CHECK_EQ(shortest(std::bit_cast<double>(row.bits)), row.text);
  }
}

TEST_CASE("significant digits are counted without zeros at either end") {
  struct Row {
    const char* text;
    int digits;
  };
  const Row rows[] = {{"0", 0},
                      {"0.0", 0},
                      {"1", 1},
                      {"10", 1},
                      {"1000000", 1},
                      {"0.001", 1},
                      {"1.50", 2},
                      {"-12.5", 3},
                      {"1e3", 1},
                      {"1.25E-7", 3},
                      {"101", 3},
                      {"0.1010", 3},
                      {"123456789012345", 15},
                      {"1234567890123456", 16},
                      {"0.30000000000000004", 17}};
  for (const Row& row : rows) {
    INFO(std::string(row.text));
    CHECK_EQ(significant_digits(row.text), row.digits);
  }
}

TEST_CASE("a whole text is one decimal number or none") {
  CHECK(parse_number("-12.5") == -12.5);
  CHECK(parse_number("+3") == 3.0);
  CHECK(parse_number("1e3") == 1000.0);
  for (const char* bad :
       {"", "+", "-", "1,5", "1.5 ", " 1.5", "1.5C", "nan", "inf", "1e999", "0x10", "1_000", "++3", "+-3"}) {
    INFO(std::string(bad));
    CHECK(!parse_number(bad));
  }
}

TEST_CASE("numbers for people are rounded half away from zero without trailing zeros") {
  CHECK_EQ(rounded(121.25, 1), "121.3");
  CHECK_EQ(rounded(-121.25, 1), "-121.3");
  CHECK_EQ(rounded(121.0, 2), "121");
  CHECK_EQ(rounded(0.5, 0), "1");
  CHECK_EQ(rounded(-0.04, 1), "0");
  CHECK_EQ(rounded(1500.0, 1), "1500");
}
