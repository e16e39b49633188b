#include "tests/reference/standings.h"

#include <algorithm>
#include <tuple>

#include "tests/reference/relevant_load.h"

namespace trayproof::reference {
namespace {

// How something that befell a pack at some time is affected: by which loads, or by none (null) and affected all the
// same.
std::vector<std::optional<std::string>> reach(const Facts& facts, const Affected& affected, const std::string& pack,
                                              const Span& time) {
  if (affected.index != nullptr) {
    // "For `index-patient` the standings go by events after that procedure"; "the procedures those that used them after
    // it" The definition is silent: with coarse times, events that could be after it.
    if (!affected.later_packs.contains(pack)) return {};
    if (time.latest <= affected.index->use_time.span.earliest) return {};
    return {std::nullopt};
  }
  std::vector<std::optional<std::string>> loads;
  const auto possible = relevant_loads(facts, pack, time);
  for (const Load* load : possible) {
    if (affected.reaches(load->id, pack)) loads.emplace_back(load->id);
  }
  // "A use, opening, issue or storing of such a pack that has no relevant load counts as affected too, with `load`
  // null." The definition is silent: so does its withdrawal.
  if (possible.empty() && affected.named_packs.contains(pack)) loads.emplace_back(std::nullopt);
  return loads;
}

bool is_reached(const Facts& facts, const Affected& affected, const std::string& pack, const Span& time) {
  return !reach(facts, affected, pack, time).empty();
}

// The definition is silent on `place`: it is that of the event that gives the standing, the latest of them by its time,
// then seq; null where that event has no place.
struct Deciding {
  Instant at;
  std::int64_t seq = 0;
  std::string standing;
  std::optional<std::string> place;
};

void take_later(std::optional<Deciding>& held, Deciding candidate) {
  if (!held || std::tie(held->at, held->seq) < std::tie(candidate.at, candidate.seq)) held = std::move(candidate);
}

std::optional<Deciding> last_use(const Facts& facts, const Affected& affected, const std::string& pack) {
  // "`used` (a use whose relevant load is affected)"
  std::optional<Deciding> last;
  for (const Procedure& procedure : facts.procedures) {
    if (&procedure == affected.index) continue;
    for (const std::string& used : procedure.packs) {
      if (used != pack || !is_reached(facts, affected, pack, procedure.use_time.span)) continue;
      take_later(last, {procedure.use_time.written.instant, procedure.seq, "used", procedure.event.text("place")});
    }
  }
  return last;
}

// What an event of the shelf says about the pack's standing; none for other events.
std::optional<std::string> standing_told_by(const Happening& event) {
  // "`opened` (a `pack-opened`, or a `pack-returned` opened …)"
  if (event.kind == "pack-opened") return "opened";
  if (event.kind == "pack-returned" && event.names("state", "opened")) return "opened";
  // "`withdrawn` (likewise)"
  if (event.kind == "pack-withdrawn") return "withdrawn";
  // "`issued` or `shelf` (a `pack-issued`, or `pack-stored` or closed `pack-returned` …)"
  // The definition is silent: a pack returned in a state that nobody recorded is neither opened nor closed.
  if (event.kind == "pack-issued") return "issued";
  if (event.kind == "pack-stored") return "shelf";
  if (event.kind == "pack-returned" && event.names("state", "closed")) return "shelf";
  return std::nullopt;
}

std::optional<Deciding> last_event(const Facts& facts, const Affected& affected, const std::string& pack,
                                   const std::set<std::string>& wanted) {
  std::optional<Deciding> last;
  for (const Happening& event : facts.events) {
    const auto standing = standing_told_by(event);
    if (!standing || !wanted.contains(*standing) || !event.names("pack", pack)) continue;
    // "whose relevant load is affected"; "whichever came last"
    if (!is_reached(facts, affected, pack, event.at.span)) continue;
    take_later(last, {event.at.written.instant, event.seq, *standing, event.text("place")});
  }
  return last;
}

std::vector<const Load*> affected_loads_holding(const Facts& facts, const Affected& affected, const std::string& pack) {
  std::vector<const Load*> loads;
  for (const Load& load : facts.loads) {
    if (affected.reaches(load.id, pack)) loads.push_back(&load);
  }
  return loads;
}

const Load* latest_affected_load(const std::vector<const Load*>& loads) {
  // "`load` in the answer is the latest affected load that holds it." "'Latest' goes by end, ties by id."
  // The definition is silent: with coarse ends, by the end as written; a load without start and end is the earliest.
  const Load* latest = nullptr;
  const auto place = [](const Load& load) {
    const Instant end = load.counted_end() ? load.counted_end()->written.instant : Instant{INT64_MIN};
    return std::pair<Instant, std::string>(end, load.id);
  };
  for (const Load* load : loads) {
    if (latest == nullptr || place(*latest) < place(*load)) latest = load;
  }
  return latest;
}

bool is_reprocessed(const Facts& facts, const Affected& affected, const std::string& pack) {
  const auto holding = affected_loads_holding(facts, affected, pack);
  if (holding.empty()) return false;
  for (const Load& load : facts.loads) {
    // "a load that is complete, not rejected, not affected and ended later than the last affected one holds it"
    // The definition is silent: the last affected one is the last of those that hold the pack; `not affected` and
    // `last` are meant for this pack; with coarse ends it must certainly have ended later.
    if (!load.holds(pack) || !load.complete || load.rejected() || affected.reaches(load.id, pack)) continue;
    bool later = true;
    for (const Load* other : holding) {
      if (other->counted_end() && load.end->span.earliest <= other->counted_end()->span.latest) later = false;
    }
    if (later) return true;
  }
  return false;
}

PackStanding standing_of(const Facts& facts, const Affected& affected, const Pack& pack) {
  PackStanding result;
  result.pack = &pack;
  result.load = latest_affected_load(affected_loads_holding(facts, affected, pack.id));
  // "Its standing is the first that fits:"
  std::optional<Deciding> deciding = last_use(facts, affected, pack.id);
  if (!deciding) deciding = last_event(facts, affected, pack.id, {"opened"});
  if (!deciding) deciding = last_event(facts, affected, pack.id, {"withdrawn"});
  // "`reprocessed` does not apply" for `index-patient`
  if (!deciding && affected.index == nullptr && is_reprocessed(facts, affected, pack.id)) {
    result.standing = "reprocessed";
    return result;
  }
  if (!deciding) deciding = last_event(facts, affected, pack.id, {"issued", "shelf"});
  // "`held` (none of these: in process or in quarantine)"
  result.standing = deciding ? deciding->standing : "held";
  if (deciding) result.place = deciding->place;
  return result;
}

// "Arrays are sorted by time (…, packs by packing, …), then id."
// The definition is silent: what has no time comes first; coarse times are sorted as written.
bool packed_earlier(const PackStanding& a, const PackStanding& b) {
  const auto place = [](const PackStanding& standing) {
    const auto& packing = standing.pack->packing;
    return std::pair<Instant, std::string>(packing ? packing->written.instant : Instant{INT64_MIN}, standing.pack->id);
  };
  return place(a) < place(b);
}

// "each once, newest last"; "procedures by time, then id".
// The definition is silent: the time is the procedure's `at`, which is the one shown.
bool done_earlier(const ReachedProcedure& a, const ReachedProcedure& b) {
  const auto place = [](const ReachedProcedure& reached) {
    return std::pair<Instant, std::string>(reached.procedure->at.written.instant, reached.procedure->id);
  };
  return place(a) < place(b);
}

// The definition is silent: uses of one procedure are sorted by pack, then load.
void sort_uses(std::vector<Use>& uses) {
  std::sort(uses.begin(), uses.end(),
            [](const Use& a, const Use& b) { return std::tie(a.pack, a.load) < std::tie(b.pack, b.load); });
}

}  // namespace

std::vector<PackStanding> standings(const Facts& facts, const Affected& affected) {
  std::vector<PackStanding> found;
  for (const Pack& pack : facts.packs) {
    // "Every pack held by an affected load (or the packs named)."
    const bool held = !affected_loads_holding(facts, affected, pack.id).empty();
    if (held || affected.named_packs.contains(pack.id) || affected.later_packs.contains(pack.id)) {
      found.push_back(standing_of(facts, affected, pack));
    } else if (affected.handled_packs.contains(pack.id)) {
      // "`handled` packs have that one standing and no load."
      found.push_back({&pack, nullptr, "handled", std::nullopt});
    }
  }
  std::sort(found.begin(), found.end(), packed_earlier);
  return found;
}

std::vector<ReachedProcedure> reached_procedures(const Facts& facts, const Affected& affected) {
  std::vector<ReachedProcedure> found;
  for (const Procedure& procedure : facts.procedures) {
    if (&procedure == affected.index) continue;
    // "Every procedure with at least one use whose relevant load is affected"; "each such load gets its own `uses`
    // entry"
    ReachedProcedure reached{&procedure, {}};
    for (const std::string& pack : procedure.packs) {
      for (const auto& load : reach(facts, affected, pack, procedure.use_time.span))
        reached.uses.push_back({pack, load});
    }
    if (reached.uses.empty() && !affected.disposable_procedures.contains(procedure.id)) continue;
    sort_uses(reached.uses);
    found.push_back(reached);
  }
  std::sort(found.begin(), found.end(), done_earlier);
  return found;
}

std::vector<ReachedProcedure> handled_procedures(const Facts& facts, const Affected& affected) {
  std::set<std::string> reached_already;
  for (const ReachedProcedure& reached : reached_procedures(facts, affected))
    reached_already.insert(reached.procedure->id);
  std::vector<ReachedProcedure> found;
  for (const Procedure& procedure : facts.procedures) {
    // "the procedures they served under `handled_procedures`"
    // The definition is silent: their uses carry no load; a procedure already among the affected ones is not listed
    // again.
    if (reached_already.contains(procedure.id)) continue;
    ReachedProcedure handled{&procedure, {}};
    for (const std::string& pack : procedure.packs) {
      if (affected.handled_packs.contains(pack)) handled.uses.push_back({pack, std::nullopt});
    }
    if (handled.uses.empty()) continue;
    sort_uses(handled.uses);
    found.push_back(handled);
  }
  std::sort(found.begin(), found.end(), done_earlier);
  return found;
}

}  // namespace trayproof::reference
