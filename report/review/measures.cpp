// The headline figures. Each says how many there were, how many were looked at and how many the record does not tell
// of. Where a rule asks the same question its counts are used, so that the figure and the gaps cannot disagree.
#include <algorithm>
#include <set>

#include "ledger/base/number.h"
#include "ledger/events/kinds.h"
#include "ledger/words/words.h"
#include "report/gaps/biologicals.h"
#include "report/gaps/looking.h"
#include "report/review/chain.h"

namespace trayproof::review {
namespace {

using gaps::Told;

class Tally {
 public:
  void add(Told holds) {
    ++looked_at_;
    count_ += holds == Told::yes ? 1 : 0;
    cannot_tell_ += holds == Told::open ? 1 : 0;
  }
  workbook::MeasureRow row(std::string_view key) const {
    const std::string name = "review.measure-" + std::string(key);
    return {say(name), count_, looked_at_, cannot_tell_, say(name + "-says")};
  }

 private:
  std::int64_t count_ = 0;
  std::int64_t looked_at_ = 0;
  std::int64_t cannot_tell_ = 0;
};

workbook::MeasureRow by_rule(const Material& material, std::string_view rule, std::string_view key) {
  const std::string name = "review.measure-" + std::string(key);
  workbook::MeasureRow row{say(name), 0, 0, 0, say(name + "-says", {{"rule", rule}})};
  if (const gaps::Count* count = material.count_of(rule)) {
    row.count = count->subjects - count->gaps - count->cannot_tell;
    row.looked_at = count->subjects;
    row.cannot_tell = count->cannot_tell;
  }
  return row;
}

// Procedures with packs recorded, and with a patient recorded. What is marked as not known is not recorded.
void procedures(const Material& material, std::vector<workbook::MeasureRow>& rows) {
  Tally packs;
  Tally patients;
  for (const gaps::Record& done : material.facts.of("procedure-done")) {
    if (!material.period.holds(done.at.at)) continue;
    patients.add(gaps::told(done.has("patient")));
    const bool by_kit_alone = done.flag("disposable").value_or(false) && done.count("packs") == 0;
    if (by_kit_alone) continue;
    packs.add(gaps::told(done.count("packs") > 0));
  }
  rows.push_back(packs.row("packs"));
  rows.push_back(patients.row("patient"));
}

// Uses from loads whose recorded evidence reached the conditions; uses without any load are not counted here.
workbook::MeasureRow conditions(const Material& material) {
  Tally tally;
  for (const gaps::Use& use : material.facts.uses) {
    if (!material.period.holds(use.time.at) || use.loads.empty()) continue;
    const Told first = reached(material.facts, *use.loads.front());
    const bool agree = std::all_of(use.loads.begin(), use.loads.end(),
                                   [&](const gaps::Load* load) { return reached(material.facts, *load) == first; });
    tally.add(agree ? first : Told::open);
  }
  return tally.row("conditions");
}

bool is_measured_method(std::string_view method) {
  return events::is_steam(method) || method == "dry-heat" || method == "thermal-disinfection";
}

// Of the loads that `no-physical-record` looks at: those with a curve.
workbook::MeasureRow curves(const Material& material) {
  Tally tally;
  for (const gaps::Load* load : material.facts.loads_by_start) {
    if (!material.period.holds(load->end().at) || !is_measured_method(load->method)) continue;
    tally.add(gaps::told(!load->curves.empty()));
  }
  return tally.row("curves");
}

// Loads of methods that want it, run within the SOP's days of a load with a valid biological on that machine. The
// machine of a load without one is not recorded.
workbook::MeasureRow biologicals(const Material& material) {
  Tally tally;
  for (const gaps::Load* load : material.facts.loads_by_start) {
    if (load->started == nullptr || !material.period.holds(load->start().at)) continue;
    const sop::Sop& sop = material.facts.sop_at(load->start());
    if (!sop.biological_days || !sop.biological_methods) continue;
    if (load->equipment.empty() && gaps::holds_text(*sop.biological_methods, load->method)) tally.add(Told::open);
  }
  for (const auto& [id, equipment] : material.facts.equipment) {
    for (const gaps::BiologicalStretch& stretch : gaps::biological_stretches(material.facts, equipment)) {
      for (const gaps::BiologicalStretch::Of& one : stretch.loads) {
        if (material.period.holds(one.run->start.at)) tally.add(gaps::within_days(stretch, one));
      }
    }
  }
  return tally.row("biologicals");
}

// Soaks neither too short nor too long, by their end, else their start.
workbook::MeasureRow soaks(const Material& material) {
  Tally tally;
  for (const gaps::Soak& soak : material.facts.soaks) {
    const sop::Decontamination& sop = material.facts.sop_at(soak.record->at).decontamination;
    if (!sop.soak_minutes_min && !sop.soak_minutes_max) continue;
    if (!material.period.holds(soak.end ? soak.end->at : soak.record->at.at)) continue;
    if (!soak.end) {
      tally.add(Told::open);
      continue;
    }
    const gaps::Elapsed time = gaps::elapsed(soak.record->at, *soak.end);
    Told good = Told::yes;
    if (sop.soak_minutes_min) good = good && !gaps::shorter(time, *sop.soak_minutes_min, minute_ms);
    if (sop.soak_minutes_max) good = good && !gaps::longer(time, *sop.soak_minutes_max, minute_ms);
    tally.add(good);
  }
  return tally.row("soaks");
}

// Of what `solution-untested` looks at: tested, and not after the first use. The two rules overlap where the only test
// came after the last use; such a stretch is one gap here.
workbook::MeasureRow tests(const Material& material) {
  workbook::MeasureRow row = by_rule(material, "solution-untested", "tests");
  const gaps::Count* late = material.count_of("solution-tested-late");
  if (late == nullptr) return row;
  std::set<std::pair<std::string, Instant>> bad;
  for (const gaps::Finding& one : material.in_period.gaps) {
    const bool counts = one.rule->id == "solution-untested" || one.rule->id == "solution-tested-late";
    if (counts) bad.insert({one.subject_id, one.at});
  }
  row.count = late->subjects - late->gaps - late->cannot_tell;
  row.cannot_tell = row.looked_at - row.count - static_cast<std::int64_t>(bad.size());
  return row;
}

}  // namespace

std::vector<workbook::MeasureRow> measure_rows(const Material& material) {
  std::vector<workbook::MeasureRow> rows;
  procedures(material, rows);
  rows.push_back(by_rule(material, "used-without-load", "loads"));
  rows.push_back(conditions(material));
  rows.push_back(by_rule(material, "used-before-release", "released"));
  rows.push_back(by_rule(material, "no-physical-record", "physical"));
  rows.push_back(curves(material));
  rows.push_back(by_rule(material, "indicator-unread", "indicators"));
  rows.push_back(biologicals(material));
  rows.push_back(by_rule(material, "biological-void", "biological-readings"));
  rows.push_back(soaks(material));
  rows.push_back(tests(material));
  rows.push_back(by_rule(material, "cleaning-missing", "cleaning"));
  rows.push_back(by_rule(material, "inspection-missing", "inspection"));
  rows.push_back(by_rule(material, "entered-late", "entered"));
  return rows;
}

}  // namespace trayproof::review
