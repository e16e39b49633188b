#include "importer/reading/zone_words.h"

#include <array>
#include <utility>

namespace trayproof::reading {

std::optional<std::int16_t> zone_word(std::string_view word) {
  static constexpr std::array<std::pair<std::string_view, int>, 25> words = {
      {{"EAT", 180},  {"CAT", 120},  {"SAST", 120}, {"WAT", 60},   {"CET", 60},   {"CEST", 120}, {"EET", 120},
       {"EEST", 180}, {"WET", 0},    {"WEST", 60},  {"MSK", 180},  {"PKT", 300},  {"NPT", 345},  {"WIB", 420},
       {"WITA", 480}, {"JST", 540},  {"KST", 540},  {"AEST", 600}, {"AEDT", 660}, {"NZST", 720}, {"NZDT", 780},
       {"EDT", -240}, {"CDT", -300}, {"MDT", -360}, {"PDT", -420}}};
  for (const auto& [name, minutes] : words) {
    if (name == word) return static_cast<std::int16_t>(minutes);
  }
  return std::nullopt;
}

}  // namespace trayproof::reading
