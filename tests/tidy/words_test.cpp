// The catalogue of texts and the code that names them, both ways.
#include "ledger/words/words.h"

#include <algorithm>
#include <map>
#include <set>
#include <vector>

#include "ledger/events/kinds.h"
#include "tests/support/test.h"
#include "tests/tidy/tree.h"

using namespace trayproof;
using namespace trayproof::tidy;

namespace {

// Beginnings of keys that code puts together while it runs. Each stands in code as a text of its own, so that it is
// found.
constexpr std::string_view built_while_running[] = {
    "answers.",
    "register.order-",
    "checkpoint.signature-",
    "command.ask-",
    "gaps.",
    "importer.finding.",
    "importer.mend.",
    "kind.",
    "pack.verdict-",
    "picture.verdict-",
    "people.key-",
    "people.right-",
    "review.measure-",
    "workbook.about-",
    "workbook.block-",
    "workbook.head-",
    "workbook.line-",
    "workbook.note-",
    "workbook.sheet-",
    "workbook.step-",
    "workbook.title-",
    "workbook.word-",
    "workbook.chart-",
    "workbook.axis-",
    "workbook.figure-",
    "workbook.second-",
    "paper.missing-",
    "curves.phase-",
    "desk.because-",
    "desk.check-",
    "desk.due-",
    "desk.family-",
    "desk.kind-",
    "desk.outcome-",
    "desk.parameter-",
    "desk.recall-field-",
    "desk.word-",
    "district.head-",
    "district.measure-",
    "district.sheet-",
    "picture.sense-",
    "review.cause-",
    "review.reader-",
    "form.field-",
    "form.choice-",
    "form.how-",
    "form.group-",
    "form.precision-",
    "form.unknown-",
    "field.",
    "how.",
    "word.",
    "thing.",
};

bool is_built(std::string_view key) {
  return std::any_of(std::begin(built_while_running), std::end(built_while_running),
                     [&](std::string_view one) { return key.starts_with(one); });
}

bool is_catalogue(const File& file) { return file.path.starts_with("ledger/words/english"); }

bool looks_like_key(std::string_view text) {
  const std::size_t dot = text.find('.');
  if (dot == std::string_view::npos || dot == 0) return false;
  return text.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789.-") == std::string_view::npos;
}

std::set<std::string> catalogue_keys() {
  std::set<std::string> keys;
  for (const auto part : catalogue()) {
    for (const Word& word : part) keys.insert(std::string(word.key));
  }
  return keys;
}

// What stands in the braces of a text.
std::vector<std::string> places(std::string_view text) {
  std::vector<std::string> out;
  for (std::size_t open = text.find('{'); open != std::string_view::npos; open = text.find('{', open + 1)) {
    out.emplace_back(text.substr(open + 1, text.find('}', open) - open - 1));
  }
  return out;
}

}  // namespace

TEST_CASE("every text that code says stands in the catalogue") {
  Violations wrong;
  for (const File& file : product()) {
    if (!file.is_code() || is_catalogue(file)) continue;
    for (std::size_t i = 0; i < file.lines.size(); ++i) {
      const std::string& line = file.lines[i];
      for (std::size_t at = line.find("say("); at != std::string::npos; at = line.find("say(", at + 1)) {
        const char before = at == 0 ? ' ' : line[at - 1];
        if (before == '.' || before == '>' || before == '_' || (before >= 'a' && before <= 'z'))
          continue;  // another's say
        // Up to the values: one key, or two with a question between them.
        const std::string call = line.substr(at, line.find('{', at) - at);
        for (const std::string& key : literals(call)) {
          const bool beginning = (key.ends_with('.') || key.ends_with('-')) && is_built(key);
          if (looks_like_key(key) && !beginning && !has_word(key))
            wrong.add(file.path, i + 1, "say(\"" + key + "\"): no such key; add it to ledger/words/english_<area>.cpp");
        }
      }
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("every text of the catalogue is said somewhere") {
  std::set<std::string> named;
  for (const File& file : product()) {
    if (!file.is_code() || is_catalogue(file)) continue;
    for (const std::string& line : file.lines) {
      for (const std::string& one : literals(line)) named.insert(one);
    }
  }
  Violations wrong;
  for (const std::string& key : catalogue_keys()) {
    if (named.contains(key) || is_built(key)) continue;
    wrong.add("\"" + key +
              "\" is said nowhere: remove it, or declare in tests/tidy/words_test.cpp how its key is built");
  }
  for (const std::string_view prefix : built_while_running) {
    if (!named.contains(std::string(prefix)))
      wrong.add("no code builds keys with \"" + std::string(prefix) +
                "\": remove it from tests/tidy/words_test.cpp, and its texts");
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("every key is dotted and lower case and every text holds something") {
  Violations wrong;
  for (const auto part : catalogue()) {
    for (const Word& word : part) {
      if (!looks_like_key(word.key))
        wrong.add("\"" + std::string(word.key) + "\": keys are dotted, lower case, with - inside words");
      if (word.text.empty()) wrong.add("\"" + std::string(word.key) + "\" has no text");
      const auto open = std::count(word.text.begin(), word.text.end(), '{');
      if (open != std::count(word.text.begin(), word.text.end(), '}'))
        wrong.add("\"" + std::string(word.key) + "\": braces that do not pair");
      for (const std::string& place : places(word.text)) {
        const auto bars = std::count(place.begin(), place.end(), '|');
        if (bars != 0 && bars != 2)
          wrong.add("\"" + std::string(word.key) + "\": {" + place + "} must be {name} or {name|of one|of others}");
      }
      for (const std::string& name : places_of(word.text)) {
        if (name.empty() || name.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789_") != std::string::npos) {
          wrong.add("\"" + std::string(word.key) + "\": {" + name + "} is no name of a value");
        }
      }
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("every word that a form lets choose stands in the catalogue") {
  Violations wrong;
  std::size_t seen = 0;
  for (const events::Kind& kind : events::kinds()) {
    if (!kind.recordable()) continue;
    for (const events::Field& field : kind.fields) {
      for (const std::string_view choice : field.choices) {
        ++seen;
        const std::string key = "form.choice-" + std::string(choice);
        // Recalls and findings have pages of their own.
        const bool elsewhere = kind.name.starts_with("recall-") || kind.name == "finding-answered";
        if (!elsewhere && !trayproof::has_word(key))
          wrong.add(std::string(kind.name) + ", " + std::string(field.name) + ": \"" + key + "\" is missing");
      }
    }
  }
  CHECK(seen > 80);
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("no line of the catalogue only holds a place") {
  Violations wrong;
  for (const File& file : product()) {
    if (!is_catalogue(file)) continue;
    for (std::size_t i = 0; i < file.lines.size(); ++i) {
      if (lower(file.lines[i]).find("placeholder") != std::string::npos)
        wrong.add(file.path, i + 1, "a placeholder: write the area's texts, then remove it");
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("no text says that anything is sterile") {
  Violations wrong;
  for (const auto part : catalogue()) {
    for (const Word& word : part) {
      if (tidy::has_word(lower(word.text), "sterile"))
        wrong.add("\"" + std::string(word.key) + "\": say what the evidence meets, never that a thing is sterile");
    }
  }
  for (const File& file : product()) {
    if (!file.is_code() || is_catalogue(file)) continue;
    for (std::size_t i = 0; i < file.lines.size(); ++i) {
      for (const std::string& one : literals(file.lines[i])) {
        if (tidy::has_word(lower(one), "sterile"))
          wrong.add(file.path, i + 1, "\"" + one + "\": say what the evidence meets, never that a thing is sterile");
      }
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}
