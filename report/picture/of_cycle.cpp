#include "report/picture/of_cycle.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "importer/judging/curve.h"
#include "importer/physics/lethality.h"
#include "importer/physics/steam.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"

namespace trayproof::picture {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();

bool is_steam(std::string_view method) { return method == "steam-gravity" || method == "steam-prevacuum"; }

struct Lethality {
  physics::Reference reference;
  Lethal told;
  double scale = 1;  // seconds in one of its units
};

std::optional<Lethality> lethality_of(std::string_view method, const sop::Sop* edition) {
  if (is_steam(method)) {
    physics::Reference reference = physics::f0_reference;
    if (edition != nullptr && edition->steam_f0_reference_c)
      reference.temperature.value = *edition->steam_f0_reference_c;
    return Lethality{reference, {"F0", say("picture.minutes"), reference.temperature.value, {}}, 60};
  }
  if (method == "dry-heat") {
    const auto& reference = physics::fh_reference;
    return Lethality{reference, {"FH", say("picture.minutes"), reference.temperature.value, {}}, 60};
  }
  if (method == "boiling" || method == "steaming" || method == "thermal-disinfection") {
    const auto& reference = physics::a0_reference;
    return Lethality{reference, {"A0", say("picture.seconds"), reference.temperature.value, {}}, 1};
  }
  return std::nullopt;
}

void gather_lethality(Curve& curve, const judging::Curve& readings, const Lethality& lethality,
                      std::optional<double> gap_s_max) {
  double gathered_s = 0;
  for (std::size_t i = 0; i < readings.points.size(); ++i) {
    if (i > 0) {
      const std::span<const physics::Point> step(&readings.points[i - 1], 2);
      gathered_s += physics::lethality(step, lethality.reference, gap_s_max).seconds;
    }
    curve.moments[i].lethality = gathered_s / lethality.scale;
  }
}

std::string number_at(const json::Value& judged, std::string_view name, int decimals) {
  const auto value = judged.number_at(name);
  return value ? number_here(*value, decimals) : say("picture.none");
}

// The lines below the title: verdict, hold, lethality, what was found.
std::vector<std::string> lines_of(const importer::Cycle& cycle, const std::optional<HoldSpan>& hold) {
  std::vector<std::string> lines;
  lines.push_back(say("picture.verdict", {{"verdict", say("picture.verdict-" + cycle.verdict)}}));
  std::string figures;
  if (hold) figures = say("picture.hold-line", {{"minutes", number_here(hold->minutes, 2)}});
  for (const importer::Check& check : cycle.checks) {
    if (check.what == "hold-minutes" && hold)
      figures += say("picture.wanted", {{"minutes", number_here(check.limit, 2)}});
  }
  if (!figures.empty()) figures += "; ";
  if (is_steam(cycle.method)) figures += say("picture.f0-line", {{"f0", number_at(cycle.judged, "f0_low", 1)}});
  if (cycle.method == "dry-heat") figures += say("picture.fh-line", {{"fh", number_at(cycle.judged, "fh", 1)}});
  if (cycle.judged.number_at("a0")) figures += say("picture.a0-line", {{"a0", number_at(cycle.judged, "a0", 0)}});
  lines.push_back(std::move(figures));
  if (cycle.saturation_unchecked_k)
    lines.push_back("– " + importer::saturation_unchecked(*cycle.saturation_unchecked_k));
  for (const importer::Finding& one : cycle.findings) lines.push_back("– " + importer::sentence(one));
  return lines;
}

std::string sense_in_words(std::string_view sense) {
  const std::string key = "picture.sense-" + std::string(sense);
  return has_word(key) ? say(key) : std::string(sense);
}

// The unit and the sense in which the file gives its pressure.
std::string pressure_as_read(const importer::Import& import) {
  std::string unit;
  for (const importer::Channel& channel : import.channels) {
    if (channel.name == import.pressure) unit = channel.unit;
  }
  const auto sense = import.reading.text_at("pressure").value_or("");
  return say("picture.as-read", {{"unit", unit.empty() ? say("picture.no-unit") : unit},
                                 {"sense", sense.empty() ? say("picture.none") : sense_in_words(sense)},
                                 {"channel", import.pressure}});
}

struct Stretched {
  Curve curve;
  double begin_s = 0;  // second 0 of the curve, on the file's own count
};

Stretched stretch_of(const judging::Series& series, std::size_t first, std::size_t last, std::string_view method,
                     const sop::Sop* edition, const Zone& zone) {
  Curve curve;
  curve.zone = zone;
  const std::optional<double> gap_s_max = edition != nullptr ? edition->steam_gap_seconds_max : std::nullopt;
  // The same readings that judging looked at: silences filled, channels beside the load left out.
  const judging::Curve readings = judging::curve_of(series, first, last, gap_s_max);
  const double begin = readings.readings.empty() ? 0 : readings.readings.front().at_s;
  for (const judging::Reading& reading : readings.readings) {
    Moment moment{.at_s = reading.at_s - begin,
                  .cold_c = reading.cold_c,
                  .hot_c = reading.hot_c,
                  .pressure_kpa_abs = reading.pressure_kpa_abs,
                  .saturation_c = none,
                  .lethality = none};
    const auto saturation = physics::saturation_temperature({reading.pressure_kpa_abs});
    if (is_steam(method) && saturation) moment.saturation_c = saturation->value;
    curve.moments.push_back(moment);
  }
  if (!readings.readings.empty()) curve.start = series.samples[readings.readings.front().sample].at;
  curve.several_channels = std::count(series.in_load.begin(), series.in_load.end(), true) > 1;
  // Without the SOP's limit a step ten times the usual one is drawn as a hole.
  curve.gap_s = gap_s_max.value_or(10 * series.interval_s.value_or(0));
  if (const auto lethality = lethality_of(method, edition)) {
    curve.lethal = lethality->told;
    gather_lethality(curve, readings, *lethality, gap_s_max);
  }
  return {std::move(curve), begin};
}

}  // namespace

void name_source(Curve& curve, const importer::Import& import) {
  curve.pressure_as_read = pressure_as_read(import);
  curve.source = say("picture.source", {{"sha256", hex(import.file)}});
}

Curve of_cycle(const judging::Series& series, const importer::Cycle& cycle, const sop::Sop* edition, const Zone& zone) {
  Stretched stretched = stretch_of(series, cycle.first_row, cycle.last_row, cycle.method, edition, zone);
  Curve& curve = stretched.curve;
  const double begin_s = stretched.begin_s;
  const std::string load = cycle.load ? say("picture.load", {{"load", *cycle.load}}) : say("picture.unplaced");
  curve.title = say("picture.title", {{"load", load}, {"method", cycle.method}});
  curve.set_c = cycle.set_temperature_c;
  if (cycle.set_temperature_c && cycle.band_k) curve.band_top_c = *cycle.set_temperature_c + *cycle.band_k;
  if (edition != nullptr && is_steam(cycle.method)) curve.saturation_limit_k = edition->steam_saturation_k;
  if (cycle.hold_first_row && cycle.hold_last_row) {
    const double from = series.samples[*cycle.hold_first_row].elapsed_s - begin_s;
    const double until = series.samples[*cycle.hold_last_row].elapsed_s - begin_s;
    curve.hold = HoldSpan{.from_s = from, .until_s = until, .minutes = (until - from) / 60};
  }
  for (const importer::Check& check : cycle.checks) {
    if (curve.lethal && (check.what == "f0-minutes" || check.what == "a0-seconds")) curve.lethal->least = check.limit;
  }
  curve.lines = lines_of(cycle, curve.hold);
  return std::move(curve);
}

const sop::Sop* edition_of(const sop::Editions& editions, const importer::Cycle& cycle) {
  for (const sop::Edition& one : editions.all()) {
    if (one.seq == cycle.sop_seq) return &one.sop;
  }
  return nullptr;
}

void tell_again(Curve& curve, const importer::Cycle& cycle) { curve.lines = lines_of(cycle, curve.hold); }

std::vector<Curve> of_import(const importer::Import& import, const sop::Editions& editions, const Zone& zone) {
  std::vector<Curve> curves;
  judging::Series series;
  series.samples = import.samples;
  series.temperatures = import.temperatures;
  series.in_load = import.in_load;
  series.interval_s = import.interval_s;
  for (const importer::Cycle& cycle : import.cycles) {
    curves.push_back(of_cycle(series, cycle, edition_of(editions, cycle), zone));
  }
  if (curves.empty() && !import.samples.empty()) {
    curves.push_back(stretch_of(series, 0, import.samples.size() - 1, "", nullptr, zone).curve);
    curves.back().title = say("picture.no-cycle");
  }
  for (Curve& curve : curves) name_source(curve, import);
  return curves;
}

}  // namespace trayproof::picture
