// What the charts of the summary show: the biological calendar, hold times beside what was asked, gaps by week,
// standing exposure. The numbers themselves stand on a sheet of the book.
#include <algorithm>

#include "ledger/events/kinds.h"
#include "ledger/recall/exposure.h"
#include "report/gaps/biologicals.h"
#include "report/gaps/looking.h"
#include "report/review/chain.h"

namespace trayproof::review {
namespace {

using gaps::Told;

Instant day_of(const Material& material, Instant at) { return material.facts.zone.start_of(material.facts.day(at)); }

bool is_asked(const sop::Sop& sop, std::string_view method) {
  return sop.biological_days && sop.biological_methods && gaps::holds_text(*sop.biological_methods, method);
}

// The coldest of the hold in the curve, else as the operator read it.
std::optional<double> temperature_of(const gaps::Load& load) {
  std::optional<double> least;
  for (const gaps::Curve* curve : load.curves) {
    const auto coldest = gaps::curve_part(*curve, "temperature_c", "min");
    if (coldest && (!least || *coldest < *least)) least = coldest;
  }
  if (least || load.ended == nullptr) return least;
  return load.ended->number("temperature_c");
}

// The pair of the oven's table that asks for the least time at the temperature that was reached.
const sop::DryHeatPair* pair_of(const gaps::Load& load, const sop::Sop& sop) {
  const auto reached = temperature_of(load);
  const sop::DryHeatPair* best = nullptr;
  for (const sop::DryHeatPair& one : sop.dry_heat_pairs) {
    if (!reached || *reached < one.temperature_c) continue;
    if (best == nullptr || one.minutes < best->minutes) best = &one;
  }
  return best;
}

void put_asked(const gaps::Load& load, const sop::Sop& sop, workbook::HoldPoint& point) {
  if (const sop::SteamProgram* program = gaps::program_of(load, sop)) {
    point.minutes_asked = gaps::is_wrapped(load) ? program->hold_minutes_wrapped : program->hold_minutes_unwrapped;
    point.set_c = program->temperature_c;
    if (program->band_k) point.band_top_c = program->temperature_c + *program->band_k;
    return;
  }
  if (load.method != "dry-heat") return;
  if (const sop::DryHeatPair* pair = pair_of(load, sop)) {
    point.minutes_asked = pair->minutes;
    point.set_c = pair->temperature_c;
  }
}

// How far a load lies from the last test of its machine; of a day the last load, and late where one of them is.
void put_distance(const gaps::BiologicalStretch& stretch, const gaps::BiologicalStretch::Of& load,
                  workbook::MachineDay& day) {
  using Late = workbook::MachineDay::Late;
  if (stretch.tested) day.days_since = gaps::between(stretch.base->start, load.run->start, day_ms);
  const Told in_time = gaps::within_days(stretch, load);
  if (in_time == Told::no) day.late = Late::yes;
  if (in_time == Told::open && day.late == Late::no) day.late = Late::cannot_tell;
}

}  // namespace

std::vector<workbook::MachineDay> machine_days(const Material& material) {
  std::map<std::pair<std::string, Instant>, workbook::MachineDay> days;
  for (const gaps::Load* load : material.facts.loads_by_start) {
    if (load->equipment.empty() || !material.period.holds(load->start().at)) continue;
    const sop::Sop& sop = material.facts.sop_at(load->start());
    if (!is_asked(sop, load->method) && load->biologicals.empty()) continue;
    workbook::MachineDay& day = days[{load->equipment, day_of(material, load->start().at)}];
    ++day.loads;
    day.days_asked = sop.biological_days;
    for (const gaps::Biological* reading : load->biologicals) {
      const bool positive = reading->record->text("result") == "positive";
      const Told is_void = gaps::void_of(material.facts, *reading).is;
      ++(positive                ? day.positives
         : is_void == Told::yes  ? day.void_ones
         : is_void == Told::open ? day.open_ones
                                 : day.negatives);
    }
  }
  for (const auto& [id, equipment] : material.facts.equipment) {
    for (const gaps::BiologicalStretch& stretch : gaps::biological_stretches(material.facts, equipment)) {
      for (const gaps::BiologicalStretch::Of& one : stretch.loads) {
        const auto day = days.find({id, day_of(material, one.run->start.at)});
        if (day == days.end() || !material.period.holds(one.run->start.at)) continue;
        put_distance(stretch, one, day->second);
      }
    }
  }
  std::vector<workbook::MachineDay> rows;
  for (auto& [key, day] : days) {
    day.equipment = key.first;
    day.day = key.second;
    rows.push_back(std::move(day));
  }
  return rows;
}

std::vector<workbook::HoldPoint> hold_points(const Material& material) {
  std::vector<workbook::HoldPoint> points;
  for (const auto& [id, equipment] : material.facts.equipment) {
    for (const gaps::Load* load : equipment.loads) {
      if (!material.period.holds(load->start().at)) continue;
      if (!events::is_steam(load->method) && load->method != "dry-heat") continue;
      workbook::HoldPoint point;
      point.equipment = id;
      point.load = load->id;
      point.at = load->start().at;
      point.minutes = curve_hold_minutes(*load);
      if (!point.minutes && load->ended != nullptr) point.minutes = load->ended->number("hold_min");
      point.temperature_c = temperature_of(*load);
      put_asked(*load, material.facts.sop_at(load->start()), point);
      points.push_back(std::move(point));
    }
  }
  return points;
}

std::vector<workbook::WeekRow> week_rows(const Material& material) {
  std::map<Instant, workbook::WeekRow> weeks;
  const auto monday = [&](Instant at) {
    const std::int64_t days = days_since_epoch(material.facts.day(at));
    return material.facts.zone.start_of(date_of_days(days - (days + 3) % 7));  // 1970-01-01 was a Thursday
  };
  // A week without any gap stands as well.
  if (material.period.from) {
    const Instant until = std::min(material.facts.now, material.facts.until);
    for (Instant at = *material.period.from; at <= until; at.ms += 7 * day_ms) weeks[monday(at)];
    if (*material.period.from <= until) weeks[monday(until)];
  }
  for (const gaps::Finding& one : material.in_period.gaps) {
    workbook::WeekRow& week = weeks[monday(one.at)];
    ++(one.severity == gaps::Severity::critical ? week.critical
       : one.severity == gaps::Severity::major  ? week.major
                                                : week.minor);
  }
  std::vector<workbook::WeekRow> rows;
  for (auto& [at, week] : weeks) {
    week.week = at;
    rows.push_back(week);
  }
  return rows;
}

Result<void> exposure_rows(const Material& material, workbook::Facts& out) {
  TRY_LET(const auto exposed, recall::exposure(material.tables, material.facts.editions));
  out.exposed_as_of = exposed.as_of;
  for (const recall::Exposed& one : exposed.sterilizers) {
    workbook::ExposureRow row;
    row.equipment = one.equipment;
    if (one.last_valid_negative) {
      row.load = one.last_valid_negative->load.value_or("");
      row.at = one.last_valid_negative->at;
    }
    row.loads = one.loads;
    row.packs = one.packs;
    row.procedures = one.procedures;
    row.patients = one.patients;
    out.exposure.push_back(std::move(row));
  }
  return {};
}

}  // namespace trayproof::review
