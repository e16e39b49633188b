// The places of a text ({found}) and the values that code gives for them. A place without a value ends the program
// where the text is said, which may be an error that no other test reaches.
#include <algorithm>
#include <regex>
#include <set>

#include "ledger/words/words.h"
#include "tests/support/test.h"
#include "tests/tidy/tree.h"

using namespace trayproof;
using namespace trayproof::tidy;

namespace {

std::string words_of(std::string_view key) {
  for (const auto part : catalogue()) {
    for (const Word& word : part) {
      if (word.key == key) return std::string(word.text);
    }
  }
  return {};
}

// The end of the call whose bracket opens at `open`; texts and characters in quotes are passed over.
std::size_t end_of_call(std::string_view code, std::size_t open) {
  int depth = 0;
  for (std::size_t at = open; at < code.size(); ++at) {
    if (code[at] == '"' || code[at] == '\'') {
      const char quote = code[at];
      for (++at; at < code.size() && code[at] != quote; ++at) at += code[at] == '\\' ? std::size_t{1} : std::size_t{0};
    } else if (code[at] == '(' || code[at] == '{') {
      ++depth;
    } else if (code[at] == ')' || code[at] == '}') {
      if (--depth == 0) return at;
    }
  }
  return code.size();
}

}  // namespace

TEST_CASE("every place of a text gets a value where the text is said") {
  // say("key") and say("key", {{"place", …}, …}) with the key and the places written out, nearly all of them.
  const std::regex with_values(R"re(\bsay\(\s*"([a-z0-9.-]+)"\s*(,\s*\{|\)))re");
  const std::regex place(R"re(\{\s*"([a-z0-9_]+)"\s*,)re");
  Violations wrong;
  int calls = 0;
  for (const File& file : product()) {
    if (!file.is_code()) continue;
    const std::string code = joined(file);
    for (std::sregex_iterator found(code.begin(), code.end(), with_values), end; found != end; ++found) {
      const std::string key = (*found)[1];
      if (!trayproof::has_word(key)) continue;  // words_test tells of it
      const auto begins = static_cast<std::size_t>(found->position(0));
      const std::size_t open = code.find('(', begins);
      const std::string call = code.substr(open, end_of_call(code, open) - open + 1);
      std::set<std::string> given;
      for (std::sregex_iterator one(call.begin(), call.end(), place); one != end; ++one) given.insert((*one)[1]);
      const auto line = static_cast<std::size_t>(std::count(code.begin(), code.begin() + found->position(0), '\n')) + 1;
      for (const std::string& name : places_of(words_of(key))) {
        if (!given.contains(name))
          wrong.add(file.path, line, "say(\"" + key + "\"): nothing is given for {" + name + "}");
      }
      ++calls;
    }
  }
  CHECK(calls > 1000);
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("what another thread does is said in the language of whoever hands it over") {
  const std::regex begins(R"re(std::(thread|async)\()re");
  Violations wrong;
  int begun = 0;
  for (const File& file : product()) {
    if (!file.is_code()) continue;
    const std::string code = joined(file);
    for (std::sregex_iterator found(code.begin(), code.end(), begins), end; found != end; ++found) {
      const auto open = static_cast<std::size_t>(found->position(0) + found->length(0)) - 1;
      const std::string call = code.substr(open, end_of_call(code, open) - open + 1);
      const auto line = static_cast<std::size_t>(std::count(code.begin(), code.begin() + found->position(0), '\n')) + 1;
      if (call.find("handed_over(") == std::string::npos) wrong.add(file.path, line, "a thread without handed_over");
      ++begun;
    }
  }
  CHECK(begun >= 4);
  CHECK_MESSAGE(wrong.none(), wrong.text());
}
