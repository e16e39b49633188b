#include "report/workbook/charts.h"

#include "ledger/base/check.h"
#include "report/workbook/styles.h"

namespace trayproof::workbook {
namespace {

constexpr lxw_row_t figures_first_row = 3;
constexpr double standard_row_pixels = 20;
constexpr lxw_color_t ink = 0x1F2A33;
constexpr lxw_color_t light = 0xD7DEE2;

std::uint8_t type_of(ChartSort sort) {
  switch (sort) {
    case ChartSort::shares:
      return LXW_CHART_BAR_STACKED_PERCENT;
    case ChartSort::columns:
      return LXW_CHART_COLUMN_STACKED;
    case ChartSort::bars:
      return LXW_CHART_BAR;
    case ChartSort::scatter:
      return LXW_CHART_SCATTER_STRAIGHT_WITH_MARKERS;
  }
  CHECK(false);
}

// Dark, striped, light: told apart without colour and on a bad copier.
void fill(lxw_chart_series* series, std::size_t index) {
  lxw_chart_line edge{};
  edge.color = ink;
  edge.width = 0.75F;
  chart_series_set_line(series, &edge);
  if (index % 3 == 1) {
    lxw_chart_pattern pattern{};
    pattern.fg_color = ink;
    pattern.bg_color = LXW_COLOR_WHITE;
    pattern.type = LXW_CHART_PATTERN_WIDE_UPWARD_DIAGONAL;
    chart_series_set_pattern(series, &pattern);
    return;
  }
  lxw_chart_fill plain{};
  plain.color = index % 3 == 0 ? ink : light;
  chart_series_set_fill(series, &plain);
}

void mark(lxw_chart_series* series, Mark how) {
  lxw_chart_line line{};
  line.color = ink;
  line.width = how == Mark::dashes ? 1.0F : 1.5F;
  if (how == Mark::dots) line.none = LXW_TRUE;
  if (how == Mark::dashes) line.dash_type = LXW_CHART_LINE_DASH_DASH;
  chart_series_set_line(series, &line);
  chart_series_set_marker_type(series, how == Mark::dots ? LXW_CHART_MARKER_CIRCLE : LXW_CHART_MARKER_NONE);
  if (how != Mark::dots) return;
  chart_series_set_marker_size(series, 5);
  lxw_chart_fill dot{};
  dot.color = ink;
  chart_series_set_marker_fill(series, &dot);
  lxw_chart_line rim{};
  rim.color = ink;
  chart_series_set_marker_line(series, &rim);
}

void set_axes(lxw_chart* made, const Chart& chart) {
  lxw_chart_font small{};
  small.size = 8;
  chart_axis_set_num_font(made->x_axis, &small);
  chart_axis_set_num_font(made->y_axis, &small);
  lxw_chart_line light_line{};
  light_line.color = light;
  const bool lying = chart.sort == ChartSort::shares || chart.sort == ChartSort::bars;
  // Of lying bars the library names the axis of values x and that of categories y.
  lxw_chart_axis* values = lying ? made->x_axis : made->y_axis;
  lxw_chart_axis* categories = lying ? made->y_axis : made->x_axis;
  chart_axis_major_gridlines_set_visible(values, LXW_TRUE);
  chart_axis_major_gridlines_set_line(values, &light_line);
  chart_axis_major_gridlines_set_visible(categories, LXW_FALSE);
  if (lying) {
    chart_axis_set_reverse(categories);  // the first line of the table stands at the top
    chart_axis_set_crossing_max(categories);
    chart_axis_set_interval_unit(categories, 1);  // each with its name
  }
  if (chart.sort == ChartSort::scatter) {
    chart_axis_set_num_format(made->x_axis, day_format(DayOf::chart_axis).c_str());
    if (chart.from_zero) chart_axis_set_min(made->y_axis, 0);
  }
  if (!chart.down.empty()) {
    chart_axis_set_name(values, chart.down.c_str());
    chart_axis_set_name_font(values, &small);
  }
}

}  // namespace

lxw_error put_chart(lxw_workbook* book, lxw_worksheet* sheet, const Chart& chart, const std::string& figures,
                    const ChartPlace& place) {
  lxw_chart* made = workbook_add_chart(book, type_of(chart.sort));
  CHECK(made != nullptr);
  for (std::size_t i = 0; i < chart.series.size(); ++i) {
    const Series& one = chart.series[i];
    lxw_chart_series* series = chart_add_series(made, nullptr, nullptr);
    CHECK(series != nullptr);
    const auto first = static_cast<lxw_row_t>(figures_first_row + one.first_row);
    const auto last = static_cast<lxw_row_t>(figures_first_row + one.last_row);
    const auto labels = static_cast<lxw_col_t>(one.labels);
    const auto values = static_cast<lxw_col_t>(one.values);
    chart_series_set_categories(series, figures.c_str(), first, labels, last, labels);
    chart_series_set_values(series, figures.c_str(), first, values, last, values);
    chart_series_set_name(series, one.name.c_str());
    if (chart.sort == ChartSort::scatter)
      mark(series, one.mark);
    else
      fill(series, i);
  }
  lxw_chart_font title{};
  title.size = 11;
  title.bold = LXW_TRUE;
  chart_title_set_name(made, chart.title.c_str());
  chart_title_set_name_font(made, &title);
  chart_legend_set_position(made, LXW_CHART_LEGEND_BOTTOM);
  set_axes(made, chart);
  lxw_chart_options options{};
  options.x_offset = static_cast<std::int32_t>(place.left_pixels);
  options.y_offset = 6;  // a frame on the edge of its row stands on the page before, too
  // The library's standard chart is 480 by 288 pixels.
  options.x_scale = place.width_pixels / 480;
  options.y_scale = (static_cast<double>(chart_rows) - 1) * standard_row_pixels / 288;
  options.object_position = LXW_OBJECT_MOVE_DONT_SIZE;
  options.description = const_cast<char*>(chart.in_words.c_str());  // copied, not changed
  return worksheet_insert_chart_opt(sheet, place.row, 0, made, &options);
}

}  // namespace trayproof::workbook
