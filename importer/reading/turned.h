// Stage 6b: an export whose newest row stands first is turned, oldest first. docs/import-reading.md is the authority.
//
// Its rows wait in memory until the file ends, so only so many of them are turned; of a longer file the rest is refused.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "importer/reading/rows.h"

namespace trayproof::reading {

inline constexpr std::size_t turned_bytes_max = std::size_t{24} << 20U;

// By the times of the first rows: nearly all fall.
bool runs_backward(const Layout& layout, const Columns& columns);

class Turned {
 public:
  // False when no more rows may wait.
  bool keep(const ParsedRow& row, const RowTime& time);
  // All rows, the last first.
  void give(const Rows::Sink& sink);

 private:
  struct Waiting {
    std::int64_t line = 0;
    std::int64_t byte = 0;
    RowTime time;
    std::size_t values = 0;  // where they begin
    std::size_t channel = 0;
    std::uint16_t count = 0;
    bool of_channel = false;
  };
  std::vector<Waiting> rows_;
  std::vector<double> values_;
};

}  // namespace trayproof::reading
