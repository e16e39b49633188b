#include "ledger/text/json_canonical.h"

#include "ledger/base/number.h"
#include "ledger/base/utf8.h"
#include "ledger/text/plain_bytes.h"

namespace trayproof::json {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

// Each step says whether what it names comes next, and stands behind it then. Whether what is not ASCII is UTF-8 is for
// the caller.
class Pass {
 public:
  explicit Pass(std::string_view text) : at_(text.data()), end_(text.data() + text.size()) {}

  // Each member of the object is told to `put` by name and spelling.
  template <typename Put>
  bool object(std::size_t depth, const Put& put) {
    if (depth == 0 || !takes('{')) return false;
    if (takes('}')) return true;
    std::string_view before;
    bool first = true;
    do {
      std::string_view name;
      // In order, and so none twice.
      if (!text(name) || (!first && !name_before(before, name)) || !takes(':')) return false;
      const char* const from = at_;
      if (!value(depth - 1)) return false;
      put(name, from, at_);
      before = name;
      first = false;
    } while (takes(','));
    return takes('}');
  }
  bool ended() const { return at_ == end_; }
  bool ascii() const { return all_ascii(seen_); }

 private:
  bool takes(char c) {
    if (at_ == end_ || *at_ != c) return false;
    ++at_;
    return true;
  }
  bool takes(std::string_view word) {
    if (!std::string_view(at_, static_cast<std::size_t>(end_ - at_)).starts_with(word)) return false;
    at_ += word.size();
    return true;
  }

  bool value(std::size_t depth) {
    if (at_ == end_) return false;
    std::string_view ignored;
    switch (*at_) {
      case '"':
        return text(ignored);
      case '{':
        return object(depth, [](std::string_view, const char*, const char*) {});
      case '[':
        return list(depth);
      case 't':
        return takes("true");
      case 'f':
        return takes("false");
      case 'n':
        return takes("null");
      default:
        return number();
    }
  }

  bool list(std::size_t depth) {
    if (depth == 0 || !takes('[')) return false;
    if (takes(']')) return true;
    do {
      if (!value(depth - 1)) return false;
    } while (takes(','));
    return takes(']');
  }

  // One without a backslash, which nothing else than its own bytes can spell then.
  bool text(std::string_view& inside) {
    if (!takes('"')) return false;
    const char* const from = at_;
    at_ = past_plain(at_, end_, seen_);
    inside = {from, static_cast<std::size_t>(at_ - from)};
    return takes('"');
  }

  std::ptrdiff_t digits() {
    const char* const from = at_;
    while (at_ != end_ && is_digit(*at_)) ++at_;
    return at_ - from;
  }

  // Of at most 15 digits that count and without an exponent. Two such numbers are never the same double, so the
  // shortest spelling of the double is this one, where it has no needless zero and none that asks for an exponent.
  bool number() {
    const bool negative = takes('-');
    const char* const whole = at_;
    const std::ptrdiff_t whole_digits = digits();
    if (whole_digits == 0 || (*whole == '0' && whole_digits > 1)) return false;
    if (!takes('.')) return whole_digits <= digits_max && !(negative && *whole == '0');
    const char* fraction = at_;
    std::ptrdiff_t fraction_digits = digits();
    if (fraction_digits == 0 || at_[-1] == '0') return false;
    if (*whole != '0') return whole_digits + fraction_digits <= digits_max;
    std::ptrdiff_t zeros = 0;
    while (fraction[zeros] == '0') ++zeros;
    return zeros <= zeros_max && fraction_digits - zeros <= digits_max;
  }

  static constexpr std::ptrdiff_t digits_max = 15;
  static constexpr std::ptrdiff_t zeros_max = 5;  // 0.000001 is spelled so, 1e-7 not (ECMA-262, Number::toString)
  const char* at_;
  const char* const end_;
  std::uint64_t seen_ = 0;  // of texts; all else is ASCII
};

}  // namespace

bool CanonicalObject::read(std::string_view text, std::size_t depth) {
  members_.clear();
  Pass pass(text);
  const auto put = [this](std::string_view name, const char* from, const char* end) {
    members_.push_back({name, {from, static_cast<std::size_t>(end - from)}});
  };
  return pass.object(depth, put) && pass.ended() && (pass.ascii() || !first_bad_utf8(text));
}

std::string_view CanonicalObject::spelling_of(std::string_view name) const {
  for (const Spelt& member : members_) {
    // Most names differ in length or in their first byte, and are not compared further.
    if (member.name.size() != name.size() || (!name.empty() && member.name.front() != name.front())) continue;
    if (member.name == name) return member.value;
  }
  return {};
}

std::optional<std::string_view> CanonicalObject::text_at(std::string_view name) const {
  const std::string_view spelling = spelling_of(name);
  if (!spelling.starts_with('"')) return std::nullopt;
  return spelling.substr(1, spelling.size() - 2);
}

std::optional<double> CanonicalObject::number_at(std::string_view name) const {
  const std::string_view spelling = spelling_of(name);
  if (spelling.empty() || (spelling.front() != '-' && !is_digit(spelling.front()))) return std::nullopt;
  // A whole number, which has at most 15 digits here.
  std::int64_t whole = 0;
  for (const char c : spelling) {
    if (!is_digit(c)) return parse_number(spelling);
    whole = whole * 10 + (c - '0');
  }
  return static_cast<double>(whole);
}

}  // namespace trayproof::json
