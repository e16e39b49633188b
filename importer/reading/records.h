// Stage 3: from text to records. A push parser: it takes text in chunks of any size and gives each record as soon as it
// ends, with its line, so that memory does not grow with the file. docs/import-reading.md is the authority.
//
// A quote opens a field only at its beginning (RFC 4180) and may run over a few lines; one that never closes is an
// ordinary character, so that a stray quote cannot swallow the rest of a file.
#pragma once

#include <cstdint>
#include <deque>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trayproof::reading {

// `blanks` is any run of blanks and tabs, `wide_blanks` a run of two or more; both are "blanks" to people.
enum class Delimiter { comma, semicolon, tab, pipe, blanks, wide_blanks };

std::string_view name_of(Delimiter delimiter);
std::optional<Delimiter> delimiter_named(std::string_view name);

struct Cell {
  std::string_view text;  // without outer blanks and quotes
  bool quoted = false;
};

struct Record {
  std::int64_t line = 0;    // of its first line, from 1
  std::string_view text;    // as it stands in the file
  std::vector<Cell> cells;  // views into the text or into the splitter; good until the next record
};

std::string_view trimmed(std::string_view text);

// Splits one line. Keeps the texts of cells whose doubled quotes had to be made single.
class Splitter {
 public:
  explicit Splitter(Delimiter delimiter) : delimiter_(delimiter) {}
  // False when a quoted field is still open at the end; the cells are then as if the quote were an ordinary character.
  bool split(std::string_view text, std::vector<Cell>& cells);

 private:
  bool split_at(char delimiter, std::string_view text, std::vector<Cell>& cells);
  void split_blanks(std::string_view text, std::size_t least, std::vector<Cell>& cells);
  std::string_view unquoted(std::string_view inner);

  Delimiter delimiter_;
  std::deque<std::string> kept_;
};

// Lines end with CR LF, LF or CR. A byte-order mark at the beginning of a line is dropped.
class Lines {
 public:
  using Sink = std::function<void(std::string_view line, std::int64_t number)>;
  explicit Lines(Sink sink) : sink_(std::move(sink)) {}
  void feed(std::string_view text);
  void finish();

 private:
  void take(std::string_view text);
  void emit();

  Sink sink_;
  std::string line_;
  std::int64_t number_ = 0;
  bool after_return_ = false;
  bool open_ = false;
};

class Records {
 public:
  using Sink = std::function<void(const Record&)>;
  Records(Delimiter delimiter, Sink sink) : splitter_(delimiter), sink_(std::move(sink)) {}
  void line(std::string_view text, std::int64_t number);
  void finish();

 private:
  void give(std::string_view text, std::int64_t number);
  void release();

  Splitter splitter_;
  Sink sink_;
  Record record_;
  std::vector<std::string> waiting_;  // lines of a record whose quote is still open
  std::int64_t waiting_line_ = 0;
};

}  // namespace trayproof::reading
