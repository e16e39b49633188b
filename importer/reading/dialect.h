// Stage 2: which mark separates and which is the decimal mark, decided together by what the first lines become under
// each pair of them. docs/import-reading.md is the authority.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "importer/reading/head.h"

namespace trayproof::reading {

// What the first lines become under one separator and one decimal mark.
struct DialectTrial {
  Delimiter delimiter = Delimiter::comma;
  Decimal decimal = Decimal::point;
  double worth = 0;      // rows, less what in them is no number, less where they differ in width
  std::size_t rows = 0;  // rows of times and numbers
};

struct Dialect {
  Delimiter delimiter = Delimiter::comma;
  Decimal decimal = Decimal::point;
  bool decimal_open = false;              // both decimal marks fit every cell
  std::string example;                    // a cell that both fit
  std::optional<DialectTrial> runner_up;  // the next best pair, with a share of the rows
  double worth = 0;
};

// `delimiter` and `decimal` as a person said them. Nothing when no separator makes rows or a header of the lines.
std::optional<Dialect> find_dialect(const std::vector<HeadLine>& head, std::optional<Delimiter> delimiter,
                                    std::optional<Decimal> decimal);

}  // namespace trayproof::reading
