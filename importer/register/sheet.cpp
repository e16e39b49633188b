#include "importer/register/sheet.h"

#include <algorithm>

namespace trayproof::registers {
namespace {

constexpr std::size_t piece_bytes = std::size_t{64} * 1024;

}  // namespace

std::size_t SheetRow::filled() const {
  return static_cast<std::size_t>(
      std::count_if(cells.begin(), cells.end(), [](std::string_view cell) { return !cell.empty(); }));
}

reading::Encoding encoding_of(ByteView bytes) {
  const reading::Encoding first = reading::detect_encoding(bytes.first(std::min(bytes.size(), piece_bytes)));
  if (first != reading::Encoding::utf8 && first != reading::Encoding::windows1252) return first;
  reading::Utf8Watch watch;
  watch.feed(bytes);
  return watch.is_utf8() ? reading::Encoding::utf8 : reading::Encoding::windows1252;
}

void each_row(ByteView bytes, reading::Encoding encoding, reading::Delimiter delimiter,
              const std::function<bool(const SheetRow&)>& each) {
  SheetRow row;
  bool wanted = true;
  reading::Records records(delimiter, [&](const reading::Record& record) {
    if (!wanted) return;
    ++row.row;
    row.line = record.line;
    row.cells.clear();
    for (const reading::Cell& cell : record.cells) row.cells.push_back(reading::trimmed(cell.text));
    // Spreadsheets write empty cells behind the last column of some rows.
    while (!row.cells.empty() && row.cells.back().empty()) row.cells.pop_back();
    wanted = each(row);
  });
  reading::Lines lines([&](const reading::TextLine& line) { records.line(line); }, encoding);
  reading::Decoder decoder(encoding);
  std::string text;
  for (std::size_t at = 0; at < bytes.size() && wanted; at += piece_bytes) {
    text.clear();
    decoder.feed(bytes.subspan(at, std::min(piece_bytes, bytes.size() - at)), text);
    lines.feed(text);
  }
  text.clear();
  decoder.finish(text);
  lines.feed(text);
  lines.finish();
  records.finish();
}

std::vector<KeptRow> first_rows(ByteView bytes, reading::Encoding encoding, reading::Delimiter delimiter,
                                std::size_t most) {
  std::vector<KeptRow> rows;
  each_row(bytes, encoding, delimiter, [&](const SheetRow& row) {
    rows.push_back({row.row, row.line, {row.cells.begin(), row.cells.end()}});
    return rows.size() < most;
  });
  return rows;
}

}  // namespace trayproof::registers
