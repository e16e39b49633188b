#include "tests/ledger/text/es6_numbers.h"

#include <cstdio>
#include <string>

#include "ledger/base/number.h"
#include "tests/support/test.h"

using namespace trayproof;

// Hashes of cyberphone/json-canonicalization, testdata/README.md.
TEST_CASE("the first hundred thousand numbers of the published sequence are written as ECMAScript writes them") {
  tests::Es6Numbers numbers;
  std::string lines;
  for (int line = 1; line <= 100'000; ++line) {
    const double value = numbers.next();
    char bits[20];
    std::snprintf(bits, sizeof bits, "%llx,", static_cast<unsigned long long>(std::bit_cast<std::uint64_t>(value)));
    lines += bits + shortest(value) + "\n";
    if (line == 1'000) {
      CHECK_EQ(lines.size(), 37'967U);
      CHECK_EQ(hex(crypto::sha256(as_bytes(lines))),
               "be18b62b6f69cdab33a7e0dae0d9cfa869fda80ddc712221570f9f40a5878687");
    } else if (line == 10'000) {
      CHECK_EQ(lines.size(), 399'022U);
      CHECK_EQ(hex(crypto::sha256(as_bytes(lines))),
               "b9f7a8e75ef22a835685a52ccba7f7d6bdc99e34b010992cbc5864cd12be6892");
    }
  }
  CHECK_EQ(lines.size(), 4'031'728U);
  CHECK_EQ(hex(crypto::sha256(as_bytes(lines))), "22776e6d4b49fa294a0d0f349268e5c28808fe7e0cb2bcbe28f63894e494d4c7");
}

TEST_CASE("every number of the sequence reads back as the same double") {
  tests::Es6Numbers numbers;
  for (int line = 1; line <= 20'000; ++line) {
    const double value = numbers.next();
    const auto back = parse_number(shortest(value));
    REQUIRE(back);
    REQUIRE(*back == value);
  }
}
