#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

Grid limits_grid(const Facts& facts) {
  Grid grid = grid_of("limits", {{"edition", 30}, {"key", 40}, {"value", 34}, {"unit", 12}, {"used-by", 56}});
  for (const LimitRow& row : facts.limits) {
    grid.rows.push_back({text(row.edition), text(row.key), text(row.value), text(row.unit), text(row.used_by)});
  }
  return grid;
}

Grid not_checked_grid(const Facts& facts) {
  Grid grid = grid_of("not-checked", {{"what", 44}, {"why", 96}});
  for (const NotCheckedRow& row : facts.not_checked) grid.rows.push_back({text(row.what), text(row.why)});
  return grid;
}

}  // namespace trayproof::workbook
