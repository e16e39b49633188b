#include "importer/register/survey.h"

#include <algorithm>

#include "importer/reading/units.h"

namespace trayproof::registers {
namespace {

constexpr std::size_t example_bytes = 24;

}  // namespace

Survey::Survey(const Matching& matching) {
  const auto look_at = [&](const MatchedColumn& column) {
    if (is_time(*column.field))
      times_[column.cell].names_clock = reading::guess_of(column.heading) == reading::Guess::time;
    if (is_number(*column.field)) numbers_.push_back(column.cell);
    if (column.field->name == "at" && !has_runs_) {
      runs_ = column.cell;
      has_runs_ = true;
    }
  };
  for (const MatchedColumn& column : matching.columns) look_at(column);
  for (const Contested& contested : matching.contested) {
    for (const MatchedColumn& column : contested.columns) look_at(column);
  }
}

void Survey::row(const SheetRow& row) {
  for (auto& [cell, column] : times_) {
    if (cell >= row.cells.size()) continue;
    const std::string_view text = row.cells[cell];
    const auto time = parse_register_time(text, column.names_clock);
    if (!time) continue;
    if (column.names_clock && dotted_clock_ms(text).value_or(0) >= hour_ms) column.dotted = true;
    ++(time->has_day() && time->clock_ms ? column.both : time->has_day() ? column.days : column.clocks);
    if (column.first.empty()) column.first = text.substr(0, example_bytes);
    orders_.add(*time, has_runs_ && cell == runs_);
    if (open_date_.empty() && time->date && !time->date->named_month && time->date->digits[0] <= 2)
      open_date_ = text.substr(0, example_bytes);
  }
  for (const std::size_t cell : numbers_) {
    if (cell < row.cells.size()) number(row.cells[cell]);
  }
}

void Survey::number(std::string_view cell) {
  using reading::DecimalHint;
  switch (reading::decimal_hint(cell)) {
    case DecimalHint::none:
      return;
    case DecimalHint::point:
      point_ = true;
      return;
    case DecimalHint::comma:
      comma_ = true;
      return;
    case DecimalHint::point_or_thousands:
    case DecimalHint::comma_or_thousands:
      if (open_number_.empty()) open_number_ = cell.substr(0, example_bytes);
      return;
  }
}

const ColumnSurvey& Survey::of(std::size_t cell) const {
  static const ColumnSurvey none;
  const auto found = times_.find(cell);
  return found == times_.end() ? none : found->second;
}

void Survey::settle(Matching& matching) const {
  std::vector<Contested> open;
  for (Contested& one : matching.contested) {
    std::vector<MatchedColumn> days, clocks, neither;
    for (MatchedColumn& column : one.columns) {
      const ColumnSurvey& held = of(column.cell);
      const bool clock_only = held.clocks > 0 && held.days == 0 && held.both == 0;
      const bool empty = held.clocks + held.days + held.both == 0;
      (clock_only ? clocks : empty && is_time(*one.field) ? neither : days).push_back(column);
    }
    const bool pair = is_time(*one.field) && days.size() == 1 && clocks.size() <= 1 &&
                      (clocks.empty() || of(days.front().cell).both == 0);
    if (!pair) {
      open.push_back(std::move(one));
      continue;
    }
    matching.columns.push_back(days.front());
    if (!clocks.empty()) matching.columns.push_back(clocks.front());
    for (const MatchedColumn& column : neither) matching.unread.push_back({column.cell, column.heading, {}});
  }
  matching.contested = std::move(open);
  for (MatchedColumn& column : matching.columns) column.dotted = of(column.cell).dotted;
  std::stable_sort(matching.columns.begin(), matching.columns.end(),
                   [](const MatchedColumn& a, const MatchedColumn& b) { return a.cell < b.cell; });
}

}  // namespace trayproof::registers
