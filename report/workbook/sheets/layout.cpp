#include "report/workbook/sheets/layout.h"

#include "ledger/words/words.h"

namespace trayproof::workbook {
namespace {

// Room for "and n more" within what a cell takes.
constexpr std::size_t list_units_max = cell_units_max - 200;

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

std::string fitting(std::string item) { return item.size() < list_units_max ? std::move(item) : listed({item}, "\n"); }

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

std::string numbered(const std::vector<std::string>& items) {
  if (items.size() < 2) return listed(items, "\n");
  std::vector<std::string> lines;
  lines.reserve(items.size());
  for (std::size_t i = 0; i < items.size(); ++i) lines.push_back(std::to_string(i + 1) + ". " + items[i]);
  return listed(lines, "\n");
}

}  // namespace trayproof::workbook
