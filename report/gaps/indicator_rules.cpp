// Rules about biological and chemical indicators and the routine tests of machines.
#include <set>

#include "report/gaps/families.h"
#include "report/gaps/looking.h"

namespace trayproof::gaps {
namespace {

// Whether a reading is void: control without growth, lot expired, or read before its hours. Where one of the three
// cannot be told and none is a fault, neither can the whole.
struct Void {
  Told is = Told::no;
  std::string found;
};
Void judged(const Facts& facts, const Biological& reading) {
  const Record& read = *reading.record;
  Void out;
  const auto fault = [&](Told here, std::string_view what) {
    if (here == Told::yes && out.found.empty()) out.found = what;
    out.is = out.is || here;
  };
  const std::string_view control = read.text("control");
  const Told no_control = !control.empty()                         ? told(control != "growth")
                          : read.mark("control") == Mark::not_done ? Told::yes
                                                                   : Told::open;
  fault(no_control, control.empty() ? "not-run" : control);
  if (const auto expires = parse_date(reading.lot_expires)) {
    fault(later(read.at, When::exactly(facts.end_of(*expires))), reading.lot_expires);
  }
  if (const auto wanted = hours_wanted(facts, reading)) {
    const auto hours = read.number("hours");
    Told early = read.mark("hours") == Mark::not_done ? Told::yes : Told::open;
    if (hours) early = told(*hours < *wanted);
    fault(early, hours ? json::plain(*hours) : "not-done");
  }
  return out;
}

// biological-void: a biological reading proves nothing: its control did not grow, its lot had expired, or it was read
// before its hours. Why: a dead strip is always negative. Example: control no-growth, entered as negative.
// Limits: the lot's read_hours, else indicators.biological_hours. Source: the label; CDC 2008 guideline.
void biological_void(const Facts& facts, Looked& looked) {
  for (const Biological& reading : facts.biologicals) {
    const Void result = judged(facts, reading);
    looked.say(result.is, reading.record->at.at, [&] {
      Gap out{.id = reading.load->id,
              .at = reading.record->at.at,
              .found = result.found,
              .rests_on = {reading.record->seq}};
      if (reading.lot_seq) out.beside.push_back(*reading.lot_seq);
      return out;
    });
  }
}

// A load with a biological that counts as a test: not void, whatever its result.
Told has_valid_biological(const Facts& facts, const Load& load) {
  Told answer = Told::no;
  for (const Biological* reading : load.biologicals) answer = answer || !judged(facts, *reading).is;
  return answer;
}

// Placed, and its reading is not overdue yet.
bool is_pending(const Facts& facts, const Load& load) {
  for (const Record* placed : load.placed) {
    if (!load.biologicals.empty()) return false;
    const Record* lot = facts.lot(placed->text("lot"), placed->at.at);
    std::optional<double> hours = lot == nullptr ? std::nullopt : lot->number("read_hours");
    if (!hours) hours = facts.sop_at(placed->at).biological_hours;
    if (!hours || later(When::exactly(facts.now), after(placed->at, *hours + 24, hour_ms)) != Told::yes) return true;
  }
  return false;
}

// biological-overdue: loads ran later than the last valid biological and the days of the SOP; one finding for each such
// stretch. Before the first valid one the days count from the first load on record.
// Why: between two biologicals lies what a failure would reach. Example: weekly test left out in August.
// Limits: indicators.biological_days, indicators.biological_methods. Source: CDC 2008 guideline (weekly).
void biological_overdue(const Facts& facts, Looked& looked) {
  for (const auto& [id, equipment] : facts.equipment) {
    const Run* base = nullptr;  // the last load that had a valid biological, else the first
    const Run* first_late = nullptr;
    const Run* last_late = nullptr;
    const Run* last = nullptr;
    Told late = Told::no;
    bool pending = false;
    std::optional<double> limit;
    const auto close = [&] {
      if (last == nullptr) return;
      looked.say(late == Told::yes && pending ? Told::open : late, last->start.at, [&, &key = id] {
        Gap out{.id = key,
                .at = first_late->start.at,
                .found = between(base->start, last_late->start, day_ms),
                .limit = *limit,
                .rests_on = {base->start_seq, first_late->start_seq}};
        if (last_late != first_late) out.beside.push_back(last_late->start_seq);
        return out;
      });
      first_late = last = nullptr;
      late = Told::no;
      pending = false;
    };
    for (const Run* run : equipment.runs) {
      const sop::Sop& sop = facts.sop_at(run->start);
      if (!sop.biological_days || !sop.biological_methods) {
        looked.not_stated(run->start.at);
        continue;
      }
      if (!holds_text(*sop.biological_methods, run->method)) continue;
      // A load that is not at hand has none, or lies outside the stretches of the period.
      const Load* load = facts.load(run->load);
      const Told valid = load == nullptr ? Told::no : has_valid_biological(facts, *load);
      if (valid == Told::yes) {
        close();
        base = run;
        last = run;
        continue;
      }
      if (base == nullptr) base = run;
      last = run;
      const Told here = longer(elapsed(base->start, run->start), *sop.biological_days, day_ms);
      if (here == Told::yes) {
        if (first_late == nullptr) first_late = run;
        last_late = run;
        limit = sop.biological_days;
      }
      late = late || here;
      pending = pending || valid == Told::open || (load != nullptr && is_pending(facts, *load));
    }
    close();
  }
}

// biological-positive-unanswered: a positive reading, and no recall opened for that load in time.
// Why: what the load held is still being used. Example: positive on Friday, read by nobody until Monday.
// Limits: recall.hours_max; without it a recall ever, up to now, is enough. Source: CDC 2008 guideline, table 12.
void biological_positive_unanswered(const Facts& facts, Looked& looked) {
  for (const Biological& reading : facts.biologicals) {
    const Record& read = *reading.record;
    if (read.text("result") != "positive") {
      if (read.mark("result") == Mark::not_known) looked.cannot_tell(read.at.at);
      continue;
    }
    const auto limit = facts.sop_at(read.at).recall_hours_max;
    Told answered = Told::no;
    Seqs recalls;
    const When deadline = limit ? after(read.at, *limit, hour_ms) : read.at;
    for (const auto& [id, recall] : facts.recalls) {
      if (recall.drill || recall.opened == nullptr) continue;
      const json::Value* subject = recall.opened->value("subject");
      if (subject == nullptr || subject->text_at("load") != reading.load->id) continue;
      answered = answered || (limit ? !later(recall.opened->at, deadline) : Told::yes);
      recalls.push_back(recall.opened->seq);
    }
    const Told past = limit ? later(When::exactly(facts.now), deadline) : Told::yes;
    looked.say(!answered && past, read.at.at, [&] {
      return Gap{.id = reading.load->id,
                 .at = deadline.at,
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
    looked.say(gap, at, [&] {
      seqs.push_back(first->record->seq);
      return Gap{.id = load->id,
                 .at = at,
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
      looked.say(!tested, run->start.at, [&, &key = id, &one = run] {
        return Gap{.id = key, .at = one->start.at, .found = one->load, .rests_on = {one->start_seq}};
      });
    }
  }
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
      const Record* failed = nullptr;
      const auto look = [&](const When* until) {
        Told ran = Told::no;
        const Run* first = nullptr;
        for (const Run* run : equipment.runs) {
          if (tests.contains(run->load)) continue;
          Told here = later(run->start, failed->at);
          if (until != nullptr) here = here && later(*until, run->start);
          if (here != Told::no && first == nullptr) first = run;
          ran = ran || here;
        }
        looked.say(ran, failed->at.at, [&, &key = id] {
          return Gap{.id = key,
                     .at = first->start.at,
                     .found = std::string(kind),
                     .limit = first->load,
                     .rests_on = {failed->seq, first->start_seq}};
        });
      };
      for (const Record* check : equipment.checks) {
        if (check->text("check") != kind) continue;
        if (check->text("result") == "fail" && failed == nullptr) failed = check;
        if (check->text("result") == "pass" && failed != nullptr) {
          look(&check->at);
          failed = nullptr;
        }
      }
      if (failed != nullptr) look(nullptr);
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
        if (here != Told::no && first == nullptr) first = run;
        ran = ran || here;
      }
      looked.say(ran, stop.at.at, [&, &key = id] {
        return Gap{.id = key, .at = first->start.at, .found = first->load, .rests_on = {stop.seq, first->start_seq}};
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
    looked.say(!read && later(When::exactly(facts.now), deadline), placed.at.at, [&] {
      return Gap{.id = std::string(placed.text("load")),
                 .at = deadline.at,
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
    looked.say(absent(check, "as_found_k") && absent(check, "as_found_kpa"), check.at.at, [&] {
      return Gap{.id = std::string(check.text("equipment")), .at = check.at.at, .rests_on = {check.seq}};
    });
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
