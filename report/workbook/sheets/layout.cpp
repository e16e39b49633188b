#include "report/workbook/sheets/layout.h"

#include <algorithm>

namespace trayproof::workbook {
namespace {

// Room for "and n more" within what a cell takes.
constexpr std::size_t list_units_max = cell_units_max - 200;

Look look_of(std::string_view word) {
  return word == "not-reached" || word == "critical" || word == "rejected" ? Look::strong : Look::plain;
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
  return has_word(key) ? say(key) : std::string(spelled_here(word, "form.choice-"));
}

Cell worded_cell(std::string_view word) {
  if (word.empty()) return or_not_recorded(std::string());
  return Text{worded(word), look_of(word)};
}

Listing::Listing(std::size_t count, std::string_view separator) : count_(count), separator_(separator) {
  constexpr std::size_t usual_bytes = 16;  // of an item
  if (count > 1) out_.reserve(std::min(count * usual_bytes, list_units_max));
}

void Listing::add(std::string_view before, std::string_view item) {
  if (full_) return;
  // No text has more units than bytes.
  if (!units_ && out_.size() + before.size() + item.size() + 2 * separator_.size() > list_units_max)
    units_ = utf16_units(out_) + (taken_ > 0 ? separator_.size() : 0);
  if (units_) {
    *units_ += utf16_units(before) + utf16_units(item) + separator_.size();
    if (*units_ > list_units_max) {
      out_.append(separator_).append(say("workbook.more", {{"count", std::to_string(count_ - taken_)}}));
      full_ = true;
      return;
    }
  }
  if (taken_++ > 0) out_ += separator_;
  out_.append(before).append(item);
}

bool fits(std::string_view text) { return text.size() < list_units_max; }

std::string listed(const std::vector<std::string>& items, std::string_view separator) {
  Listing list(items.size(), separator);
  for (const std::string& item : items) list.add({}, item);
  return list.take();
}

std::string listed_seqs(const std::vector<std::int64_t>& seqs) {
  std::vector<std::string> items;
  items.reserve(seqs.size());
  for (const std::int64_t seq : seqs) items.push_back(std::to_string(seq));
  return listed(items, ", ");
}

std::string closing_state(const RecallRow& row) {
  if (row.state == "reopened") return say("workbook.reopened");
  if (row.state == "awaiting-second") return say("workbook.awaiting", {{"second", row.second}});
  return say(row.closed ? "workbook.closed" : "workbook.open");
}

Cell closing_cell(const RecallRow& row) {
  const bool over = row.closed && row.state != "reopened" && row.state != "awaiting-second";
  return over ? Cell(*row.closed) : Cell(Text{closing_state(row), Look::strong});
}

Cell gaps_cell(const std::vector<std::string>& gaps) {
  if (gaps.empty()) return text(say("workbook.none-found"));
  return Text{listed(gaps, "\n"), Look::strong};
}

Cell Phrases::or_not_recorded(Cell value) const {
  return std::holds_alternative<std::monostate>(value) ? borrowed(not_recorded_) : std::move(value);
}

const std::string& Phrases::worded(std::string_view word) {
  const auto kept = worded_.find(word);
  return kept != worded_.end() ? kept->second : worded_.emplace(word, workbook::worded(word)).first->second;
}

Cell Phrases::worded_cell(std::string_view word) {
  return word.empty() ? borrowed(not_recorded_) : borrowed(worded(word), look_of(word));
}

Cell Phrases::gaps_cell(const std::vector<std::string>& gaps) const {
  if (gaps.empty()) return borrowed(none_found_);
  if (gaps.size() == 1 && fits(gaps.front())) return borrowed(gaps.front(), Look::strong);
  return Text{listed(gaps, "\n"), Look::strong};
}

const std::string& Phrases::said(std::string_view key) {
  const auto kept = said_.find(key);
  return kept != said_.end() ? kept->second : said_.emplace(key, say(key)).first->second;
}

}  // namespace trayproof::workbook
