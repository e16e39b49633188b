#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

Grid limits_grid(const Facts& facts) {
  Grid grid = grid_of("limits", {{"edition", 28}, {"key", 42}, {"value", 24}, {"unit", 9}, {"used-by", 47}});
  for (const LimitRow& row : facts.limits) {
    grid.rows.push_back({text(row.edition), text(row.key), text(row.value), text(row.unit), text(row.used_by)});
  }
  return grid;
}

Grid not_checked_grid(const Facts& facts) {
  Grid grid = grid_of("not-checked", {{"what", 48}, {"why", 102}});
  for (const NotCheckedRow& row : facts.not_checked) grid.rows.push_back({text(row.what), text(row.why)});
  return grid;
}

}  // namespace trayproof::workbook
