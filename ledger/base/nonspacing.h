// Marks that are written over or under the letter before and take no place of their own (Unicode 15: category Mn of the
// scripts that this program speaks, and joiners).
#pragma once

namespace trayproof {

constexpr bool is_nonspacing(char32_t c) {
  const auto within = [c](char32_t first, char32_t last) { return first <= c && c <= last; };
  const bool devanagari = within(0x0900, 0x0902) || c == 0x093a || c == 0x093c || within(0x0941, 0x0948) || c == 0x094d ||
                          within(0x0951, 0x0957) || within(0x0962, 0x0963);
  return within(0x0300, 0x036f) || devanagari || within(0x200b, 0x200f) || within(0xfe00, 0xfe0f);
}

}  // namespace trayproof
