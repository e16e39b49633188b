// The short way for rows whose shape has settled: fixed columns, a known way to write the time, plain numbers. What
// deviates in anything is left to the long way (records, rows), and both give the same values: docs/import-reading.md,
// "The short way".
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "importer/reading/rows.h"

namespace trayproof::reading {

class Settled {
 public:
  using Sink = std::function<void(const ParsedRow&, const RowTime&)>;

  // Nothing where rows of that shape cannot be taken so.
  static std::optional<Settled> plan(const Columns& columns, const Layout& layout, Delimiter delimiter, Decimal decimal,
                                     Encoding encoding);

  // From a row that the long way could read: how its time is written.
  void learn(const Record& record);

  struct Taken {
    std::size_t bytes = 0;
    std::int64_t rows = 0;
    bool seconds = false;  // some stamp showed seconds
  };
  // As many rows as can be taken from the front of a text that begins with a line.
  Taken take(const TextLine& text, const Sink& sink);

 private:
  enum class Use { skip, stamp, date, clock, number, value };
  struct Place {
    Use use = Use::skip;
    std::size_t channel = 0;
  };

  Settled() = default;
  // Each gives where it stopped, nothing where the text is not what it takes.
  const char* row(const char* at, const char* end);
  const char* cell(const Place& place, const char* at, const char* end);
  const char* number(const char* at, double& value) const;
  const char* clock(const char* at);
  static const char* take_text(const char* at, const char* end, const std::string& text);
  const char* skip(const char* at) const;
  bool is_edge(char c) const { return c == delimiter_ || c == '\n' || c == '\r'; }

  std::vector<Place> places_;  // up to the last that is used
  std::size_t count_ = 0;      // of all columns
  Encoding encoding_ = Encoding::utf8;
  char delimiter_ = ',';
  char mark_ = '.';
  // What was learned: the date, up to the clock, and what stands behind the clock.
  bool learned_ = false;
  std::string before_;
  std::string behind_;
  std::optional<bool> half_;
  RowTime time_;
  std::vector<double> values_;
  bool seconds_ = false;
};

}  // namespace trayproof::reading
