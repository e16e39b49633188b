#include "report/gaps/decimal.h"

#include <random>

#include "report/gaps/when.h"
#include "tests/support/test.h"

namespace trayproof::gaps {
namespace {

__extension__ using Wide = __int128;

}  // namespace

TEST_CASE("decimals add as they are written") {
  CHECK(Decimal::of(0.1) + Decimal::of(0.2) == Decimal::of(0.3));
  CHECK(Decimal::of(1.1) - Decimal::of(1) == Decimal::of(0.1));
  CHECK(Decimal::of(999999999999999) + Decimal(1) == Decimal(1000000000000000));
  CHECK(Decimal::of(-2.5) < Decimal::of(0));
  CHECK(Decimal::of(0) == Decimal(0));
  CHECK(Decimal::of(-0.0) == Decimal(0));
  CHECK(Decimal::of(1e-300) > Decimal(0));
  CHECK(Decimal::of(1e15) * Decimal::of(1e-15) == Decimal(1));
}

TEST_CASE("products and sums agree with whole numbers of 128 bits") {
  std::mt19937_64 random(7);
  std::uniform_int_distribution<std::int64_t> number(-4'000'000'000'000'000'000, 4'000'000'000'000'000'000);
  for (int round = 0; round < 20000; ++round) {
    const std::int64_t a = number(random) >> (round % 50);
    const std::int64_t b = number(random) >> (round % 37);
    const std::int64_t c = number(random) >> (round % 41);
    const std::int64_t d = number(random) >> (round % 29);
    const Wide product = Wide{a} * b;
    const Wide other = Wide{c} * d;
    const auto order = Decimal(a) * Decimal(b) <=> Decimal(c) * Decimal(d);
    REQUIRE((product < other) == (order == std::strong_ordering::less));
    REQUIRE((product == other) == (order == std::strong_ordering::equal));
    REQUIRE(Decimal(a) + Decimal(b) - Decimal(b) == Decimal(a));
    const Wide sum = Wide{a} + b;
    if (sum >= INT64_MIN && sum <= INT64_MAX)
      REQUIRE(Decimal(a) + Decimal(b) == Decimal(static_cast<std::int64_t>(sum)));
  }
}

TEST_CASE("a limit that is met exactly holds and one millisecond more does not") {
  const When from = When::exactly({0});
  // 0.1 minutes are 6,000 ms; 4.1 hours are 14,760,000 ms, which no double holds exactly.
  CHECK(longer(elapsed(from, When::exactly({6000})), 0.1, minute_ms) == Told::no);
  CHECK(longer(elapsed(from, When::exactly({6001})), 0.1, minute_ms) == Told::yes);
  CHECK(shorter(elapsed(from, When::exactly({14'760'000})), 4.1, hour_ms) == Told::no);
  CHECK(shorter(elapsed(from, When::exactly({14'759'999})), 4.1, hour_ms) == Told::yes);
  CHECK(after(from, 4.1, hour_ms).at.ms == 14'760'000);
  CHECK(after(from, 0.00001, minute_ms).at.ms == 0);
}

TEST_CASE("what a coarse time would decide stays open") {
  const When minute{{0}, {0}, {59'999}};
  const When later_one{{60'000}, {60'000}, {119'999}};
  CHECK(later(later_one, minute) == Told::yes);
  CHECK(later(minute, later_one) == Told::no);
  CHECK(later(minute, minute) == Told::open);
  CHECK(longer(elapsed(minute, later_one), 1, minute_ms) == Told::open);
  CHECK((Told::open && Told::no) == Told::no);
  CHECK((Told::open || Told::yes) == Told::yes);
  CHECK((!Told::open) == Told::open);
}

}  // namespace trayproof::gaps
