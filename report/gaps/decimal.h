// Exact decimals, so that a limit that is met exactly holds: 0.1 + 0.2 is 0.3 here. Only what the rules need: from a
// number as the record or the SOP writes it, sums, products and comparison. docs/gap-rules.md, "Amounts".
#pragma once

#include <compare>
#include <cstdint>
#include <vector>

namespace trayproof::gaps {

class Decimal {
 public:
  Decimal() = default;
  Decimal(std::int64_t whole);                                       // NOLINT: implicit by design
  Decimal(int whole) : Decimal(static_cast<std::int64_t>(whole)) {}  // NOLINT: implicit by design
  // The number as it was written with at most 15 significant digits. The value must be finite.
  static Decimal of(double written);

  Decimal operator-() const;
  friend Decimal operator+(const Decimal& a, const Decimal& b);
  friend Decimal operator-(const Decimal& a, const Decimal& b) { return a + -b; }
  friend Decimal operator*(const Decimal& a, const Decimal& b);
  friend std::strong_ordering operator<=>(const Decimal& a, const Decimal& b);
  friend bool operator==(const Decimal& a, const Decimal& b) { return (a <=> b) == std::strong_ordering::equal; }
  friend Decimal abs(const Decimal& a) { return a.negative_ ? -a : a; }

 private:
  using Limbs = std::vector<std::uint32_t>;  // nine digits each, lowest first, no zero limb on top
  static Decimal made(Limbs limbs, std::int64_t exponent, bool negative);
  static void align(Decimal& a, Decimal& b);
  void multiply_by_tens(std::int64_t count);

  Limbs limbs_;                // empty is zero
  std::int64_t exponent_ = 0;  // the value is limbs × 10^exponent
  bool negative_ = false;
};

}  // namespace trayproof::gaps
