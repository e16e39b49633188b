// The catalogue of every text that people read. Code names a text by its key and gives the values that go into it;
// what stands in another language is a second catalogue beside the English one, never a second set of calls.
//
// A template holds its values as {name}. A key that the catalogue does not hold is a fault of this program (CHECK), and
// tests/tidy finds it without running the line.
#pragma once

#include <functional>
#include <initializer_list>
#include <span>
#include <string>
#include <string_view>
#include <utility>

namespace trayproof {

struct Word {
  std::string_view key;
  std::string_view text;
};

using Fill = std::pair<std::string_view, std::string_view>;

// The text of `key` with each {name} replaced.
std::string say(std::string_view key, std::initializer_list<Fill> fills = {});
// A word of the format (a method, a verdict, a choice, the sort of a thing, how it ties to another, a recall's reason,
// what was read of a file) as the language that is spoken spells it; as it is recorded in English and where it has no
// other spelling. `say` does so with what it is given for a place that holds such a word (`places_of_words`):
// {verdict}, {kind}.
std::string_view spelled_here(std::string_view recorded);
// The same, looked for first under the keys that begin so: a verdict and a tie may be called the same.
std::string_view spelled_here(std::string_view recorded, std::string_view first);
// Of several, one after the other ("soiled, wet"), each.
std::string spelled_each_here(std::string_view listed);
// The same by `spelled`.
std::string spelled_each(std::string_view listed, const std::function<std::string(std::string_view)>& spelled);
// An English text of the catalogue that was kept, in the language that is spoken: the one under a key that begins with
// `prefix`. Itself where there is none.
std::string said_here(std::string_view prefix, std::string_view english);
// Names one after the other: "a, b, c".
std::string listed(std::span<const std::string> names);
// Whether the catalogue holds `key`; for texts that are found by a computed key.
bool has_word(std::string_view key);
// All of it, one part after the other; for tests and for translators.
std::span<const std::span<const Word>> catalogue();

}  // namespace trayproof
