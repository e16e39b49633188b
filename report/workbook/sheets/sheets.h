// Each sheet of the workbook as a grid: what stands in it, not how it is written.
#pragma once

#include <string>
#include <vector>

#include "report/workbook/book.h"
#include "report/workbook/facts.h"
#include "report/workbook/sheets/places.h"

namespace trayproof::workbook {

// A sheet as the contents name it.
struct Sheet {
  std::string name;
  std::string title;
  std::size_t things = 0;  // that it shows: procedures, loads, findings
};
// All but the cover, in their order.
std::vector<Sheet> contents_of(const Facts& facts);

struct FigureSheet {
  Grid grid;
  std::vector<Chart> charts;
};

// Of a finding, with what its answer awaits: "explained, awaiting its second".
std::string state_in_words(const GapRow& row);

// The facts and the places outlive the grids: pictures are not copied, and rows of large sheets are laid out later.
Grid cover_grid(const Facts& facts, const std::vector<Sheet>& contents);
Grid summary_grid(const Facts& facts, FigureSheet& figures);
Grid cases_grid(const Facts& facts, const Places& places);
Grid packs_grid(const Facts& facts, const Places& places);
Grid loads_grid(const Facts& facts, const Places& places);
Grid curves_grid(const Facts& facts, const Places& places);
Grid indicators_grid(const Facts& facts, const Places& places);
Grid calendar_grid(const Facts& facts);
Grid gaps_grid(const Facts& facts, const Places& places);
Grid solutions_grid(const Facts& facts);
Grid recalls_grid(const Facts& facts);
Grid people_grid(const Facts& facts);
Grid equipment_grid(const Facts& facts);
Grid limits_grid(const Facts& facts);
Grid proof_grid(const Facts& facts);
Grid not_checked_grid(const Facts& facts);
FigureSheet figures_of(const Facts& facts);

// The row of the sheet of curves where that picture's line stands.
std::size_t curve_caption_row(std::size_t picture);

}  // namespace trayproof::workbook
