#include "report/gaps/decimal.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string_view>

#include "ledger/base/check.h"

namespace trayproof::gaps {
namespace {

constexpr std::uint64_t base = 1'000'000'000;
constexpr int digits_written = 15;

using Limbs = std::vector<std::uint32_t>;

void drop_zeros(Limbs& limbs) {
  while (!limbs.empty() && limbs.back() == 0) limbs.pop_back();
}

void multiply(Limbs& limbs, std::uint64_t factor) {
  std::uint64_t carry = 0;
  for (std::uint32_t& limb : limbs) {
    const std::uint64_t product = limb * factor + carry;
    limb = static_cast<std::uint32_t>(product % base);
    carry = product / base;
  }
  if (carry != 0) limbs.push_back(static_cast<std::uint32_t>(carry));
}

std::strong_ordering compare(const Limbs& a, const Limbs& b) {
  if (a.size() != b.size()) return a.size() <=> b.size();
  for (std::size_t i = a.size(); i-- > 0;) {
    if (a[i] != b[i]) return a[i] <=> b[i];
  }
  return std::strong_ordering::equal;
}

Limbs sum(const Limbs& a, const Limbs& b) {
  Limbs out;
  std::uint64_t carry = 0;
  for (std::size_t i = 0; i < std::max(a.size(), b.size()) || carry != 0; ++i) {
    const std::uint64_t total = (i < a.size() ? a[i] : 0) + (i < b.size() ? b[i] : 0ULL) + carry;
    out.push_back(static_cast<std::uint32_t>(total % base));
    carry = total / base;
  }
  return out;
}

// a must not be below b.
Limbs difference(const Limbs& a, const Limbs& b) {
  Limbs out = a;
  std::int64_t borrow = 0;
  for (std::size_t i = 0; i < out.size(); ++i) {
    std::int64_t rest =
        static_cast<std::int64_t>(out[i]) - borrow - (i < b.size() ? static_cast<std::int64_t>(b[i]) : 0);
    borrow = rest < 0 ? 1 : 0;
    if (rest < 0) rest += static_cast<std::int64_t>(base);
    out[i] = static_cast<std::uint32_t>(rest);
  }
  CHECK(borrow == 0);
  drop_zeros(out);
  return out;
}

}  // namespace

Decimal Decimal::made(Limbs limbs, std::int64_t exponent, bool negative) {
  Decimal out;
  drop_zeros(limbs);
  out.negative_ = negative && !limbs.empty();
  out.exponent_ = limbs.empty() ? 0 : exponent;
  out.limbs_ = std::move(limbs);
  return out;
}

Decimal::Decimal(std::int64_t whole) : negative_(whole < 0) {
  std::uint64_t rest = negative_ ? 0 - static_cast<std::uint64_t>(whole) : static_cast<std::uint64_t>(whole);
  for (; rest != 0; rest /= base) limbs_.push_back(static_cast<std::uint32_t>(rest % base));
}

Decimal Decimal::of(double written) {
  CHECK(std::isfinite(written));
  // "d.dddde±xx" with 15 significant digits: every decimal of that many digits survives the way through a double.
  char text[40];
  const auto end =
      std::to_chars(text, text + sizeof text, std::abs(written), std::chars_format::scientific, digits_written - 1);
  const std::string_view all(text, static_cast<std::size_t>(end.ptr - text));
  const std::size_t mark = all.find('e');
  std::int64_t digits = 0;
  for (const char c : all.substr(0, mark)) {
    if (c != '.') digits = digits * 10 + (c - '0');
  }
  std::string_view power = all.substr(mark + 1);
  if (power.front() == '+') power.remove_prefix(1);
  std::int64_t exponent = 0;
  std::from_chars(power.data(), power.data() + power.size(), exponent);
  exponent -= digits_written - 1;
  for (; digits != 0 && digits % 10 == 0; ++exponent) digits /= 10;
  return made(Decimal(digits).limbs_, exponent, written < 0);
}

Decimal Decimal::operator-() const { return made(limbs_, exponent_, !negative_); }

void Decimal::multiply_by_tens(std::int64_t count) {
  exponent_ -= count;
  for (; count >= 9; count -= 9) multiply(limbs_, base);
  for (; count > 0; --count) multiply(limbs_, 10);
}

void Decimal::align(Decimal& a, Decimal& b) {
  if (a.limbs_.empty()) a.exponent_ = b.exponent_;
  if (b.limbs_.empty()) b.exponent_ = a.exponent_;
  if (a.exponent_ > b.exponent_) a.multiply_by_tens(a.exponent_ - b.exponent_);
  if (b.exponent_ > a.exponent_) b.multiply_by_tens(b.exponent_ - a.exponent_);
}

Decimal operator+(const Decimal& first, const Decimal& second) {
  Decimal a = first;
  Decimal b = second;
  Decimal::align(a, b);
  if (a.negative_ == b.negative_) return Decimal::made(sum(a.limbs_, b.limbs_), a.exponent_, a.negative_);
  if (compare(a.limbs_, b.limbs_) < 0) std::swap(a, b);
  return Decimal::made(difference(a.limbs_, b.limbs_), a.exponent_, a.negative_);
}

Decimal operator*(const Decimal& a, const Decimal& b) {
  Limbs out(a.limbs_.size() + b.limbs_.size(), 0);
  for (std::size_t i = 0; i < a.limbs_.size(); ++i) {
    std::uint64_t carry = 0;
    for (std::size_t j = 0; j < b.limbs_.size() || carry != 0; ++j) {
      const std::uint64_t factor = j < b.limbs_.size() ? b.limbs_[j] : 0;
      const std::uint64_t total = out[i + j] + a.limbs_[i] * factor + carry;
      out[i + j] = static_cast<std::uint32_t>(total % base);
      carry = total / base;
    }
  }
  return Decimal::made(std::move(out), a.exponent_ + b.exponent_, a.negative_ != b.negative_);
}

std::strong_ordering operator<=>(const Decimal& first, const Decimal& second) {
  if (first.negative_ != second.negative_) {
    return first.negative_ ? std::strong_ordering::less : std::strong_ordering::greater;
  }
  Decimal a = first;
  Decimal b = second;
  Decimal::align(a, b);
  return a.negative_ ? compare(b.limbs_, a.limbs_) : compare(a.limbs_, b.limbs_);
}

}  // namespace trayproof::gaps
