#include "tests/reference/affected.h"

#include <tuple>
#include <utility>

#include "tests/reference/relevant_load.h"
#include "tests/reference/turn.h"
#include "tests/reference/valid_negative.h"

namespace trayproof::reference {
namespace {

Error not_given(const std::string& field) { return {ErrorCode::invalid, "recall: `" + field + "` is missing"}; }
Error not_held(const std::string& thing, const std::string& id) {
  return {ErrorCode::missing, "recall: the ledger holds no " + thing + " " + id};
}

// "A subject that the ledger does not hold is refused (exit 3)."
Result<std::string> held(const Facts& facts, const std::string& thing, const std::optional<std::string>& id) {
  if (!id) return not_given(thing);
  if (!facts.holds(thing, *id)) return not_held(thing, *id);
  return *id;
}

// "Every pack held by an affected load"
void add_whole(Affected& affected, const Load& load) {
  affected.loads[load.id].insert(load.packs.begin(), load.packs.end());
}

// "Packs named by `chosen`, by `indicator_lot` or `wrap_lot`, or by `pack-received.lot` affect every load that holds
// them, for those packs only."
void add_named_pack(const Facts& facts, Affected& affected, const std::string& pack) {
  affected.named_packs.insert(pack);
  for (const Load& load : facts.loads) {
    if (load.holds(pack)) affected.loads[load.id].insert(pack);
  }
}

// Order of loads in a window: "strictly, by load start, ties by id".
using Place = std::pair<Instant, std::string>;
Place earliest_place(const Load& load) { return {load.start->span.earliest, load.id}; }
Place latest_place(const Load& load) { return {load.start->span.latest, load.id}; }

Result<Affected> biological_positive(const Facts& facts, const RecallRequest& request) {
  TRY_LET(const auto id, held(facts, "load", request.load));
  Affected affected;
  affected.subject.set("load", id);
  const Load& subject = *facts.load(id);
  // "itself included"
  add_whole(affected, subject);
  // "A load with no equipment is affected alone."
  if (!subject.equipment || !subject.start) return affected;

  // "after the last valid negative before it and before the first valid negative after it"; "a valid negative bounds
  // only if its whole start interval lies on its side of the trigger". The definition is silent: of coarse negatives
  // the last before is the one with the latest earliest moment and the first after the one with the earliest latest
  // moment, and these moments are where the window ends, so that a load is left out only when it certainly started on
  // the far side.
  const Load* after = nullptr;
  const Load* before = nullptr;
  for (const Load* negative : valid_negatives_for(facts, subject)) {
    if (latest_place(*negative) < earliest_place(subject)) {
      if (after == nullptr || earliest_place(*after) < earliest_place(*negative)) after = negative;
    }
    if (latest_place(subject) < earliest_place(*negative)) {
      if (before == nullptr || latest_place(*negative) < latest_place(*before)) before = negative;
    }
  }
  for (const Load& load : facts.loads) {
    // "on the same equipment, loads that started"
    if (!load.start || load.equipment != subject.equipment) continue;
    // "strictly": the bounding loads themselves are outside.
    if (&load == after || &load == before) continue;
    // "In a window a coarse load start is inside if any moment of it is"
    if (after != nullptr && !(earliest_place(*after) < latest_place(load))) continue;
    if (before != nullptr && !(earliest_place(load) < latest_place(*before))) continue;
    add_whole(affected, load);
  }
  // "`window.at` = the bounding load's start"
  if (after != nullptr) affected.after = Bound{after->id, after->start->written};
  if (before != nullptr) affected.before = Bound{before->id, before->start->written};
  return affected;
}

Result<Affected> load_failed(const Facts& facts, const RecallRequest& request) {
  TRY_LET(const auto id, held(facts, "load", request.load));
  Affected affected;
  affected.subject.set("load", id);
  // "that load alone"
  add_whole(affected, *facts.load(id));
  return affected;
}

Result<Affected> indicator_failed(const Facts& facts, const RecallRequest& request) {
  TRY_LET(const auto id, held(facts, "load", request.load));
  Affected affected;
  affected.subject.set("load", id);
  const Load& load = *facts.load(id);
  if (!request.pack) {
    // "that load"
    add_whole(affected, load);
    return affected;
  }
  TRY_LET(const auto pack, held(facts, "pack", request.pack));
  affected.subject.set("pack", pack);
  // "with `pack`, only that pack of it"
  // The definition is silent: a pack that the load does not hold leaves the load affected with no pack.
  affected.loads[load.id];
  if (load.holds(pack)) affected.loads[load.id].insert(pack);
  return affected;
}

const Happening* last_pass_before(const Facts& facts, const std::string& equipment, const std::string& check,
                                  Instant at) {
  const Happening* last = nullptr;
  for (const Happening& event : facts.events) {
    if (event.kind != "equipment-checked" || !event.names("equipment", equipment)) continue;
    if (!event.names("check", check) || !event.names("result", "pass")) continue;
    // "a pass counts when strictly before `at`"
    // The definition is silent: a coarse pass counts when all of its interval is, and ends the window at its earliest
    // moment; the last one is the one with the latest such moment, then seq.
    if (event.at.span.latest >= at) continue;
    if (last == nullptr || last->at.span.earliest <= event.at.span.earliest) last = &event;
  }
  return last;
}

// The first pass after `at`.
// The definition is silent: a pass at `at` itself is neither before nor after and bounds nothing.
const Happening* next_pass_after(const Facts& facts, const std::string& equipment, const std::string& check,
                                 Instant at) {
  const Happening* next = nullptr;
  for (const Happening& event : facts.events) {
    if (event.kind != "equipment-checked" || !event.names("equipment", equipment)) continue;
    if (!event.names("check", check) || !event.names("result", "pass")) continue;
    if (event.at.span.earliest <= at) continue;
    if (next == nullptr || event.at.span.latest < next->at.span.latest) next = &event;
  }
  return next;
}

bool started_after(const Load& load, const Happening* pass) {
  return pass == nullptr || load.start->span.latest > pass->at.span.earliest;
}

void bound_by_check(std::optional<Bound>& bound, const Happening* pass) {
  // "or the bounding check's time with `load` null"
  if (pass != nullptr) bound = Bound{std::nullopt, pass->at.written};
}

Result<Affected> subject_with_time(const Facts& facts, const RecallRequest& request) {
  TRY_LET(const auto id, held(facts, "equipment", request.equipment));
  if (!request.at) return not_given("at");
  Affected affected;
  affected.subject.set("equipment", id);
  // The definition is silent: the subject's `at` is written like every other time of the answer.
  affected.subject.set("at", format_date_time(facts.zone.local(*request.at)));
  return affected;
}

Result<Affected> equipment_out_of_tolerance(const Facts& facts, const RecallRequest& request) {
  TRY_LET(auto affected, subject_with_time(facts, request));
  // "`check` defaults to `calibration`"
  // The definition is silent: the answer's subject carries the default too.
  const std::string check = request.check.value_or("calibration");
  affected.subject.set("check", check);
  const Happening* pass = last_pass_before(facts, *request.equipment, check, *request.at);
  bound_by_check(affected.after, pass);
  for (const Load& load : facts.loads) {
    // "loads on it started after its last `pass` of the same check before `at`, up to and including `at`"
    if (!load.start || load.equipment != request.equipment) continue;
    if (started_after(load, pass) && load.start->span.earliest <= *request.at) add_whole(affected, load);
  }
  return affected;
}

Result<Affected> logger_out_of_tolerance(const Facts& facts, const RecallRequest& request) {
  TRY_LET(auto affected, subject_with_time(facts, request));
  const Happening* pass = last_pass_before(facts, *request.equipment, "calibration", *request.at);
  bound_by_check(affected.after, pass);
  for (const PlacedCurve& curve : placed_curves(facts)) {
    // "loads whose placed curve came from it, started since its last passed calibration before `at`, up to `at`"
    // The definition is silent: `since` and `up to` are meant as for other equipment, after the pass and including
    // `at`.
    const Load* load = facts.load(curve.load);
    if (curve.logger != request.equipment || load == nullptr || !load->start) continue;
    if (started_after(*load, pass) && load->start->span.earliest <= *request.at) add_whole(affected, *load);
  }
  return affected;
}

Result<Affected> air_removal_failed(const Facts& facts, const RecallRequest& request) {
  TRY_LET(auto affected, subject_with_time(facts, request));
  const Happening* last = last_pass_before(facts, *request.equipment, "air-removal", *request.at);
  const Happening* next = next_pass_after(facts, *request.equipment, "air-removal", *request.at);
  bound_by_check(affected.after, last);
  bound_by_check(affected.before, next);
  for (const Load& load : facts.loads) {
    // "prevacuum loads on it started after its last passed air-removal check before `at` and before its next pass"
    if (!load.start || load.equipment != request.equipment || load.method != "steam-prevacuum") continue;
    if (next != nullptr && load.start->span.earliest >= next->at.span.latest) continue;
    if (started_after(load, last)) add_whole(affected, load);
  }
  return affected;
}

Result<Affected> solution_weak(const Facts& facts, const RecallRequest& request) {
  TRY_LET(const auto id, held(facts, "solution", request.solution));
  Affected affected;
  affected.subject.set("solution", id);
  std::string use;
  for (const Happening& event : facts.events) {
    if (event.kind == "solution-prepared" && event.names("solution", id)) use = event.text("use").value_or("");
  }
  // "loads run in it (disinfecting or sterilizing). For a decontamination solution no load is affected"
  // The definition is silent: a solution whose use nobody recorded may have been either, and reaches both ways.
  if (use != "decontamination") {
    for (const Load& load : facts.loads) {
      if (load.solution == id) add_whole(affected, load);
    }
  }
  if (use != "decontamination" && !use.empty()) return affected;
  // "the packs whose turn was soaked in it are listed with standing `handled`"
  for (const Pack& pack : facts.packs) {
    for (const Happening& soak : soaks_in_turn(facts, pack)) {
      if (soak.names("solution", id)) affected.handled_packs.insert(pack.id);
    }
  }
  return affected;
}

bool load_names_lot(const Facts& facts, const Load& load, const std::string& lot) {
  for (const Happening& event : facts.events) {
    // "loads whose `indicator-read`, `biological-placed` or `biological-read` names the lot"
    // The definition is silent: an indicator read by `pack` alone names the lot for every load that could be its own.
    if (event.kind == "indicator-read" && event.names("lot", lot)) {
      for (const Load* read : loads_of_indicator(facts, event)) {
        if (read == &load) return true;
      }
    }
    const bool biological = event.kind == "biological-placed" || event.kind == "biological-read";
    if (biological && event.names("lot", lot) && event.names("load", load.id)) return true;
    // "or that ran in a solution of that lot"
    if (event.kind == "solution-prepared" && event.names("lot", lot) && load.solution &&
        event.names("solution", *load.solution))
      return true;
  }
  return false;
}

Result<Affected> lot_withdrawn(const Facts& facts, const RecallRequest& request) {
  TRY_LET(const auto lot, held(facts, "lot", request.lot));
  Affected affected;
  affected.subject.set("lot", lot);
  for (const Load& load : facts.loads) {
    // "(every pack of them)"
    if (load_names_lot(facts, load, lot)) add_whole(affected, load);
  }
  for (const Pack& pack : facts.packs) {
    // "and the packs whose `indicator_lot` or `wrap_lot` it is (only those packs of their loads), the packs whose
    // `pack-received.lot` it is"
    if (pack.indicator_lot == lot || pack.wrap_lot == lot || pack.received_lot == lot)
      add_named_pack(facts, affected, pack.id);
  }
  for (const Procedure& procedure : facts.procedures) {
    // "and the procedures whose `disposable_lot` it is (listed with empty `uses`)"
    if (procedure.event.names("disposable_lot", lot)) affected.disposable_procedures.insert(procedure.id);
  }
  return affected;
}

Result<Affected> index_patient(const Facts& facts, const RecallRequest& request) {
  TRY_LET(const auto id, held(facts, "procedure", request.procedure));
  Affected affected;
  affected.subject.set("procedure", id);
  affected.index = facts.procedure(id);
  if (affected.index == nullptr) return affected;
  std::set<std::string> sets;
  for (const std::string& used : affected.index->packs) {
    const Pack* pack = facts.pack(used);
    if (pack != nullptr && pack->set) sets.insert(*pack->set);
  }
  for (const Pack& pack : facts.packs) {
    // "the packs are the later packs of the sets used in that procedure"
    // The definition is silent: later means packed after the time of its use; with coarse times, when it could be; a
    // pack used in the procedure is not a later one.
    if (!pack.set || !sets.contains(*pack.set) || !pack.packing) continue;
    bool of_the_procedure = false;
    for (const std::string& used : affected.index->packs) of_the_procedure = of_the_procedure || used == pack.id;
    if (of_the_procedure) continue;
    if (pack.packing->span.latest > affected.index->use_time.span.earliest) affected.later_packs.insert(pack.id);
  }
  return affected;
}

json::Value list_of(const std::vector<std::string>& texts) {
  json::Value list = json::Value::list();
  for (const std::string& text : texts) list.push(text);
  return list;
}

Result<Affected> chosen(const Facts& facts, const RecallRequest& request) {
  // "`loads` or `packs` (lists), `why`"; "those named by hand"
  if (request.loads.empty() && request.packs.empty()) return not_given("loads");
  Affected affected;
  if (!request.loads.empty()) affected.subject.set("loads", list_of(request.loads));
  if (!request.packs.empty()) affected.subject.set("packs", list_of(request.packs));
  affected.subject.set("why", request.why);
  for (const std::string& id : request.loads) {
    if (!facts.holds("load", id)) return not_held("load", id);
    add_whole(affected, *facts.load(id));
  }
  for (const std::string& id : request.packs) {
    if (!facts.holds("pack", id)) return not_held("pack", id);
    add_named_pack(facts, affected, id);
  }
  return affected;
}

}  // namespace

bool Affected::reaches(const std::string& load, const std::string& pack) const {
  const auto found = loads.find(load);
  return found != loads.end() && found->second.contains(pack);
}

Result<Affected> affected_by(const Facts& facts, const RecallRequest& request) {
  if (request.because == "biological-positive") return biological_positive(facts, request);
  if (request.because == "load-failed") return load_failed(facts, request);
  if (request.because == "indicator-failed") return indicator_failed(facts, request);
  if (request.because == "equipment-out-of-tolerance") return equipment_out_of_tolerance(facts, request);
  if (request.because == "logger-out-of-tolerance") return logger_out_of_tolerance(facts, request);
  if (request.because == "solution-weak") return solution_weak(facts, request);
  if (request.because == "lot-withdrawn") return lot_withdrawn(facts, request);
  if (request.because == "air-removal-failed") return air_removal_failed(facts, request);
  if (request.because == "index-patient") return index_patient(facts, request);
  if (request.because == "chosen") return chosen(facts, request);
  return Error{ErrorCode::invalid, "recall: `because` is " + request.because};
}

}  // namespace trayproof::reference
