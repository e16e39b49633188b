// What the sheets share: headings from the catalogue, words for what is absent, lists that fit a cell.
#pragma once

#include <cstdint>
#include <functional>
#include <initializer_list>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "ledger/words/words.h"
#include "report/workbook/book.h"
#include "report/workbook/facts.h"

namespace trayproof::workbook {

struct Heading {
  std::string_view key;  // the heading is the text of `workbook.head-<key>`
  double width = 12;
};

// Name, title and note are the texts of `workbook.sheet-<key>`, `workbook.title-<key>`, `workbook.note-<key>`.
Grid grid_of(std::string_view key, std::initializer_list<Heading> headings);

// The text, or "not recorded" for an empty one.
Cell or_not_recorded(const std::string& value);
Cell or_not_recorded(Cell value);
// A machine word as people read it ("not-reached" as "not reached") where the catalogue has `workbook.word-<word>`, else
// as the language that is spoken spells it.
std::string worded(std::string_view word);
Cell worded_cell(std::string_view word);
// One a line, cut with "and n more" where a cell ends.
std::string listed(const std::vector<std::string>& items, std::string_view separator);
std::string listed_seqs(const std::vector<std::int64_t>& seqs);
// Where the closing of a recall stands: when it was closed; in words where it is open, again open, or awaits its
// second.
Cell closing_cell(const RecallRow& row);
std::string closing_state(const RecallRow& row);
// Gaps as a cell: strong where there are some, "none found" where not.
Cell gaps_cell(const std::vector<std::string>& gaps);

// Whether a text surely fits a cell whole.
bool fits(std::string_view text);

// Texts one after the other until a cell is full, then "and n more".
class Listing {
 public:
  Listing(std::size_t count, std::string_view separator);
  // What stands before the item in the list counts as part of it. Once one did not fit, none that follows is taken.
  void add(std::string_view before, std::string_view item);
  std::string take() { return std::move(out_); }

 private:
  std::size_t count_;
  std::string_view separator_;
  std::string out_;
  std::size_t taken_ = 0;
  std::optional<std::size_t> units_;  // counted once there may be too many
  bool full_ = false;
};

// What a sheet of many rows says in them again and again, looked up once. Its cells borrow from the facts, which
// outlive the sheet, and from here.
class Phrases {
 public:
  Cell or_not_recorded(const std::string& value) const { return borrowed(value.empty() ? not_recorded_ : value); }
  Cell or_not_recorded(Cell value) const;
  const std::string& worded(std::string_view word);
  Cell worded_cell(std::string_view word);
  Cell gaps_cell(const std::vector<std::string>& gaps) const;
  // The text of that key, which holds no value.
  const std::string& said(std::string_view key);
  const std::string& not_recorded() const { return not_recorded_; }

 private:
  struct Hash {
    using is_transparent = void;
    std::size_t operator()(std::string_view text) const { return std::hash<std::string_view>()(text); }
  };
  using Kept = std::unordered_map<std::string, std::string, Hash, std::equal_to<>>;
  const std::string not_recorded_ = say("workbook.not-recorded");
  const std::string none_found_ = say("workbook.none-found");
  Kept worded_;
  Kept said_;
};

}  // namespace trayproof::workbook
