// The way back: readings written as a logger may write them are read as they were written, whatever the separator, the
// decimal mark, the order of the date, the encoding, the line ends and the quotes.
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "importer/reading/reading.h"
#include "ledger/base/utf8.h"
#include "tests/fuzz/target.h"

namespace trayproof::fuzz {
namespace {

// How a file is written, by one byte each.
struct Written {
  char separator = ',';
  char mark = '.';
  int date = 0;  // 0: 2024-05-14, 1: 14.05.2024, 2: 05/14/2024
  reading::Encoding encoding = reading::Encoding::utf8;
  bool byte_order_mark = false;
  std::string line_end;
  bool quoted = false;
  std::size_t channels = 1;
};

Written written_as(std::string_view bytes) {
  const auto pick = [&](std::size_t at, unsigned of) { return static_cast<std::uint8_t>(bytes[at]) % of; };
  Written out;
  out.separator = ";,\t|"[pick(0, 4)];
  out.mark = out.separator != ',' && pick(1, 2) == 1 ? ',' : '.';
  out.date = static_cast<int>(pick(2, 3));
  constexpr std::array encodings = {reading::Encoding::utf8, reading::Encoding::windows1252, reading::Encoding::utf16le,
                                    reading::Encoding::utf16be};
  out.encoding = encodings[pick(3, 4)];
  out.byte_order_mark = pick(4, 2) == 1;
  out.line_end = std::array{"\n", "\r\n", "\r"}[pick(5, 3)];
  out.quoted = pick(6, 2) == 1;
  out.channels = 1 + pick(7, 3);
  return out;
}

void put_unit(std::string& out, unsigned unit, bool little) {
  const char low = static_cast<char>(unit & 0xFFU);
  const char high = static_cast<char>(unit >> 8U);
  out += little ? low : high;
  out += little ? high : low;
}

std::string encoded(const std::string& text, const Written& how) {
  if (how.encoding == reading::Encoding::utf8) return (how.byte_order_mark ? "\xEF\xBB\xBF" : "") + text;
  std::string out;
  const bool little = how.encoding == reading::Encoding::utf16le;
  const bool wide = how.encoding != reading::Encoding::windows1252;
  if (wide && how.byte_order_mark) put_unit(out, 0xFEFF, little);
  for (std::size_t at = 0; at < text.size();) {
    const auto point = static_cast<unsigned>(next_code_point(text, at));  // none here lies above 0xFF
    if (wide)
      put_unit(out, point, little);
    else
      out += static_cast<char>(point);
  }
  return out;
}

std::string number(double value, char mark) {
  char text[24];
  std::snprintf(text, sizeof text, "%.1f", value);
  for (char& one : text) {
    if (one == '.') one = mark;
  }
  return text;
}

class Values : public reading::RowSink {
 public:
  void begin(const reading::Reading&, reading::Extent) override { rows.clear(); }
  void row(const reading::Row& row) override { rows.push_back({row.at, {row.values.begin(), row.values.end()}}); }
  bool end(const reading::Reading&) override { return true; }
  std::vector<std::pair<std::optional<Instant>, std::vector<double>>> rows;
};

}  // namespace

void logger_written(std::string_view bytes) {
  constexpr std::size_t head = 8;
  if (bytes.size() < head) return;
  const Written how = written_as(bytes);
  const std::size_t count = (bytes.size() - head) / how.channels;
  if (count < 4) return;
  const auto cell = [&](const std::string& text) { return how.quoted ? '"' + text + '"' : text; };
  std::string text = cell("Time");
  for (std::size_t k = 0; k < how.channels; ++k)
    text += how.separator + cell("T" + std::to_string(k + 1) +
                                 " (\xC2\xB0"
                                 "C)");
  text += how.line_end;
  std::vector<std::vector<double>> expected;
  for (std::size_t i = 0; i < count; ++i) {
    char stamp[40];
    const int second = static_cast<int>(10 * i);
    constexpr std::array forms = {"2024-05-14", "14.05.2024", "05/14/2024"};
    std::snprintf(stamp, sizeof stamp, "%s %02d:%02d:%02d", forms[static_cast<std::size_t>(how.date)],
                  second / 3600 % 24, second / 60 % 60, second % 60);
    text += cell(stamp);
    expected.emplace_back();
    for (std::size_t k = 0; k < how.channels; ++k) {
      // Nothing that a sensor gives when it fails: 85.0 stands for such a value.
      const double tenths = 150 + 5 * static_cast<std::uint8_t>(bytes[head + i * how.channels + k]);
      const double value = tenths == 850 ? 85.1 : tenths / 10;
      text += how.separator + cell(number(value, how.mark));
      expected.back().push_back(value);
    }
    text += how.line_end;
  }
  const std::string file = encoded(text, how);
  reading::MemorySource source(as_bytes(file));
  Values values;
  const auto read = reading::read(source, {}, values);
  must_hold(read.ok() && read.value().asks.empty(), "a plain file asks nothing");
  must_hold(read.value().refused.count() == 0, "and none of its rows is refused");
  must_hold(values.rows.size() == count, "every row is a reading");
  const std::int64_t first_ms = days_since_epoch({2024, 5, 14}) * 86'400'000;
  for (std::size_t i = 0; i < count; ++i) {
    const auto& [at, found] = values.rows[i];
    must_hold(at && at->ms == first_ms + static_cast<std::int64_t>(i) * 10'000, "at its time");
    must_hold(found == expected[i], "with its values to the last digit");
  }
}

}  // namespace trayproof::fuzz
