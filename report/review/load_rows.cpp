// Each load of the period: the operator's readings beside the curve's, and what was decided.
#include <algorithm>

#include "ledger/base/number.h"
#include "report/review/chain.h"

namespace trayproof::review {
namespace {

std::string yes_no(gaps::Told told) { return told == gaps::Told::open ? "" : told == gaps::Told::yes ? "yes" : "no"; }

std::vector<std::string> gaps_of(const Material& material, const gaps::Load& load) {
  std::vector<const gaps::Finding*> found = material.ever.about("load", load.id);
  const auto seqs = load.seqs();
  for (const gaps::Finding* one : material.ever.about("equipment", load.equipment)) {
    const bool here = std::any_of(seqs.begin(), seqs.end(), [&](std::int64_t seq) {
      return std::find(one->seqs.begin(), one->seqs.end(), seq) != one->seqs.end();
    });
    if (here) found.push_back(one);
  }
  return rules_of(std::move(found), load.id);
}

// Whole days from when it arose to its answer, else to the end of what is known.
std::int64_t days_open(const Material& material, const gaps::Finding& finding) {
  Instant until = std::min(material.facts.now, material.facts.until);
  if (finding.answered_by && !finding.is_open()) {
    for (const gaps::Record& answer : material.facts.of("finding-answered")) {
      if (answer.seq == *finding.answered_by) until = answer.at.at;
    }
  }
  return std::max<std::int64_t>(0, (until.ms - finding.at.ms) / day_ms);
}

}  // namespace

std::vector<workbook::LoadRow> load_rows(const Material& material) {
  std::vector<workbook::LoadRow> rows;
  const auto rests_on = material.rests_on();
  for (const gaps::Load* load : material.facts.loads_by_start) {
    const bool inside = material.period.holds(load->start().at);
    if (!inside && !rests_on.loads.contains(load->id)) continue;
    workbook::LoadRow row;
    row.load = load->id;
    row.earlier = !inside;
    row.method = load->method;
    row.equipment = load->equipment;
    row.packs = static_cast<std::int64_t>(load->packs.size());
    if (load->started != nullptr) {
      row.started = load->started->at.at;
      if (const auto cycle = load->started->number("cycle")) row.cycle = shortest(*cycle);
    }
    if (load->ended != nullptr) {
      row.ended = load->ended->at.at;
      row.complete = yes_no(load->complete());
      row.temperature_c = load->ended->number("temperature_c");
      row.pressure_kpa_gauge = load->ended->number("pressure_kpa_gauge");
      row.hold_min = load->ended->number("hold_min");
    }
    row.verdict = verdict_of(*load);
    row.curve_hold_min = curve_hold_minutes(*load);
    row.f0_low = lowest_f0(*load);
    row.indicators = indicator_counts(*load);
    row.biological = biological_of(material, *load);
    if (load->decisions.empty()) {
      if (!decision_asked(material, *load)) row.decision = "none-asked";
    } else {
      const gaps::Record& last = *load->decisions.back();
      row.decision = last.kind->name == "load-released" ? "released" : "rejected";
      row.decided = last.at.at;
      row.decided_by = last.by;
    }
    row.gaps = gaps_of(material, *load);
    rows.push_back(std::move(row));
  }
  return rows;
}

std::vector<workbook::GapRow> gap_rows(const Material& material) {
  std::vector<workbook::GapRow> rows;
  std::vector<const gaps::Finding*> findings;
  for (const gaps::Finding& one : material.in_period.gaps) findings.push_back(&one);
  std::stable_sort(findings.begin(), findings.end(),
                   [](const gaps::Finding* a, const gaps::Finding* b) { return a->severity < b->severity; });
  for (const gaps::Finding* one : findings) {
    workbook::GapRow row;
    row.rule = one->rule->id;
    row.severity = word(one->severity);
    row.subject_kind = one->subject_kind;
    row.subject = one->subject_id;
    row.at = one->at;
    row.found = shown(material, one->found);
    row.limit = shown(material, one->limit);
    row.says = one->says;
    row.closes = one->closes;
    row.seqs = one->seqs;
    row.state = word(one->state);
    row.first_seen = one->first_seen;
    row.days_open = days_open(material, *one);
    if (one->second != people::Second::none_needed) row.second = people::word(one->second);
    rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace trayproof::review
