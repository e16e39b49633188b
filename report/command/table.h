// Rows as a table that a person can read: as wide as the terminal at most, long texts folded inside their column; where
// even that does not fit, each row as lines of heading and value.
#pragma once

#include <string>
#include <vector>

namespace trayproof::command {

struct TableColumn {
  std::string head;
  bool right = false;  // numbers
};

// Lines with their ends. Every row has as many cells as there are columns.
std::string table_text(const std::vector<TableColumn>& columns, const std::vector<std::vector<std::string>>& rows,
                       std::size_t width);

}  // namespace trayproof::command
