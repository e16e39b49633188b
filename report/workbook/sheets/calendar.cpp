// The biological calendar: one row a machine and week, one column a day, each day in words.
#include <map>

#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {
namespace {

constexpr const char* weekdays[] = {"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"};

Cell day_cell(const MachineDay& day) {
  std::string words =
      say(day.loads == 1 ? "workbook.day-load" : "workbook.day-loads", {{"count", std::to_string(day.loads)}});
  const auto add = [&](std::int64_t count, const char* key) {
    if (count > 0) words += "\n" + say(key, {{"count", std::to_string(count)}});
  };
  add(day.positives, "workbook.day-positive");
  add(day.negatives, "workbook.day-negative");
  add(day.void_ones, "workbook.day-void");
  add(day.open_ones, "workbook.day-open");
  if (day.late == MachineDay::Late::yes) words += "\n" + say("workbook.day-late");
  if (day.late == MachineDay::Late::cannot_tell) words += "\n" + say("workbook.day-late-open");
  return Text{words, day.positives > 0 || day.late == MachineDay::Late::yes ? Look::strong : Look::plain};
}

}  // namespace

Grid calendar_grid(const Facts& facts) {
  Grid grid = grid_of("biologicals", {{"equipment", 18}, {"week", 15}});
  for (const char* day : weekdays) grid.columns.push_back({say("workbook.head-" + std::string(day)), 19});
  std::map<std::pair<std::string, std::int64_t>, Row> weeks;
  for (const MachineDay& day : facts.machine_days) {
    const std::int64_t number = days_since_epoch(facts.zone.civil(day.day).date);
    const std::int64_t weekday = (number + 3) % 7;  // 1970-01-01 was a Thursday
    Row& row = weeks[{day.equipment, number - weekday}];
    if (row.empty()) {
      row.assign(2, text(day.equipment));
      row[1] = text(day_here(date_of_days(number - weekday)));
      row.resize(grid.columns.size(), text(say("workbook.day-none")));
    }
    row[static_cast<std::size_t>(weekday) + 2] = day_cell(day);
  }
  for (auto& [key, row] : weeks) grid.rows.push_back(std::move(row));
  return grid;
}

}  // namespace trayproof::workbook
