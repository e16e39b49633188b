// A number as somebody types it into a form, or copies it from a page: with a decimal comma or point, and thousands
// parted as pages part them in one language or another (ledger/text/locale.h).
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace trayproof::desk {

// With a point and without groups: "0.5" of "0,5", "9000" of "9 000" (spaces of any width), "9000.5" of "9,000.5".
// Nothing where a comma may be either ("9,000"), or groups are none. What is no number otherwise stays as typed.
std::optional<std::string> plain_number(std::string_view typed);

// What "9,000" may mean, each as it is taken: "9000" and "9.0".
struct Meanings {
  std::string whole, decimal;
};
// Nothing of a text that has one meaning or none.
std::optional<Meanings> meanings_of_comma(std::string_view typed);

}  // namespace trayproof::desk
