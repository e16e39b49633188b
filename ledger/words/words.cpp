#include "ledger/words/words.h"

#include <algorithm>
#include <cstdio>
#include <unordered_map>

#include "ledger/base/check.h"
#include "ledger/words/english.h"
#include "ledger/words/language.h"
#include "ledger/words/translated.h"

namespace trayproof {
namespace {

const std::unordered_map<std::string_view, std::string_view>& index() {
  static const auto built = [] {
    std::unordered_map<std::string_view, std::string_view> map;
    for (const auto part : catalogue()) {
      for (const Word& word : part) {
        const bool fresh = map.emplace(word.key, word.text).second;
        if (!fresh)
          std::fprintf(stderr, "trayproof: two texts under %.*s\n", static_cast<int>(word.key.size()), word.key.data());
        CHECK(fresh);
      }
    }
    return map;
  }();
  return built;
}

// In the language of this thread, else in English.
struct Pattern {
  std::string_view text;
  Language in;
};
Pattern pattern_of(std::string_view key, std::string_view english) {
  if (language() == Language::english) return {english, Language::english};
  const std::string_view other = translated(language(), key);
  return other.empty() ? Pattern{english, Language::english} : Pattern{other, language()};
}

std::string_view given(std::string_view key, std::string_view name, std::initializer_list<Fill> fills) {
  for (const Fill& fill : fills) {
    if (fill.first == name) return fill.second;
  }
  std::fprintf(stderr, "trayproof: nothing given for {%.*s} of %.*s\n", static_cast<int>(name.size()), name.data(),
               static_cast<int>(key.size()), key.data());
  CHECK(false);
}

// A place that holds a word of the format, and where its spelling is looked for first: a verdict and a tie may be
// called the same.
struct PlaceOfWord {
  std::string_view name;
  std::string_view first;
};
constexpr PlaceOfWord places_of_words[] = {{"verdict", "workbook.word-"},
                                           {"method", "form.choice-"},
                                           {"result", "form.choice-"},
                                           {"kind", "thing."},
                                           {"how", "how."},
                                           {"standing", "word."},
                                           {"sort", "form.choice-"},
                                           {"because", "desk.because-"},
                                           {"outcome", "desk.outcome-"},
                                           {"decimal", "word."},
                                           {"delimiter", "word."},
                                           {"order", "desk.word-"},
                                           {"sense", "word.sense-"},
                                           {"quantity", "word."}};

std::string_view spelled_as(std::string_view recorded, std::string_view prefix) {
  std::string key = std::string(prefix) + std::string(recorded);
  std::replace(key.begin(), key.end(), ' ', '-');  // "not complete"
  const auto found = index().find(key);
  return found == index().end() ? std::string_view() : translated(language(), found->first);
}

// What stands for {name}, or for {name|of one|of others}.
std::string_view place_of(std::string_view key, std::string_view place, std::initializer_list<Fill> fills,
                          Language in) {
  const std::size_t first = place.find('|');
  const std::string_view value = given(key, place.substr(0, first), fills);
  if (first == std::string_view::npos) {
    const auto* const word = std::find_if(std::begin(places_of_words), std::end(places_of_words),
                                          [&](const PlaceOfWord& one) { return one.name == place; });
    if (word == std::end(places_of_words) || in == Language::english) return value;
    return spelled_here(value, word->first);
  }
  const std::size_t second = place.find('|', first + 1);
  CHECK(second != std::string_view::npos);
  const bool one = value == "1" || (value == "0" && facts_of(in).zero_is_one);
  return one ? place.substr(first + 1, second - first - 1) : place.substr(second + 1);
}

std::string filled(std::string_view key, std::string_view pattern, std::initializer_list<Fill> fills, Language in) {
  std::string out;
  std::size_t at = 0;
  while (at < pattern.size()) {
    const std::size_t open = pattern.find('{', at);
    if (open == std::string_view::npos) break;
    const std::size_t close = pattern.find('}', open);
    CHECK(close != std::string_view::npos);
    out += pattern.substr(at, open - at);
    out += place_of(key, pattern.substr(open + 1, close - open - 1), fills, in);
    at = close + 1;
  }
  out += pattern.substr(at);
  return out;
}

}  // namespace

std::span<const std::span<const Word>> catalogue() {
  static const std::span<const Word> parts[] = {
      english::ledger(),  english::importer(),  english::gaps(),      english::recall(),       english::workbook(),
      english::command(), english::cautions(),  english::sop(),       english::review(),       english::proof(),
      english::picture(), english::people(),    english::evidence(),  english::pack(),         english::privacy(),
      english::label(),   english::registers(), english::solutions(), english::answers(),      english::paper(),
      english::format(),  english::form(),      english::desk(),      english::desk_reading(), english::district()};
  return parts;
}

std::string listed(std::span<const std::string> names) {
  std::string text;
  for (const std::string& name : names) text += (text.empty() ? "" : ", ") + name;
  return text;
}

std::string_view spelled_here(std::string_view recorded) {
  if (language() == Language::english) return recorded;
  for (const char* const among :
       {"desk.word-", "workbook.word-", "form.choice-", "word.", "thing.", "how.", "desk.because-", "desk.outcome-"}) {
    const std::string_view here = spelled_as(recorded, among);
    if (!here.empty()) return here;
  }
  return recorded;
}

std::string_view spelled_here(std::string_view recorded, std::string_view first) {
  if (language() == Language::english) return recorded;
  const std::string_view here = spelled_as(recorded, first);
  return here.empty() ? spelled_here(recorded) : here;
}

std::string spelled_each(std::string_view listed, const std::function<std::string(std::string_view)>& spelled) {
  std::string out;
  for (std::size_t at = 0; at <= listed.size();) {
    const std::size_t end = std::min(listed.find(", ", at), listed.size());
    out += (at == 0 ? "" : ", ") + spelled(listed.substr(at, end - at));
    at = end + 2;
  }
  return out;
}

std::string spelled_each_here(std::string_view listed) {
  return spelled_each(listed, [](std::string_view one) { return std::string(spelled_here(one)); });
}

std::string said_here(std::string_view prefix, std::string_view english) {
  if (language() != Language::english) {
    for (const auto part : catalogue()) {
      for (const Word& word : part) {
        if (word.text == english && word.key.starts_with(prefix)) return say(word.key);
      }
    }
  }
  return std::string(english);
}

bool has_word(std::string_view key) { return index().contains(key); }

std::string say(std::string_view key, std::initializer_list<Fill> fills) {
  const auto found = index().find(key);
  if (found == index().end())
    std::fprintf(stderr, "trayproof: no text under %.*s\n", static_cast<int>(key.size()), key.data());
  CHECK(found != index().end());
  const std::string_view english = found->second;
  const Pattern pattern = pattern_of(key, english);
  std::string text = filled(key, pattern.text, fills, pattern.in);
  // Who reads a caution in a translation sees what was meant.
  if (key.starts_with("caution.") && pattern.in != Language::english && !facts_of(language()).reviewed)
    text += " [English: " + filled(key, english, fills, Language::english) + "]";
  return text;
}

}  // namespace trayproof
