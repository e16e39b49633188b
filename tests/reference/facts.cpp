#include "tests/reference/facts.h"

#include <algorithm>
#include <utility>

#include "ledger/base/check.h"

namespace trayproof::reference {
namespace {

// Order of happening: "in order of `at`, then seq".
bool earlier(const Happening& a, const Happening& b) {
  if (a.at.written.instant != b.at.written.instant) return a.at.written.instant < b.at.written.instant;
  return a.seq < b.seq;
}

std::set<std::string> packs_held(const Happenings& events, const std::string& load) {
  // "A load holds the packs of `load-started` with all its `load-changed` applied."
  std::set<std::string> packs;
  Happenings changes;
  for (const Happening& event : events) {
    if (!event.names("load", load)) continue;
    if (event.kind == "load-changed") changes.push_back(event);
    if (event.kind != "load-started") continue;
    for (const std::string& pack : event.texts("packs")) packs.insert(pack);
  }
  // "`load-changed` … is applied in order of `at`, then seq, also when dated after the load's end."
  std::sort(changes.begin(), changes.end(), earlier);
  for (const Happening& change : changes) {
    // The definition is silent: one change that names a pack in both lists leaves it in the load.
    for (const std::string& pack : change.texts("removed")) packs.erase(pack);
    for (const std::string& pack : change.texts("added")) packs.insert(pack);
  }
  return packs;
}

// The definition is silent: a load that events name without a `load-started` is a load without start, equipment and
// method. It holds what `load-changed` added to it.
Load load_of(const Happenings& events, const std::string& id) {
  Load load;
  load.id = id;
  for (const Happening& event : events) {
    if (!event.names("load", id)) continue;
    if (event.kind == "load-started") {
      load.start = event.at;
      load.equipment = event.text("equipment");
      load.method = event.text("method").value_or("");
      load.solution = event.text("solution");
    }
    if (event.kind == "load-ended") {
      load.end = event.at;
      // "an unknown `complete` … never makes a valid negative"
      load.complete = event.yes("complete");
      // "an operator reading is any of `temperature_c`, `pressure_kpa_gauge`, `hold_min` on `load-ended`"
      load.operator_reading =
          event.number("temperature_c") || event.number("pressure_kpa_gauge") || event.number("hold_min");
    }
    // "Of two decisions on a load the latest holds."
    if (event.kind == "load-released" || event.kind == "load-rejected") {
      if (!load.decision || earlier(*load.decision, event)) load.decision = event;
    }
  }
  load.packs = packs_held(events, id);
  return load;
}

Pack pack_of(const Facts& facts, const std::string& id) {
  Pack pack;
  pack.id = id;
  for (const Happening& event : facts.events) {
    if (!event.names("pack", id)) continue;
    if (event.kind == "packed") {
      pack.set = event.text("set");
      pack.packing = event.at;
      pack.indicator_lot = event.text("indicator_lot");
      pack.wrap_lot = event.text("wrap_lot");
    }
    if (event.kind == "pack-received") {
      pack.packing = event.at;
      pack.received_lot = event.text("lot");
    }
  }
  if (!pack.set) return pack;
  // The definition is silent: whether a pack's set is an implant or told apart goes by the definition in force at
  // packing.
  const Happening* set = facts.definition("set-defined", "set", *pack.set, pack.packing->written.instant);
  if (set == nullptr) return pack;
  // "`told_apart`? (default true)"
  pack.told_apart = set->event.bool_at("told_apart").value_or(true);
  pack.implant = set->yes("implant");
  return pack;
}

Procedure procedure_of(const Happening& event) {
  Procedure procedure;
  procedure.id = event.text("procedure").value_or("");
  procedure.seq = event.seq;
  procedure.at = event.at;
  // "its time is `until` if given, else `at`"
  procedure.use_time = event.moment("until").value_or(event.at);
  procedure.packs = event.texts("packs");
  procedure.event = event;
  return procedure;
}

std::set<std::string> all_named(const Happenings& events, std::string_view thing) {
  std::set<std::string> ids;
  for (const Happening& event : events) ids.merge(named_in(event.event, thing));
  return ids;
}

// The definition is silent: editions and the facility's zone are taken from all that is known at `known_at`, whatever
// `as_of` says, because the first edition covers all time before it and printing is done today.
void read_place(const Happenings& known, Facts& facts) {
  const Happening* facility = nullptr;
  for (const Happening& event : known) {
    if (event.kind == "facility-described" && (facility == nullptr || earlier(*facility, event))) facility = &event;
    if (event.kind != "sop-adopted") continue;
    auto sop = sop::read(event.text("toml").value_or(""));
    CHECK(sop.ok());
    const auto recorded = parse_date_time(event.text("recorded").value_or(""));
    CHECK(recorded.has_value());
    facts.editions.add(event.seq, std::move(sop).value(), event.moment("in_force")->written.instant, recorded->instant);
  }
  if (facility == nullptr) return;
  auto zone = Zone::find(facility->text("zone").value_or("UTC"));
  CHECK(zone.ok());
  facts.zone = std::move(zone).value();
}

template <typename Thing>
const Thing* find_by_id(const std::vector<Thing>& things, std::string_view id) {
  for (const Thing& thing : things) {
    if (thing.id == id) return &thing;
  }
  return nullptr;
}

}  // namespace

const Load* Facts::load(std::string_view id) const { return find_by_id(loads, id); }
const Pack* Facts::pack(std::string_view id) const { return find_by_id(packs, id); }
const Procedure* Facts::procedure(std::string_view id) const { return find_by_id(procedures, id); }

bool Facts::holds(std::string_view thing, std::string_view id) const {
  return all_named(events, thing).contains(std::string(id));
}

const Happening* Facts::definition(std::string_view kind, std::string_view field, std::string_view id,
                                   Instant at) const {
  // "Defining or registering an id again replaces the earlier definition from its `at` on; both stay."
  // The definition is silent: before the first definition the first one holds, because supplies and sets are often
  // written down after they are in use.
  const Happening* first = nullptr;
  const Happening* in_force = nullptr;
  for (const Happening& event : events) {
    if (event.kind != kind || !event.names(field, id)) continue;
    if (first == nullptr || earlier(event, *first)) first = &event;
    if (event.at.written.instant > at) continue;
    if (in_force == nullptr || earlier(*in_force, event)) in_force = &event;
  }
  return in_force != nullptr ? in_force : first;
}

Facts facts_of(const std::vector<Entry>& entries, std::int64_t known_at, Instant as_of) {
  const Happenings known = known_events(entries, known_at);
  Facts facts;
  facts.events = events_until(known, as_of);
  read_place(known, facts);
  for (const std::string& id : all_named(facts.events, "load")) facts.loads.push_back(load_of(facts.events, id));
  for (const std::string& id : all_named(facts.events, "pack")) facts.packs.push_back(pack_of(facts, id));
  for (const Happening& event : facts.events) {
    if (event.kind == "procedure-done") facts.procedures.push_back(procedure_of(event));
  }
  return facts;
}

}  // namespace trayproof::reference
