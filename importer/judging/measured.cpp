#include "importer/judging/measured.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

#include "importer/judging/packed.h"
#include "importer/judging/sketch.h"
#include "ledger/base/check.h"

namespace trayproof::judging {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr std::uint64_t format = 1;
constexpr std::int64_t earliest_ms = -2208988800000;  // 1900
constexpr std::int64_t latest_ms = 7258118400000;     // 2200
constexpr double hottest_c = 1000;                    // past what reading takes for a fault
constexpr double most_kpa = 1e9;

using Kind = Packer::Kind;

// Marks on samples, as the steps between them.
void put_places(Packer& out, const std::vector<std::size_t>& places, const Stretch& stretch) {
  std::vector<std::size_t> within;
  for (const std::size_t place : places) {
    if (place >= stretch.first && place <= stretch.last) within.push_back(place - stretch.first);
  }
  out.number(within.size());
  std::size_t before = 0;
  for (const std::size_t place : within) {
    out.number(place - before);
    before = place;
  }
}

bool take_places(Unpacker& in, std::vector<std::size_t>& places, std::size_t rows) {
  const auto count = in.number(rows);
  if (!count) return false;
  std::size_t place = 0;
  for (std::uint64_t i = 0; i < *count; ++i) {
    const auto step = in.number(rows);
    if (!step || (i > 0 && *step == 0)) return false;
    place += *step;
    if (place >= rows) return false;
    places.push_back(place);
  }
  return true;
}

void put_head(Packer& out, const Series& series, const Stretch& stretch) {
  out.number(format);
  out.number(stretch.last - stretch.first + 1);
  out.number(stretch.hot_first - stretch.first);
  out.number(stretch.hot_last - stretch.first);
  out.number(series.temperatures.size());
  for (std::size_t i = 0; i < series.temperatures.size(); ++i) {
    out.text(series.temperatures[i]);
    out.number(series.in_load[i] ? 1 : 0);
  }
  out.text(series.pressure_name);
  out.number(static_cast<std::uint64_t>(series.pressure_sense));
  out.number(series.has_barometer ? 1 : 0);
  out.real(series.interval_s.value_or(none));
  put_places(out, series.conflicts, stretch);
  put_places(out, series.backward, stretch);
}

bool take_head(Unpacker& in, Measured& out, std::size_t& rows) {
  constexpr std::size_t name_bytes = 64 * 1024;
  if (in.number(format) != format) return false;
  const auto size = in.number(stretch_values_max);
  if (!size || *size == 0) return false;
  rows = *size;
  const auto hot_first = in.number(rows - 1);
  const auto hot_last = in.number(rows - 1);
  const auto channels = in.number(stretch_values_max);
  if (!hot_first || !hot_last || *hot_first > *hot_last || !channels) return false;
  if (rows > stretch_values_max / (*channels + 1) + 1) return false;
  out.stretch = {.first = 0, .last = rows - 1, .hot_first = *hot_first, .hot_last = *hot_last};
  for (std::uint64_t i = 0; i < *channels; ++i) {
    auto name = in.text(name_bytes);
    const auto in_load = in.number(1);
    if (!name || !in_load) return false;
    out.series.temperatures.push_back(std::move(*name));
    out.series.in_load.push_back(*in_load == 1);
  }
  auto pressure = in.text(name_bytes);
  const auto sense = in.number(static_cast<std::uint64_t>(reading::Sense::absolute));
  const auto barometer = in.number(1);
  const auto interval = in.real();
  if (!pressure || !sense || !barometer || !interval || std::isinf(*interval)) return false;
  out.series.pressure_name = std::move(*pressure);
  out.series.pressure_sense = static_cast<reading::Sense>(*sense);
  out.series.has_barometer = *barometer == 1;
  if (!std::isnan(*interval)) out.series.interval_s = *interval;
  return take_places(in, out.series.conflicts, rows) && take_places(in, out.series.backward, rows);
}

bool within(const std::vector<double>& values, double most) {
  return std::all_of(values.begin(), values.end(),
                     [&](double one) { return std::isnan(one) || std::abs(one) <= most; });
}

// Steps of a reading are seconds apart and in order: what judging relies on.
bool in_order(const Series& series) {
  double before = -std::numeric_limits<double>::infinity();
  for (const Sample& sample : series.samples) {
    if (!(sample.elapsed_s >= before) || !(std::abs(sample.elapsed_s) < 1e12)) return false;
    before = sample.elapsed_s;
  }
  return true;
}

}  // namespace

Measured measured_of(const Series& series, const Stretch& stretch) {
  Measured out{.series = series_like(series), .stretch = stretch};
  const auto begin = series.samples.begin() + static_cast<std::ptrdiff_t>(stretch.first);
  const auto end = series.samples.begin() + static_cast<std::ptrdiff_t>(stretch.last) + 1;
  out.series.samples.assign(begin, end);
  for (const auto& [from, to] :
       {std::pair(&series.conflicts, &out.series.conflicts), std::pair(&series.backward, &out.series.backward)}) {
    for (const std::size_t place : *from) {
      if (place >= stretch.first && place <= stretch.last) to->push_back(place - stretch.first);
    }
  }
  for (std::size_t* place : {&out.stretch.hot_first, &out.stretch.hot_last, &out.stretch.last, &out.stretch.first})
    *place -= stretch.first;
  return out;
}

Coded coded(const Series& series, const Stretch& stretch) {
  const Curve curve = curve_of(series, stretch.first, stretch.last, std::nullopt);
  return {.bytes = encode(series, stretch), .sketch = encode_sketch(sketch_of(curve, series.interval_s.value_or(0)))};
}

Bytes encode(const Series& series, const Stretch& stretch) {
  CHECK(stretch.first <= stretch.last && stretch.last < series.samples.size());
  Packer out;
  put_head(out, series, stretch);
  std::vector<double> column;
  const auto put = [&](Kind kind, const std::function<double(const Sample&)>& value) {
    column.clear();
    for (std::size_t i = stretch.first; i <= stretch.last; ++i) column.push_back(value(series.samples[i]));
    out.column(column, kind);
  };
  put(Kind::time, [](const Sample& one) { return one.at ? static_cast<double>(one.at->ms) : none; });
  put(Kind::time, [](const Sample& one) { return one.elapsed_s; });
  put(Kind::time, [](const Sample& one) { return static_cast<double>(one.line); });
  for (std::size_t k = 0; k < series.temperatures.size(); ++k)
    put(Kind::temperature, [k](const Sample& one) { return one.temperature_c[k]; });
  put(Kind::pressure, [](const Sample& one) { return one.pressure_kpa; });
  put(Kind::pressure, [](const Sample& one) { return one.room_kpa; });
  return out.done();
}

std::optional<Measured> decode(ByteView bytes, const Around& around) {
  Unpacker in(bytes);
  Measured out;
  std::size_t rows = 0;
  if (!take_head(in, out, rows)) return std::nullopt;
  Series& series = out.series;
  const std::size_t probes = series.temperatures.size();
  std::vector<std::vector<double>> columns;
  for (std::size_t i = 0; i < probes + 5; ++i) {
    const bool time = i < 3;
    auto column = in.column(rows, time ? Kind::time : i < 3 + probes ? Kind::temperature : Kind::pressure);
    if (!column || (!time && !within(*column, i < 3 + probes ? hottest_c : most_kpa))) return std::nullopt;
    columns.push_back(std::move(*column));
  }
  if (!in.at_end()) return std::nullopt;
  series.samples.resize(rows);
  for (std::size_t i = 0; i < rows; ++i) {
    Sample& sample = series.samples[i];
    if (const double ms = columns[0][i]; !std::isnan(ms)) {
      if (!(ms >= earliest_ms && ms < latest_ms)) return std::nullopt;
      sample.at = Instant{static_cast<std::int64_t>(ms)};
    }
    sample.elapsed_s = columns[1][i];
    if (!(columns[2][i] >= 0 && columns[2][i] < 1e15)) return std::nullopt;
    sample.line = static_cast<std::int64_t>(columns[2][i]);
    sample.temperature_c.reserve(probes);
    for (std::size_t k = 0; k < probes; ++k) sample.temperature_c.push_back(columns[3 + k][i] - around.error_k);
    sample.pressure_kpa = columns[3 + probes][i];
    sample.room_kpa = columns[4 + probes][i];
    sample.pressure_kpa_abs =
        absolute_kpa(series.pressure_sense, sample.pressure_kpa, sample.room_kpa, around.ambient_kpa);
  }
  if (!in_order(series)) return std::nullopt;
  series.pressure_unusable = series.pressure_sense == reading::Sense::gauge && !series.pressure_name.empty() &&
                             !around.ambient_kpa && !series.has_barometer;
  return out;
}

}  // namespace trayproof::judging
