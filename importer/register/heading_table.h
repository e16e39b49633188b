// The words over columns of registers, and the fields they stand for. Phrases are folded: small letters, no accents.
#pragma once

#include <span>
#include <string_view>

namespace trayproof::registers {

struct HeadingWords {
  std::string_view field;
  std::string_view phrases;  // parted by |
  std::string_view kinds;    // names parted by |; empty: wherever the field is
};
std::span<const HeadingWords> heading_table();

// Words of a heading over times.
enum class TimeWord { none, time, start, end, expiry, due, placed };
TimeWord time_word(std::string_view word);
// Verbs and nouns of what was done, that say nothing more beside "date" or "time".
bool is_deed(std::string_view word);
// Words that tell nothing: "no", "id", "of", "der" …
bool is_filler(std::string_view word);

}  // namespace trayproof::registers
