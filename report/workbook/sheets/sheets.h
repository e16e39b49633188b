// Each sheet of the workbook as a grid: what stands in it, not how it is written.
#pragma once

#include <string>
#include <vector>

#include "report/workbook/book.h"
#include "report/workbook/facts.h"

namespace trayproof::workbook {

// Every sheet but the summary, in their order.
std::vector<Grid> all_grids(const Facts& facts);
// `others` are linked from it.
Grid summary_grid(const Facts& facts, const std::vector<Grid>& others);
Grid cases_grid(const Facts& facts);
Grid loads_grid(const Facts& facts);
Grid gaps_grid(const Facts& facts);
Grid solutions_grid(const Facts& facts);
Grid recalls_grid(const Facts& facts);
Grid proof_grid(const Facts& facts);
Grid limits_grid(const Facts& facts);
Grid not_checked_grid(const Facts& facts);

}  // namespace trayproof::workbook
