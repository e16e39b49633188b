#include "report/workbook/sheets/layout.h"

#include <algorithm>

#include "ledger/base/utf8.h"
#include "ledger/words/words.h"

namespace trayproof::workbook {
namespace {

// Room for "and n more" within what a cell takes.
constexpr std::size_t list_units_max = cell_units_max - 200;

// How many lines a text takes in a column, words kept whole. An estimate: the program that shows the book decides.
std::size_t lines_in(std::string_view text, double width) {
  const auto room = static_cast<std::size_t>(std::max(width - 1, 4.0));
  std::size_t lines = 1;
  std::size_t used = 0;
  std::size_t begin = 0;
  while (begin < text.size()) {
    const std::size_t end = std::min(text.find(' ', begin), text.size());
    const std::size_t word = code_points(text.substr(begin, end - begin));
    if (used > 0 && used + 1 + word > room) {
      ++lines;
      used = 0;
    }
    used += (used > 0 ? 1 : 0) + word;
    if (used > room) {
      lines += (used - 1) / room;
      used = (used - 1) % room + 1;
    }
    begin = end + 1;
  }
  return lines;
}

}  // namespace

Grid grid_of(std::string_view key, std::initializer_list<Heading> headings) {
  const std::string name(key);
  Grid grid;
  grid.name = say("workbook.sheet-" + name);
  grid.title = say("workbook.title-" + name);
  grid.note = say("workbook.note-" + name);
  for (const Heading& heading : headings) {
    grid.columns.push_back({say("workbook.head-" + std::string(heading.key)), heading.width});
  }
  return grid;
}

Cell or_not_recorded(const std::string& value) { return text(value.empty() ? say("workbook.not-recorded") : value); }

Cell or_not_recorded(Cell value) {
  return std::holds_alternative<std::monostate>(value) ? text(say("workbook.not-recorded")) : std::move(value);
}

std::string worded(std::string_view word) {
  const std::string key = "workbook.word-" + std::string(word);
  return has_word(key) ? say(key) : std::string(word);
}

Cell worded_cell(std::string_view word) {
  if (word.empty()) return or_not_recorded(std::string());
  const bool strong = word == "not-reached" || word == "critical" || word == "rejected";
  return Text{worded(word), strong ? Look::strong : Look::plain};
}

std::string listed(const std::vector<std::string>& items, std::string_view separator) {
  std::string out;
  std::size_t units = 0;
  for (std::size_t i = 0; i < items.size(); ++i) {
    const std::size_t more = utf16_units(items[i]) + separator.size();
    if (units + more > list_units_max) {
      return out + std::string(separator) + say("workbook.more", {{"count", std::to_string(items.size() - i)}});
    }
    if (i > 0) out += separator;
    out += items[i];
    units += more;
  }
  return out;
}

std::string listed_seqs(const std::vector<std::int64_t>& seqs) {
  std::vector<std::string> items;
  items.reserve(seqs.size());
  for (const std::int64_t seq : seqs) items.push_back(std::to_string(seq));
  return listed(items, ", ");
}

Cell gaps_cell(const std::vector<std::string>& gaps) {
  if (gaps.empty()) return text(say("workbook.none-found"));
  return Text{listed(gaps, "\n"), Look::strong};
}

std::vector<std::string> level(const std::vector<std::vector<std::string>>& rows, const std::vector<double>& widths) {
  std::vector<std::vector<std::string>> parts(widths.size());
  for (const std::vector<std::string>& row : rows) {
    CHECK(row.size() == widths.size());
    std::size_t most = 1;
    for (std::size_t col = 0; col < row.size(); ++col) most = std::max(most, lines_in(row[col], widths[col]));
    const bool last = &row == &rows.back();
    for (std::size_t col = 0; col < row.size(); ++col) {
      const std::size_t short_by = last ? 0 : most - lines_in(row[col], widths[col]);
      parts[col].push_back(row[col] + std::string(short_by, '\n'));
    }
  }
  std::vector<std::string> columns;
  for (const auto& column : parts) columns.push_back(listed(column, "\n"));
  return columns;
}

}  // namespace trayproof::workbook
