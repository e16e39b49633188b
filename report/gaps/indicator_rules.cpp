// Rules about biological and chemical indicators and the routine tests of machines.
#include <set>

#include "report/gaps/biologicals.h"
#include "report/gaps/families.h"
#include "report/gaps/looking.h"

namespace trayproof::gaps {
namespace {

// biological-void: a biological reading proves nothing: it has no result, its control did not grow, its lot had
// expired, or it was read before its hours. Why: a dead strip is always negative. Example: control no-growth, entered
// as negative. Limits: the lot's read_hours, else indicators.biological_hours. Source: the label; CDC 2008 guideline.
void biological_void(const Facts& facts, Looked& looked) {
  for (const Biological& reading : facts.biologicals) {
    const Void result = void_of(facts, reading);
    looked.say(result.is, reading.record->at.at, reading.load->id, [&] {
      Gap out{.at = reading.record->at.at, .found = result.found, .rests_on = {reading.record->seq}};
      add(out.rests_on, result.rests_on);
      if (reading.lot_seq) out.beside.push_back(*reading.lot_seq);
      return out;
    });
  }
}

// biological-overdue: loads ran later than the last valid biological and the days of the SOP; one finding for each such
// stretch. Before the first valid one the days count from the first load on record.
// Why: between two biologicals lies what a failure would reach. Example: weekly test left out in August.
// Limits: indicators.biological_days, indicators.biological_methods. Source: CDC 2008 guideline (weekly).
void biological_overdue(const Facts& facts, Looked& looked) {
  for (const auto& [id, equipment] : facts.equipment) {
    for (const Run* run : equipment.runs) {
      const sop::Sop& sop = facts.sop_at(run->start);
      if (!sop.biological_days || !sop.biological_methods) looked.not_stated(run->start.at);
    }
    for (const BiologicalStretch& stretch : biological_stretches(facts, equipment)) {
      Told late = Told::no;
      const BiologicalStretch::Of* first = nullptr;
      const BiologicalStretch::Of* last = nullptr;
      for (const BiologicalStretch::Of& one : stretch.loads) {
        late = late || one.late;
        if (one.late != Told::yes) continue;
        if (first == nullptr) first = &one;
        last = &one;
      }
      looked.say(late, stretch.loads.back().run->start.at, id, [&] {
        Gap out{.at = first->run->start.at,
                .found = between(stretch.base->start, last->run->start, day_ms),
                .limit = last->days_asked,
                .rests_on = {stretch.base->start_seq, first->run->start_seq}};
        if (last != first) out.beside.push_back(last->run->start_seq);
        return out;
      });
    }
  }
}

// Whether a recall was opened for that load: it is the subject, or one of the loads that were chosen by hand.
bool is_for(const Record& opened, const std::string& load) {
  const json::Value* subject = opened.value("subject");
  if (subject == nullptr) return false;
  if (subject->text_at("load") == load) return true;
  const json::Value* chosen = subject->find("loads");
  if (opened.text("because") != "chosen" || chosen == nullptr || !chosen->is_list()) return false;
  return std::any_of(chosen->items().begin(), chosen->items().end(),
                     [&](const json::Value& one) { return one.is_text() && one.text() == load; });
}

// biological-positive-unanswered: a positive reading, and no recall opened for that load in time.
// Why: what the load held is still being used. Example: positive on Friday, read by nobody until Monday.
// Limits: recall.hours_max; without it a recall ever, up to now, is enough. Source: CDC 2008 guideline, table 12.
void biological_positive_unanswered(const Facts& facts, Looked& looked) {
  for (const Biological& reading : facts.biologicals) {
    const Record& read = *reading.record;
    if (read.text("result") != "positive") {
      if (read.mark("result") == Mark::not_known) looked.cannot_tell(read.at.at, reading.load->id);
      continue;
    }
    const auto limit = facts.sop_at(read.at).recall_hours_max;
    Told answered = Told::no;
    Seqs recalls;
    const When deadline = limit ? after(read.at, *limit, hour_ms) : read.at;
    for (const auto& [id, recall] : facts.recalls) {
      if (recall.drill || recall.opened == nullptr) continue;
      if (!is_for(*recall.opened, reading.load->id)) continue;
      answered = answered || (limit ? !later(recall.opened->at, deadline) : Told::yes);
      recalls.push_back(recall.opened->seq);
    }
    const Told past = limit ? later(When::exactly(facts.now), deadline) : Told::yes;
    looked.say(!answered && past, read.at.at, reading.load->id, [&] {
      return Gap{.at = deadline.at,
                 .limit = limit ? json::Value(*limit) : json::Value(),
                 .rests_on = {read.seq},
                 .beside = recalls};
    });
  }
}

// strip-and-curve-disagree: the chemical indicators of a load pass and its curve did not reach, or the reverse.
// Why: one of the two is wrong, and it is not known which. Example: all strips black, the curve at 117 °C.
// Limits: none of its own; the curve was judged by the SOP. Source: common practice, no source.
void strip_and_curve_disagree(const Facts& facts, Looked& looked) {
  for (const Load* load : facts.loads_by_start) {
    if (load->curves.empty() || load->indicators.empty()) continue;
    bool reached = false;
    bool not_reached = false;
    Seqs seqs = load->seqs();
    for (const Curve* curve : load->curves) {
      reached = reached || curve->verdict == "reached";
      not_reached = not_reached || curve->verdict == "not-reached";
      if (curve->judged != nullptr) seqs.push_back(curve->judged->seq);
    }
    const Indicator* first_pass = nullptr;
    const Indicator* first_fail = nullptr;
    bool sure = true;
    Seqs beside;
    for (const Indicator* one : load->indicators) {
      if (one->result == "pass" && first_pass == nullptr) first_pass = one;
      if (one->result == "fail" && first_fail == nullptr) first_fail = one;
      sure = sure && one->loads.size() == 1;
      beside.push_back(one->record->seq);
    }
    const bool pass_alone = first_pass != nullptr && first_fail == nullptr;
    Told gap = told((not_reached && pass_alone) || (!not_reached && reached && first_fail != nullptr));
    const bool nothing_to_compare = (!reached && !not_reached) || (first_pass == nullptr && first_fail == nullptr);
    if (nothing_to_compare || (gap == Told::yes && !sure)) gap = Told::open;
    // The first strip that disagrees dates it, so that later ones do not make another occasion of it.
    const Indicator* first = first_fail != nullptr ? first_fail : first_pass;
    const Instant at = first == nullptr ? load->end().at : std::max(load->end().at, first->record->at.at);
    looked.say(gap, at, load->id, [&] {
      seqs.push_back(first->record->seq);
      return Gap{.at = at,
                 .found = first_fail != nullptr ? "fail" : "pass",
                 .limit = not_reached ? "not-reached" : "reached",
                 .rests_on = seqs,
                 .beside = beside};
    });
  }
}

// air-removal-missing: a day with prevacuum loads and no air-removal test before the first of them.
// Why: the vacuum is what brings steam into a wrapped pack. Example: no Bowie-Dick sheet on Sunday.
// Limits: indicators.air_removal; days in the facility's zone. The test's own load does not count as the first.
// Source: CDC 2008 guideline.
void air_removal_missing(const Facts& facts, Looked& looked) {
  for (const auto& [id, equipment] : facts.equipment) {
    std::set<std::string_view> tests;
    Records checks;
    for (const Record* check : equipment.checks) {
      if (check->text("check") != "air-removal") continue;
      checks.push_back(check);
      tests.insert(check->text("load"));
    }
    std::map<CivilDate, const Run*> first;
    for (const Run* run : equipment.runs) {
      if (run->method != "steam-prevacuum" || tests.contains(run->load)) continue;
      const auto wanted = facts.sop_at(run->start).air_removal;
      if (!wanted) looked.not_stated(run->start.at);
      if (wanted.value_or(false)) first.emplace(facts.day(run->start.at), run);
    }
    std::map<CivilDate, Records> checks_of;
    for (const Record* check : checks) checks_of[facts.day(check->at.at)].push_back(check);
    for (const auto& [day, run] : first) {
      Told tested = Told::no;
      for (const Record* check : checks_of[day]) tested = tested || !later(check->at, run->start);
      looked.say(!tested, run->start.at, id, [&, &one = run] {
        return Gap{.at = one->start.at, .found = one->load, .rests_on = {one->start_seq}};
      });
    }
  }
}

// Whether a check failed. One that was not done is no pass.
Told has_failed(const Record& check) {
  if (check.text("result").empty()) return check.mark("result") == Mark::not_done ? Told::yes : Told::open;
  return told(check.text("result") == "fail");
}

// From a check that failed, or whose result is not known, to the next pass (or to the first that surely failed).
struct FailedStretch {
  const Record* begin = nullptr;
  const Record* end = nullptr;
  Records unread;  // checks in it whose results are not known: each may have been the pass that ends it
};
std::vector<FailedStretch> failed_stretches(const Equipment& equipment, std::string_view kind) {
  std::vector<FailedStretch> out;
  FailedStretch now;
  const auto close = [&](const Record* end) {
    now.end = end;
    if (now.begin != nullptr) out.push_back(std::move(now));
    now = {};
  };
  for (const Record* check : equipment.checks) {
    if (check->text("check") != kind) continue;
    const Told failed = has_failed(*check);
    if (failed == Told::no) close(check);
    if (failed == Told::yes && now.begin != nullptr && has_failed(*now.begin) == Told::open) close(check);
    if (failed == Told::open && now.begin != nullptr) now.unread.push_back(check);
    if (failed != Told::no && now.begin == nullptr) now.begin = check;
  }
  close(nullptr);
  return out;
}

Told ran_in(const Run& run, const FailedStretch& stretch) {
  Told answer = has_failed(*stretch.begin) && later(run.start, stretch.begin->at);
  if (stretch.end != nullptr) answer = answer && later(stretch.end->at, run.start);
  for (const Record* one : stretch.unread) {
    if (later(one->at, run.start) != Told::yes) answer = answer && Told::open;
  }
  return answer;
}

// ran-after-failed-check: loads ran between a failed check and the next pass of the same check; one finding a stretch.
// Why: the machine was known to be at fault. Example: air-removal test failed at six, three loads by noon.
// Limits: none. Source: CDC 2008 guideline.
void ran_after_failed_check(const Facts& facts, Looked& looked) {
  for (const auto& [id, equipment] : facts.equipment) {
    std::set<std::string_view> kinds;
    std::set<std::string_view> tests;  // the loads of the checks themselves
    for (const Record* check : equipment.checks) {
      kinds.insert(check->text("check"));
      if (check->has("load")) tests.insert(check->text("load"));
    }
    for (const std::string_view kind : kinds) {
      for (const FailedStretch& stretch : failed_stretches(equipment, kind)) {
        Told ran = Told::no;
        const Run* first = nullptr;
        for (const Run* run : equipment.runs) {
          if (tests.contains(run->load)) continue;
          const Told here = ran_in(*run, stretch);
          if (here == Told::yes && first == nullptr) first = run;
          ran = ran || here;
        }
        looked.say(ran, stretch.begin->at.at, id, [&] {
          return Gap{.at = first->start.at,
                     .found = std::string(kind),
                     .limit = first->load,
                     .rests_on = {stretch.begin->seq, first->start_seq}};
        });
      }
    }
  }
}

// ran-while-stopped: loads started while the machine was out of service; one finding a stretch.
// Why: somebody stopped it for a reason. Example: door seal leaking, used for the night all the same.
// Limits: none. Source: common practice, no source.
void ran_while_stopped(const Facts& facts, Looked& looked) {
  for (const auto& [id, equipment] : facts.equipment) {
    for (std::size_t i = 0; i < equipment.stops.size(); ++i) {
      const Record& stop = *equipment.stops[i];
      const bool repeated = i > 0 && equipment.stops[i - 1]->kind->name == "equipment-stopped";
      if (stop.kind->name != "equipment-stopped" || repeated) continue;
      const auto resumed = std::find_if(equipment.stops.begin() + static_cast<std::ptrdiff_t>(i), equipment.stops.end(),
                                        [](const Record* one) { return one->kind->name == "equipment-resumed"; });
      Told ran = Told::no;
      const Run* first = nullptr;
      for (const Run* run : equipment.runs) {
        Told here = later(run->start, stop.at);
        if (resumed != equipment.stops.end()) here = here && later((*resumed)->at, run->start);
        if (here == Told::yes && first == nullptr) first = run;
        ran = ran || here;
      }
      looked.say(ran, stop.at.at, id, [&] {
        return Gap{.at = first->start.at, .found = first->load, .rests_on = {stop.seq, first->start_seq}};
      });
    }
  }
}

// biological-unread: a biological was placed, and not read by its hours and a day.
// Why: it is as if it had not been placed. Example: left in the incubator over the holidays.
// Limits: the lot's read_hours, else indicators.biological_hours. Source: the label; the day: common practice, no
// source.
void biological_unread(const Facts& facts, Looked& looked) {
  for (const Record& placed : facts.of("biological-placed")) {
    const Record* lot = facts.lot(placed.text("lot"), placed.at.at);
    std::optional<double> hours = lot == nullptr ? std::nullopt : lot->number("read_hours");
    if (!hours) hours = facts.sop_at(placed.at).biological_hours;
    if (!hours) {
      looked.not_stated(placed.at.at);
      continue;
    }
    const When deadline = after(placed.at, *hours + 24, hour_ms);
    Told read = Told::no;
    if (const Load* load = facts.load(placed.text("load"))) {
      for (const Biological* one : load->biologicals) {
        const std::string_view biological = one->record->text("biological");
        if (!biological.empty() && biological != placed.text("biological")) continue;
        read = read || !later(one->record->at, deadline);
      }
    }
    looked.say(!read && later(When::exactly(facts.now), deadline), placed.at.at, placed.text("load"), [&] {
      return Gap{.at = deadline.at,
                 .found = std::string(placed.text("biological")),
                 .limit = *hours,
                 .rests_on = {placed.seq}};
    });
  }
}

// as-found-missing: a calibration does not say by how much the instrument was off when it was found.
// Why: without it nobody can look back at the loads before. Example: certificate with the adjusted value only.
// Limits: none. Source: common practice, no source.
void as_found_missing(const Facts& facts, Looked& looked) {
  for (const Record& check : facts.of("equipment-checked")) {
    if (check.text("check") != "calibration") continue;
    looked.say(absent(check, "as_found_k") && absent(check, "as_found_kpa"), check.at.at, check.text("equipment"),
               [&] { return Gap{.at = check.at.at, .rests_on = {check.seq}}; });
  }
}

constexpr Rule rules[] = {
    {"biological-overdue", Severity::major, "equipment", biological_overdue},
    {"biological-void", Severity::major, "load", biological_void},
    {"biological-positive-unanswered", Severity::critical, "load", biological_positive_unanswered},
    {"strip-and-curve-disagree", Severity::critical, "load", strip_and_curve_disagree},
    {"air-removal-missing", Severity::major, "equipment", air_removal_missing},
    {"ran-after-failed-check", Severity::critical, "equipment", ran_after_failed_check},
    {"ran-while-stopped", Severity::critical, "equipment", ran_while_stopped},
    {"biological-unread", Severity::major, "load", biological_unread},
    {"as-found-missing", Severity::major, "equipment", as_found_missing},
};

}  // namespace

std::span<const Rule> indicator_rules() { return rules; }

}  // namespace trayproof::gaps
