// A spreadsheet saved as text, as rows of cells. Reads with the reading room's encodings and records; what a register
// adds is that its delimiter is told by its headings. Never fails. docs/registers.md is the authority.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importer/reading/encoding.h"
#include "importer/reading/records.h"
#include "ledger/base/bytes.h"

namespace trayproof::registers {

// One row as a spreadsheet shows it: a cell with line breaks makes the lines of the file more than the rows.
struct SheetRow {
  std::int64_t row = 0;                 // from 1, empty rows counted
  std::int64_t line = 0;                // of the file, at which it begins
  std::vector<std::string_view> cells;  // valid UTF-8, trimmed; good until the next row

  std::size_t filled() const;
  bool empty() const { return filled() == 0; }
};

// The encoding of the whole file: what its first bytes show, and where those are plain, every byte.
reading::Encoding encoding_of(ByteView bytes);

// Rows in order, until `each` returns false.
void each_row(ByteView bytes, reading::Encoding encoding, reading::Delimiter delimiter,
              const std::function<bool(const SheetRow&)>& each);

// The first rows, with their texts.
struct KeptRow {
  std::int64_t row = 0;
  std::int64_t line = 0;
  std::vector<std::string> cells;
};
std::vector<KeptRow> first_rows(ByteView bytes, reading::Encoding encoding, reading::Delimiter delimiter,
                                std::size_t most);

}  // namespace trayproof::registers
