#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> sop() {
  static constexpr Word words[] = {
      {"sop.refused", "line {line}, column {column}: {what}"},
      {"sop.refused-more", "and {count} more"},
      {"sop.no-toml", "no valid TOML 1.0: {what}"},
      {"sop.too-long", "the SOP file has {found} bytes; allowed are {allowed}"},
      {"sop.unknown", "unknown key {key} {where}; allowed are {allowed}"},
      {"sop.top", "at the top of the file"},
      {"sop.within", "in {heading}"},
      {"sop.value", "{key}: found {found}; allowed is {allowed}"},
      {"sop.required", "{heading} has no {key}; it needs one, allowed is {allowed}"},
      {"sop.not-below", "a number not below {key}, which is {value}"},
      {"sop.once", "each one once"},
      {"sop.number", "a number"},
      {"sop.whole-number", "a whole number"},
      {"sop.range", "{what} from {low} to {high}"},
      {"sop.range-above", "{what} above {low} and up to {high}"},
      {"sop.allowed-text", "a text of 1 to 200 characters on one line"},
      {"sop.allowed-id", "an id: 1 to 64 letters, digits and . _ - / : without blanks (never a name)"},
      {"sop.allowed-yes-no", "true or false"},
      {"sop.allowed-word", "a text, one of: {words}"},
      {"sop.allowed-words", "a list of texts out of: {words}"},
      {"sop.allowed-prefixes", "a list of texts of 1 to 200 characters"},
      {"sop.allowed-days", "{range}, or the text \"until-damaged\""},
      {"sop.allowed-table", "a table"},
      {"sop.allowed-tables", "tables, each under its own {heading}"},
      {"sop.found-text", "the text \"{text}\""},
      {"sop.found-not-finite", "a number that is not finite"},
      {"sop.found-list", "a list"},
      {"sop.found-table", "a table"},
      {"sop.found-tables", "a list of tables"},
      {"sop.found-time", "a date or time"},
  };
  return words;
}

}  // namespace trayproof::english
