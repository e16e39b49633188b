// Kept curves, and readings judged: foreign bytes as a curve's own, and bytes made into readings of any shape.
#include <cmath>
#include <limits>
#include <string>

#include "importer/document.h"
#include "importer/import.h"
#include "importer/judging/curve.h"
#include "importer/judging/likeness.h"
#include "importer/judging/measured.h"
#include "importer/judging/verdict.h"
#include "ledger/sop/default.h"
#include "tests/fuzz/target.h"

namespace trayproof::fuzz {
namespace {

const sop::Editions& editions() {
  static const sop::Editions adopted = [] {
    sop::Editions editions;
    auto sop = sop::read(sop::default_sop());
    must_hold(sop.ok(), "the default edition is read");
    editions.add(5, std::move(sop).value(), Instant{0}, Instant{0});
    return editions;
  }();
  return adopted;
}

// What a judgement says, as text; every number in it is one.
std::string said(const importer::Cycle& cycle) {
  const bool known = cycle.verdict == "reached" || cycle.verdict == "not-reached" || cycle.verdict == "cannot-tell";
  must_hold(known, "one of three verdicts");
  importer::Import import;
  import.cycles.push_back(cycle);
  return json::plain(importer::to_json(import, false));
}

std::string judged(const judging::Measured& curve, const importer::KnownLoad* load, const std::string& sort) {
  importer::Surroundings around;
  around.editions = &editions();
  around.altitude_m = 1200;
  around.equipment_sort = sort;
  around.accuracy_k = 0.5;
  return said(judging::judge(curve.series, curve.stretch, load, around));
}

// Two bytes a row: how the temperature changes, and what else happens there.
judging::Measured made_of(std::string_view bytes) {
  judging::Measured out;
  judging::Series& series = out.series;
  series.temperatures = {"T1", "T2"};
  series.in_load = {true, true};
  series.pressure_name = "P";
  series.pressure_sense = reading::Sense::absolute;
  series.interval_s = 10;
  const double none = std::numeric_limits<double>::quiet_NaN();
  double temperature = 20;
  double at_s = 0;
  for (std::size_t i = 0; i + 1 < bytes.size(); i += 2) {
    const auto change = static_cast<std::int8_t>(bytes[i]);
    const auto flags = static_cast<std::uint8_t>(bytes[i + 1]);
    temperature = std::min(std::max(temperature + change, -90.0), 300.0);
    at_s += flags % 4 == 3 ? 10.0 * flags : 10;
    const bool lost = (flags & 4U) != 0 && (flags & 8U) != 0;
    judging::Sample sample{.at = Instant{1'700'000'000'000 + static_cast<std::int64_t>(at_s) * 1000},
                           .elapsed_s = at_s,
                           .line = static_cast<std::int64_t>(i),
                           .temperature_c = {lost ? none : temperature, (flags & 16U) != 0 ? none : temperature + 1},
                           .pressure_kpa = (flags & 32U) != 0 ? none : 100 + std::max(0.0, temperature - 100) * 5,
                           .room_kpa = none,
                           .pressure_kpa_abs = none};
    sample.pressure_kpa_abs = sample.pressure_kpa;
    series.samples.push_back(std::move(sample));
  }
  if (series.samples.empty()) return out;
  out.stretch.last = out.stretch.hot_last = series.samples.size() - 1;
  return out;
}

}  // namespace

// Bytes that are taken for a curve are written again as the same curve.
void curve_bytes(std::string_view bytes) {
  const judging::Around around{.ambient_kpa = 90, .error_k = 0};
  const auto curve = judging::decode(as_bytes(bytes), around);
  if (!curve) return;
  const Bytes written = judging::encode(curve->series, curve->stretch);
  const auto again = judging::decode(written, around);
  must_hold(again.has_value(), "what was written is read");
  must_hold(judging::encode(again->series, again->stretch) == written, "and written again alike");
  judged(*curve, nullptr, "steam-sterilizer");
}

// Readings of any shape are judged, alike from their kept bytes; rows after the end change no hold.
void curve_judging(std::string_view bytes) {
  const judging::Measured curve = made_of(bytes);
  if (curve.series.samples.empty()) return;
  importer::KnownLoad load;
  load.load = "L-1";
  load.method = "steam-gravity";
  load.temperature_c = 121;
  load.started = {*curve.series.samples.front().at, *curve.series.samples.front().at};
  load.ended = Span{*curve.series.samples.back().at, *curve.series.samples.back().at};
  const auto kept = judging::decode(judging::encode(curve.series, curve.stretch), {});
  must_hold(kept.has_value(), "what was written is read");
  for (const char* sort : {"steam-sterilizer", "dry-heat-sterilizer", "boiler", "washer-disinfector", ""}) {
    must_hold(judged(curve, nullptr, sort) == judged(*kept, nullptr, sort), "judged alike from its bytes");
  }
  must_hold(judged(curve, &load, "") == judged(*kept, &load, ""), "judged alike as part of a load");
  judging::Measured longer = curve;
  for (int i = 1; i <= 3; ++i) {
    judging::Sample cold = longer.series.samples.back();
    cold.elapsed_s += 10;
    cold.at->ms += 10'000;
    cold.temperature_c = {20, 20};
    longer.series.samples.push_back(cold);
  }
  longer.stretch.last = longer.series.samples.size() - 1;
  const auto hold_of = [](const judging::Measured& one) {
    const auto read = judging::curve_of(one.series, one.stretch.first, one.stretch.last, 90);
    const auto plateau = judging::plateau_of(read, 121, 90);
    return plateau ? plateau->hold.minutes : -1;
  };
  // A channel that is silent at the end counts otherwise once it speaks again.
  const bool speaks = !std::isnan(curve.series.samples.back().temperature_c[0]) &&
                      !std::isnan(curve.series.samples.back().temperature_c[1]);
  if (speaks) must_hold(hold_of(longer) == hold_of(curve), "cold rows behind it change no hold");
  const auto read = judging::curve_of(curve.series, curve.stretch.first, curve.stretch.last, std::nullopt);
  const auto sketch = judging::sketch_of(read, 10);
  if (!sketch) return;
  must_hold(judging::decode_sketch(judging::encode_sketch(sketch)).has_value(), "a sketch comes back");
  const auto self = judging::likeness(read, read);
  must_hold(!self || self->rms_k < 1e-6, "a curve is like itself");
}

}  // namespace trayproof::fuzz
