#include "report/picture/terminal.h"

#include <algorithm>
#include <cmath>

#include "ledger/base/utf8.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/picture/scale.h"

namespace trayproof::picture {
namespace {

constexpr int rows = 8;
constexpr int figures = 6;  // columns for the temperatures at the left

// Unicode's braille patterns: each character is two dots wide and four high.
class Dots {
 public:
  Dots(int columns, int lines) : columns_(columns), cells_(static_cast<std::size_t>(columns * lines), 0) {}
  int width() const { return columns_ * 2; }
  int height() const { return static_cast<int>(cells_.size()) / columns_ * 4; }
  void set(int x, int y) {
    if (x < 0 || y < 0 || x >= width() || y >= height()) return;
    static constexpr unsigned bits[4][2] = {{0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}};
    cells_[static_cast<std::size_t>(y / 4 * columns_ + x / 2)] |= bits[y % 4][x % 2];
  }
  std::string line(int row) const {
    std::string out;
    for (int x = 0; x < columns_; ++x) {
      const unsigned cell = cells_[static_cast<std::size_t>(row * columns_ + x)];
      append_utf8(out, cell == 0 ? U' ' : static_cast<char32_t>(0x2800 + cell));
    }
    return out;
  }

 private:
  int columns_;
  std::vector<unsigned> cells_;
};

std::string right_aligned(std::string text, std::size_t width) {
  return text.size() < width ? std::string(width - text.size(), ' ') + text : text;
}

int dot_of(const Scale& scale, double value) { return static_cast<int>(std::lround(scale(value))); }

// A clock at the left and one at the right end.
std::string times_line(const Curve& curve, int columns) {
  const auto clock = [&](double at_s) {
    if (!curve.start) return number_here(at_s / 60, 0) + " min";
    const auto ms = curve.start->ms + static_cast<std::int64_t>(at_s * 1000);
    return format_date_time(curve.zone.local({ms})).substr(11, 5);
  };
  const std::string first = clock(curve.moments.front().at_s);
  const std::string last = clock(curve.moments.back().at_s);
  const int between = columns - static_cast<int>(first.size() + last.size());
  return std::string(figures + 1, ' ') + first + std::string(static_cast<std::size_t>(std::max(1, between)), ' ') +
         last;
}

}  // namespace

std::vector<std::string> sketch(const Curve& curve, int columns) {
  const int across = columns - figures - 1;
  if (across < 20 || curve.moments.size() < 2) return {};
  double low = curve.set_c.value_or(INFINITY);
  double high = curve.set_c.value_or(-INFINITY);
  for (const Moment& moment : curve.moments) {
    low = std::min(low, moment.cold_c);
    high = std::max(high, moment.cold_c);
  }
  if (!(high > low)) return {};
  Dots dots(across, rows);
  const Scale x{.low = curve.moments.front().at_s,
                .high = std::max(curve.moments.back().at_s, curve.moments.front().at_s + 1),
                .from = 0,
                .until = static_cast<double>(dots.width() - 1)};
  const Scale y{.low = low, .high = high, .from = static_cast<double>(dots.height() - 1), .until = 0};
  for (std::size_t i = 1; i < curve.moments.size(); ++i) {
    const Moment& from = curve.moments[i - 1];
    const Moment& until = curve.moments[i];
    if (curve.gap_s > 0 && until.at_s - from.at_s > curve.gap_s) continue;
    const int steps = 1 + std::max(std::abs(dot_of(x, until.at_s) - dot_of(x, from.at_s)),
                                   std::abs(dot_of(y, until.cold_c) - dot_of(y, from.cold_c)));
    for (int k = 0; k <= steps; ++k) {
      const double part = static_cast<double>(k) / steps;
      dots.set(dot_of(x, from.at_s + (until.at_s - from.at_s) * part),
               dot_of(y, from.cold_c + (until.cold_c - from.cold_c) * part));
    }
  }
  if (curve.set_c) {
    for (int at = 0; at < dots.width(); at += 4) dots.set(at, dot_of(y, *curve.set_c));
  }
  std::vector<std::string> lines;
  for (int row = 0; row < rows; ++row) {
    std::string figure;
    if (row == 0) figure = number_here(high, 0) + "°C";
    if (row == rows - 1) figure = number_here(low, 0) + "°C";
    // The degree sign takes two bytes and one column.
    lines.push_back(right_aligned(std::move(figure), figures + (row == 0 || row == rows - 1 ? 1 : 0)) + " " +
                    dots.line(row));
  }
  if (curve.hold) {
    const int from = dot_of(x, curve.hold->from_s) / 2;
    const int until = std::max(from + 1, dot_of(x, curve.hold->until_s) / 2);
    std::string mark(static_cast<std::size_t>(figures + 1 + from), ' ');
    for (int at = from; at <= until; ++at) mark += "▔";
    lines.push_back(mark + " " + say("picture.hold", {{"minutes", number_here(curve.hold->minutes, 2)}}));
  }
  lines.push_back(times_line(curve, across));
  return lines;
}

}  // namespace trayproof::picture
