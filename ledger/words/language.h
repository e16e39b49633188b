// The languages that texts are said in. English is the catalogue itself; the others stand beside it in
// ledger/words/languages/ as gettext files, key by key. What has no translation there, or one of an older English text,
// is said in English.
//
// A translation that no speaker of the trade has reviewed says so where it is shown, and cautions always stand with the
// English beside them. How it writes numbers and days stands in ledger/text/locale.h.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>

namespace trayproof {

enum class Language {
  english,
  spanish,
  french,
  hindi,
  swahili,
  mirrored,  // English read from right to left: shows where a page forgets that direction; for tests
};

inline constexpr std::size_t languages_count = static_cast<std::size_t>(Language::mirrored) + 1;

struct LanguageFacts {
  Language language;
  std::string_view tag;   // BCP 47
  std::string_view name;  // in itself
  bool right_to_left;
  bool reviewed;     // by a speaker who knows the trade, who signs for it in docs/words.md
  bool zero_is_one;  // "0 ligne" as "1 ligne" (Unicode CLDR, plural rules)
};
std::span<const LanguageFacts> languages();
const LanguageFacts& facts_of(Language language);
// "fr" from "fr", "fr-CD" or "FR_cd"; nothing when it is none of them.
std::optional<Language> language_of(std::string_view tag);
// "en, es, fr, hi, sw".
std::string language_tags();

// What this thread says texts in: what is spoken here, else what the program speaks.
Language language();
// Of the program: once, before other threads.
void speak(Language language);

// From here to the end of its scope this thread says texts in that language.
class Speaking {
 public:
  explicit Speaking(Language language);
  Speaking(const Speaking&) = delete;
  Speaking& operator=(const Speaking&) = delete;
  ~Speaking();

 private:
  std::optional<Language> before_;
};

// Work for another thread, which there too says its texts in the language of the thread that hands it over.
template <typename Work>
auto handed_over(Work work) {
  return [spoken = language(), work = std::move(work)](auto&&... given) mutable -> decltype(auto) {
    const Speaking speaking(spoken);
    return work(std::forward<decltype(given)>(given)...);
  };
}

// The sentence that a translation is not reviewed, in it and in English; empty in English and in reviewed ones.
std::string unreviewed_notice();

}  // namespace trayproof
