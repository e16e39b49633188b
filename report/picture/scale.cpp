#include "report/picture/scale.h"

#include <cmath>

#include "ledger/text/locale.h"

namespace trayproof::picture {
namespace {

std::string two_digits(int value) { return (value < 10 ? "0" : "") + std::to_string(value); }

// The shortest usual length of time of which at most `most` fit.
double time_step_s(double span_s, int most) {
  for (const double minutes : {1., 2., 5., 10., 15., 30., 60., 120., 180., 360., 720., 1440.}) {
    if (span_s / (minutes * 60) <= most) return minutes * 60;
  }
  return std::ceil(span_s / 86400 / most) * 86400;
}

}  // namespace

std::vector<double> round_marks(double low, double high, int most) {
  std::vector<double> marks;
  if (!(high > low)) return marks;
  double step = std::pow(10, std::floor(std::log10((high - low) / most)));
  for (const double factor : {1., 2., 5., 10., 20.}) {
    if ((high - low) / (step * factor) > most) continue;
    step *= factor;
    break;
  }
  const double first = std::ceil(low / step - 1e-9);
  for (double k = first; k * step <= high + step * 1e-9; ++k) marks.push_back(k * step);
  return marks;
}

std::vector<TimeMark> time_marks(const std::optional<Instant>& start, const Zone& zone, double low_s, double high_s,
                                 int most) {
  std::vector<TimeMark> marks;
  if (!(high_s > low_s)) return marks;
  const double step = time_step_s(high_s - low_s, most);
  // Round on the wall's clock: what the zone is ahead of UTC counts in.
  const double shift = start ? static_cast<double>(start->ms) / 1000 + zone.offset_minutes(*start) * 60.0 : 0;
  for (double k = std::ceil((low_s + shift) / step); k * step <= high_s + shift; ++k) {
    TimeMark mark{.at_s = k * step - shift, .text = {}};
    if (start) {
      const CivilTime civil = zone.civil({start->ms + std::llround(mark.at_s * 1000)});
      mark.text = two_digits(civil.hour) + ":" + two_digits(civil.minute);
    } else {
      mark.text = number_here(mark.at_s / 60, 0);
    }
    marks.push_back(std::move(mark));
  }
  return marks;
}

}  // namespace trayproof::picture
