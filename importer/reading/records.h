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

#include "importer/reading/encoding.h"

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
  std::int64_t byte = 0;    // of the file, at which that line begins
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

struct TextLine {
  std::string_view text;
  std::int64_t number = 0;  // from 1
  std::int64_t byte = 0;    // of the file, at which it begins
};

// Lines end with CR LF, LF or CR. A byte-order mark at the beginning of a line is dropped.
class Lines {
 public:
  using Sink = std::function<void(const TextLine& line)>;
  // Whole lines that somebody else took from the front of a text.
  struct Taken {
    std::size_t bytes = 0;  // of the decoded text
    std::int64_t lines = 0;
  };
  // Offered a text that begins with a line, and where that line stands; it may take none.
  using Taker = std::function<Taken(const TextLine& text)>;

  explicit Lines(Sink sink, Encoding encoding = Encoding::utf8, Taker taker = {})
      : sink_(std::move(sink)), taker_(std::move(taker)), encoding_(encoding) {}
  void feed(std::string_view text);
  void finish();

 private:
  void take(std::string_view text);
  void emit(std::string_view line);
  bool offer(std::string_view& text);

  Sink sink_;
  Taker taker_;
  Encoding encoding_;
  std::string line_;  // the beginning of a line whose end has not come
  std::int64_t number_ = 0;
  std::int64_t byte_ = 0;     // at which the line in hand begins
  bool after_return_ = false;
  bool open_ = false;
};

class Records {
 public:
  using Sink = std::function<void(const Record&)>;
  Records(Delimiter delimiter, Sink sink) : splitter_(delimiter), sink_(std::move(sink)) {}
  void line(const TextLine& line);
  void finish();
  // No line waits for the end of its quote.
  bool idle() const { return waiting_.empty(); }

 private:
  struct Waiting {
    std::string text;
    std::int64_t byte = 0;
  };
  void give(const TextLine& line);
  void release();

  Splitter splitter_;
  Sink sink_;
  Record record_;
  std::vector<Waiting> waiting_;  // lines of a record whose quote is still open
  std::int64_t waiting_line_ = 0;
};

}  // namespace trayproof::reading
