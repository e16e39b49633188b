#include "report/desk/typed_number.h"

#include <algorithm>
#include <array>
#include <vector>

namespace trayproof::desk {
namespace {

constexpr std::string_view spaces[] = {" ", "\u00A0", "\u202F"};  // plain, no-break, narrow no-break

bool are_digits(std::string_view text) {
  return !text.empty() && text.find_first_not_of("0123456789") == std::string_view::npos;
}

// Blanks of any width as one sign.
std::string with_plain_spaces(std::string_view typed) {
  std::string out(typed);
  for (const std::string_view space : spaces) {
    for (std::size_t at = out.find(space); at != std::string::npos; at = out.find(space, at + 1))
      out.replace(at, space.size(), " ");
  }
  return out;
}

// "9 000", "1,00,000": the digits alone. The last group has three; in Hindi those before it have two. Nothing where
// they are no groups.
std::optional<std::string> without_groups(std::string_view whole, char mark, std::size_t shortest) {
  std::string digits;
  for (std::size_t from = 0; from <= whole.size();) {
    const std::size_t end = std::min(whole.find(mark, from), whole.size());
    const std::string_view group = whole.substr(from, end - from);
    const bool first = from == 0;
    const bool last = end == whole.size();
    const bool fits = first  ? group.size() <= 3
                      : last ? group.size() == 3
                             : group.size() >= shortest && group.size() <= 3;
    if (!fits || !are_digits(group)) return std::nullopt;
    digits += group;
    from = end + 1;
  }
  return digits;
}

struct Parts {
  std::string sign, before, after;
};

// One comma and nothing else beside digits.
std::optional<Parts> around_comma(std::string_view text) {
  Parts parts;
  if (text.starts_with('-')) {
    parts.sign = "-";
    text.remove_prefix(1);
  }
  const std::size_t comma = text.find(',');
  if (comma == std::string_view::npos) return std::nullopt;
  parts.before = text.substr(0, comma);
  parts.after = text.substr(comma + 1);
  if (!are_digits(parts.before) || !are_digits(parts.after)) return std::nullopt;
  return parts;
}

// Three digits behind it, and before it what could be a group.
bool is_either(const Parts& parts) {
  return parts.after.size() == 3 && parts.before.size() <= 3 && !parts.before.starts_with('0');
}

}  // namespace

std::optional<std::string> plain_number(std::string_view typed) {
  std::string text = with_plain_spaces(typed);
  const std::string sign = text.starts_with('-') ? "-" : "";
  const std::size_t mark = std::min(text.find_first_of(".,"), text.size());
  if (text.find(' ') != std::string::npos) {
    const auto digits = without_groups(std::string_view(text).substr(sign.size(), mark - sign.size()), ' ', 3);
    if (!digits) return std::nullopt;
    text = sign + *digits + text.substr(mark);
    // Spaces part the thousands, so a comma is the decimal mark.
    if (const std::size_t comma = text.find(','); comma != std::string::npos) text[comma] = '.';
    return text;
  }
  if (const auto parts = around_comma(text)) {
    if (is_either(*parts)) return std::nullopt;
    return parts->sign + parts->before + "." + parts->after;
  }
  if (text.find(',') == std::string::npos) return text;
  // Several commas, or a point behind: they part thousands.
  const std::size_t point = std::min(text.find('.'), text.size());
  const auto digits = without_groups(std::string_view(text).substr(sign.size(), point - sign.size()), ',', 2);
  if (!digits) return std::nullopt;
  return sign + *digits + text.substr(point);
}

std::optional<Meanings> meanings_of_comma(std::string_view typed) {
  const auto parts = around_comma(typed);
  if (!parts || !is_either(*parts)) return std::nullopt;
  std::string decimals = parts->after;
  while (decimals.size() > 1 && decimals.back() == '0') decimals.pop_back();
  return Meanings{.whole = parts->sign + parts->before + parts->after,
                  .decimal = parts->sign + parts->before + "." + decimals};
}

}  // namespace trayproof::desk
