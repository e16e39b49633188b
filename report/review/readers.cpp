#include "report/review/readers.h"

#include <utility>

#include "ledger/base/check.h"
#include "ledger/words/words.h"

namespace trayproof::review {
namespace {

// What stands in braces is the text of `review.reader-<name>`; rules and verbs have one name in every language.
// clang-format off
constexpr std::pair<std::string_view, std::string_view> readers[] = {
    {"sop.title", "{reports}"},
    {"sop.edition", "{reports}"},
    {"sop.approved_by", "{reports}"},
    {"sop.confirmed", "sop-unconfirmed"},
    {"decontamination.mode", "soak-missing, soak-forbidden"},
    {"decontamination.percent", "recipe-off-target, mix"},
    {"decontamination.percent_tolerance", "recipe-off-target"},
    {"decontamination.percent_min", "solution-weak"},
    {"decontamination.percent_max", "solution-strong"},
    {"decontamination.soak_minutes_min", "soak-too-short"},
    {"decontamination.soak_minutes_max", "soak-too-long"},
    {"decontamination.life_hours", "soak-past-life"},
    {"decontamination.test", "solution-untested, solution-tested-late"},
    {"disinfectant.agent", "{chemical-loads}"},
    {"disinfectant.percent_min", "solution-weak"},
    {"disinfectant.percent_max", "solution-strong"},
    {"disinfectant.temperature_c_min", "disinfection-too-cold"},
    {"disinfectant.disinfect_minutes", "disinfection-too-short"},
    {"disinfectant.sterilize_hours", "disinfection-too-short"},
    {"disinfectant.life_days", "disinfectant-past-life"},
    {"disinfectant.test", "solution-untested, solution-tested-late"},
    {"boiling.minutes", "boil-too-short"},
    {"washer.a0_min", "disinfection-heat-low"},
    {"cleaning.hours_max", "cleaned-late"},
    {"cleaning.exempt_sets", "cleaning-missing"},
    {"packing.inside_indicator", "no-inside-indicator, indicator-unread"},
    {"steam.saturation_k", "steam-not-saturated, {importer}"},
    {"steam.pressure_slack_kpa", "pressure-low-for-altitude"},
    {"steam.f0_reference_c", "lethality-low, {importer}"},
    {"steam.gap_seconds_max", "curve-with-holes, {importer}"},
    {"steam.program.temperature_c", "{importer}, {cycle-rules}"},
    {"steam.program.band_k", "temperature-above-band, {importer}"},
    {"steam.program.hold_minutes_wrapped", "hold-too-short, {importer}"},
    {"steam.program.hold_minutes_unwrapped", "hold-too-short, {importer}"},
    {"steam.program.f0_min", "lethality-low, {importer}"},
    {"dry_heat.pair.temperature_c", "dry-heat-pair-missed, {importer}"},
    {"dry_heat.pair.minutes", "dry-heat-pair-missed, {importer}"},
    {"indicators.biological_days", "biological-overdue"},
    {"indicators.biological_hours", "{valid-negatives}, biological-void, biological-unread"},
    {"indicators.biological_methods", "biological-overdue"},
    {"indicators.air_removal", "air-removal-missing"},
    {"release.methods", "used-before-release, load-undecided"},
    {"release.roles", "released-by-wrong-role"},
    {"release.second_person", "released-by-packer"},
    {"release.cooling_minutes", "released-too-early"},
    {"release.hours_max", "load-undecided"},
    {"shelf.days.wrapped", "used-after-use-by, expired-on-shelf, {labels}"},
    {"shelf.days.unwrapped", "used-after-use-by, expired-on-shelf, {labels}"},
    {"shelf.days.drum", "used-after-use-by, expired-on-shelf, {labels}"},
    {"shelf.days.pouch", "used-after-use-by, expired-on-shelf, {labels}"},
    {"shelf.days.container", "used-after-use-by, expired-on-shelf, {labels}"},
    {"shelf.disinfected_days", "used-after-use-by"},
    {"shelf.drum_open_hours", "drum-open-too-long"},
    {"records.late_hours", "entered-late ({minor})"},
    {"records.very_late_hours", "entered-late ({major})"},
    {"records.clock_minutes", "{clock-check}"},
    {"records.burst_count", "burst-entry"},
    {"records.burst_minutes", "burst-entry"},
    {"records.burst_span_hours", "burst-entry"},
    {"records.unused_hours", "opened-without-use"},
    {"records.alike_loads", "readings-all-alike"},
    {"records.reading_k", "readings-and-curve-differ"},
    {"records.reading_minutes", "readings-and-curve-differ"},
    {"records.correct_alone_hours", "corrected-alone"},
    {"records.checkpoint_days", "checkpoint-overdue"},
    {"records.backup_days", "backup-overdue"},
    {"recall.policy", "{recall}"},
    {"recall.hours_max", "biological-positive-unanswered"},
    {"recall.days_max", "recall-open"},
    {"recall.drill_months", "drill-overdue"},
};
// clang-format on

std::string filled(std::string_view pattern) {
  std::string out;
  for (;;) {
    const std::size_t open = pattern.find('{');
    out += pattern.substr(0, open);
    if (open == std::string_view::npos) return out;
    const std::size_t close = pattern.find('}', open);
    CHECK(close != std::string_view::npos);
    out += say("review.reader-" + std::string(pattern.substr(open + 1, close - open - 1)));
    pattern.remove_prefix(close + 1);
  }
}

}  // namespace

std::string readers_of(std::string_view name) {
  for (const auto& [key, read_by] : readers) {
    if (key == name) return filled(read_by);
  }
  return {};
}

}  // namespace trayproof::review
