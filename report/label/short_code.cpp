#include "report/label/short_code.h"

#include <algorithm>
#include <charconv>

#include "ledger/base/check.h"

namespace trayproof::label {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

}  // namespace

// ISO/IEC 7064, hybrid system MOD 11,10: from memory; the test holds it against python3-stdnum.
char check_digit(std::string_view digits) {
  CHECK(!digits.empty() && std::all_of(digits.begin(), digits.end(), is_digit));
  int product = 10;
  for (const char digit : digits) {
    const int sum = (product + (digit - '0')) % 10;
    product = (sum == 0 ? 10 : sum) * 2 % 11;
  }
  return static_cast<char>('0' + (11 - product) % 10);
}

std::string short_code(std::int64_t seq) {
  CHECK(seq > 0);
  const std::string digits = std::to_string(seq);
  return digits + "-" + check_digit(digits);
}

std::optional<std::int64_t> seq_of_code(std::string_view code) {
  if (code.size() < 3) return std::nullopt;
  const std::string_view digits = code.substr(0, code.size() - 2);
  const char between = code[code.size() - 2];
  if (between != '-' && between != ' ') return std::nullopt;
  std::int64_t seq = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), seq);
  if (error != std::errc() || end != digits.data() + digits.size() || digits.front() == '0' || seq <= 0)
    return std::nullopt;
  if (check_digit(digits) != code.back()) return std::nullopt;
  return seq;
}

}  // namespace trayproof::label
