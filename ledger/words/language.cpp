#include "ledger/words/language.h"

#include <algorithm>
#include <atomic>
#include <vector>

#include "ledger/base/check.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

constexpr LanguageFacts all[] = {
    {Language::english, "en", "English", false, true, false},
    {Language::spanish, "es", "español", false, false, false},
    {Language::french, "fr", "français", false, false, true},
    {Language::hindi, "hi", "हिन्दी", false, false, true},
    {Language::swahili, "sw", "Kiswahili", false, false, false},
    {Language::mirrored, "en-x-mirror", "English, mirrored", true, true, false},
};

std::atomic<Language> of_program{Language::english};
thread_local std::optional<Language> of_thread;

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

}  // namespace

std::span<const LanguageFacts> languages() { return all; }

const LanguageFacts& facts_of(Language language) {
  const auto* const found =
      std::find_if(std::begin(all), std::end(all), [&](const LanguageFacts& one) { return one.language == language; });
  CHECK(found != std::end(all));
  return *found;
}

std::optional<Language> language_of(std::string_view tag) {
  std::string plain(tag);
  std::transform(plain.begin(), plain.end(), plain.begin(), [](char c) { return c == '_' ? '-' : lower(c); });
  for (const LanguageFacts& one : all) {
    if (plain == one.tag) return one.language;
  }
  if (plain.starts_with("en-x-")) return std::nullopt;
  const std::string primary = plain.substr(0, plain.find('-'));
  for (const LanguageFacts& one : all) {
    if (primary == one.tag) return one.language;
  }
  return std::nullopt;
}

std::string language_tags() {
  std::vector<std::string> tags;
  for (const LanguageFacts& one : all) {
    if (one.language != Language::mirrored) tags.emplace_back(one.tag);
  }
  return listed(tags);
}

Language language() { return of_thread ? *of_thread : of_program.load(); }

void speak(Language language) { of_program = language; }

Speaking::Speaking(Language language) : before_(of_thread) { of_thread = language; }
Speaking::~Speaking() { of_thread = before_; }

std::string unreviewed_notice() {
  const LanguageFacts& facts = facts_of(language());
  if (facts.reviewed) return {};
  const std::string here = say("language.unreviewed");
  const Speaking english(Language::english);
  const std::string there = say("language.unreviewed");
  return here == there ? there : here + " [English: " + there + "]";
}

}  // namespace trayproof
