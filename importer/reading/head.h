// Stage 4: what the first lines of a file say about its layout: where the header stands, what is preamble. docs/import-reading.md is the authority.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importer/reading/encoding.h"
#include "importer/reading/numbers.h"
#include "importer/reading/records.h"

namespace trayproof::reading {

enum class Kind { empty, number, mark, stamp, text };
Kind kind_of(std::string_view cell);

struct HeadLine {
  std::int64_t number = 0;
  std::string text;
};
inline constexpr std::size_t head_bytes = std::size_t{256} * 1024;
enum class Extent { head, whole };
// The first lines, at most 1,000, of the first bytes of a file; the last line of a mere head may be cut and is left
// out.
std::vector<HeadLine> head_of(ByteView bytes, Extent extent, Encoding encoding);

struct HeadCell {
  std::string text;
  bool quoted = false;
  Kind kind = Kind::empty;
};
struct HeadRecord {
  std::int64_t line = 0;
  std::string text;
  std::vector<HeadCell> cells;

  std::size_t count(Kind kind) const;
  std::size_t filled() const { return cells.size() - count(Kind::empty); }
  // A time and a number, or numbers from the first cell on.
  bool is_data() const;
  // Place of the first time, -1 where numbers only.
  int time_place() const;
};
std::vector<HeadRecord> records_of(const std::vector<HeadLine>& head, Delimiter delimiter);

struct Metadata {
  std::string key;
  std::string value;
  std::int64_t line = 0;
};
// "key: value", "key=value", or two filled cells; a comment sign in front is dropped. Nothing where it looks like
// neither.
std::optional<Metadata> metadata_of(std::string_view text, const std::vector<std::string>& cells, std::int64_t line);
bool is_comment(std::string_view text);

// Most filled cells are names of units.
bool is_units_row(const HeadRecord& record);
// One more than the number of cells that name something known; 0 when the record cannot be a header of that width.
std::size_t header_worth(const HeadRecord& record, std::size_t width);

struct Layout {
  std::optional<std::int64_t> header_line;
  std::vector<std::string> names;  // empty without a header
  std::vector<std::string> units;  // empty without a row of units
  std::int64_t data_line = 0;      // rows of data begin at this line
  std::size_t width = 0;           // cells of most rows
  std::vector<Metadata> metadata;
  std::vector<HeadRecord> rows;  // the head's rows of data
};
// Nothing when the head holds no row of data and no header.
std::optional<Layout> find_layout(const std::vector<HeadLine>& head, Delimiter delimiter);

}  // namespace trayproof::reading
