// What the sheets share: headings from the catalogue, words for what is absent, lists that fit a cell.
#pragma once

#include <cstdint>
#include <initializer_list>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "report/workbook/book.h"

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
// A machine word as people read it ("not-reached" as "not reached") where the catalogue has `workbook.word-<word>`.
std::string worded(std::string_view word);
Cell worded_cell(std::string_view word);
// One a line, cut with "and n more" where a cell ends.
std::string listed(const std::vector<std::string>& items, std::string_view separator);
// The same of one item.
std::string fitting(std::string item);
std::string listed_seqs(const std::vector<std::int64_t>& seqs);
// Gaps as a cell: strong where there are some, "none found" where not.
Cell gaps_cell(const std::vector<std::string>& gaps);

// One a line with its number before it, so that the parts of one row's cells can be matched however they are wrapped.
// A single one has no number.
std::string numbered(const std::vector<std::string>& items);

}  // namespace trayproof::workbook
