// Pictures of the curves, two beside each other, each below a line that leads back to its load.
#include <algorithm>

#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {
namespace {

double height_in_png(const Bytes& png) {
  // The height stands at byte 20, big-endian, in the first chunk of every PNG.
  double height = 0;
  for (std::size_t i = 20; i < 24 && i < png.size(); ++i) height = height * 256 + static_cast<double>(png[i]);
  return height;
}

double height_in_units(const CurvePicture& one) { return height_in_png(one.png) / one.pixels_a_unit; }

}  // namespace

std::size_t curve_caption_row(std::size_t picture) { return picture / 2 * 2; }

Grid curves_grid(const Facts& facts, const Places& places) {
  Grid grid = grid_of("curves", {{"left-curve", 68}, {"right-curve", 68}});
  grid.filter = false;
  grid.print.percent = 90;  // both columns on the width of A4 landscape
  if (facts.pictures_left_out > 0)
    grid.note += " " + say("workbook.curves-left-out", {{"count", std::to_string(facts.pictures_left_out)}});
  for (std::size_t i = 0; i < facts.pictures.size(); i += 2) {
    Row captions(2, text(""));
    double points = 60;
    for (std::size_t side = 0; side < 2 && i + side < facts.pictures.size(); ++side) {
      const CurvePicture& one = facts.pictures[i + side];
      captions[side] = linked(one.load + " · " + worded(one.verdict), places.load(one.load));
      points = std::max(points, picture_row_points(height_in_units(one)));
    }
    if (i > 0) grid.print.pages_at.push_back(grid.rows.size());
    grid.rows.push_back(std::move(captions));
    const std::size_t row = grid.rows.size();
    grid.rows.push_back(Row(2, text("")));
    for (std::size_t side = 0; side < 2 && i + side < facts.pictures.size(); ++side) {
      const CurvePicture& one = facts.pictures[i + side];
      grid.pictures.push_back({.row = row,
                               .column = side,
                               .png = &one.png,
                               .scale = picture_scale(height_in_units(one)) / one.pixels_a_unit,
                               .row_points = points,
                               .in_words = one.caption});
    }
  }
  if (facts.pictures.empty()) grid.rows.push_back({text(say("workbook.no-curve-kept"))});
  return grid;
}

}  // namespace trayproof::workbook
