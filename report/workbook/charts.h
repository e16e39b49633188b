// Puts a chart on a sheet. Included by book.cpp and charts.cpp only.
#pragma once

#include <xlsxwriter.h>

#include <string>

#include "report/workbook/chart.h"

namespace trayproof::workbook {

// Rows of the standard height that a chart takes with the room below it.
inline constexpr std::size_t chart_rows = 20;

struct ChartPlace {
  lxw_row_t row = 0;
  double left_pixels = 0;
  double width_pixels = 0;
};

// `figures` is the sheet that holds the values; its rows stand from the fourth row of the sheet on.
lxw_error put_chart(lxw_workbook* book, lxw_worksheet* sheet, const Chart& chart, const std::string& figures,
                    const ChartPlace& place);

}  // namespace trayproof::workbook
