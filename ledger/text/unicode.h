// Unicode rules that need its tables (ICU): normal form C, letters and digits.
#pragma once

#include <string>
#include <string_view>

namespace trayproof {

// Normal form C of valid UTF-8.
std::string nfc(std::string_view text);
// For comparing words: without case, accents and other marks, wide and ligature forms as plain ones; of valid UTF-8.
std::string folded(std::string_view text);
bool is_letter_or_digit(char32_t code_point);
// What an id may hold: letters with their combining marks and joiners, and digits.
bool is_id_letter(char32_t code_point);
// Control characters other than LF, and the marks that turn the direction of text round (overrides, embeddings,
// isolates): they can make a line read otherwise than it is stored.
bool is_control(char32_t code_point);
bool is_direction_mark(char32_t code_point);

}  // namespace trayproof
