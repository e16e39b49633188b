// The keys of the SOP file in one table: name, sort, unit, range. The reader takes what stands here and refuses the
// rest; its refusals are written from this table, and a test ties docs/sop-format.md to it. A key is added here and in
// sop.h.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/sop/sop.h"

namespace trayproof::sop {

enum class Sort {
  text,      // 1 to 200 characters
  id,        // an id as docs/ledger-format.md allows it
  number,    // within the range
  whole,     // a whole number within the range
  yes_no,    // true or false
  word,      // one of the words
  words,     // a list of some of the words
  prefixes,  // a list of texts
  days,      // a number within the range, or the text "until-damaged"
};

struct Range {
  double low = 0;
  double high = 0;
  bool above_low = false;  // `low` itself is refused
};

// What was read for one key; the member that its sort fills.
struct Taken {
  double number = 0;
  bool yes = false;
  std::string text;  // empty when a key of sort `days` gave a number
  std::vector<std::string> texts;
};

struct Key {
  std::string_view table;
  std::string_view name;
  Sort sort = Sort::number;
  std::string_view unit;
  Range range;
  std::span<const std::string_view> words;
  // Writes the value where it belongs: into the Sop, or into the last element of its list of tables.
  void (*take)(Sop&, const Taken&) = nullptr;
  bool required = false;  // within its element of a list of tables
};

struct Table {
  std::string_view name;
  // Adds an empty element to the list of tables; null for a table that stands once.
  void (*add)(Sop&) = nullptr;
};

std::span<const Key> keys();
std::span<const Table> tables();

}  // namespace trayproof::sop
