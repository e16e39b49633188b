// What several rules share: what a relevant load says of a use, what a turn holds, and how findings spell things.
#pragma once

#include <algorithm>

#include "report/gaps/rule.h"

namespace trayproof::gaps {

inline bool holds_text(const std::vector<std::string>& list, std::string_view text) {
  return std::find(list.begin(), list.end(), text) != list.end();
}

inline std::string local(const Facts& facts, Instant at) { return format_date_time(facts.zone.local(at)); }

// Between two times as they were written, in units: 9 minutes, 1.5 hours.
inline double between(const When& from, const When& until, std::int64_t unit_ms) {
  return static_cast<double>(until.at.ms - from.at.ms) / static_cast<double>(unit_ms);
}

template <typename T>
void add(std::vector<T>& to, const std::vector<T>& from) {
  to.insert(to.end(), from.begin(), from.end());
}

// What a field that may be marked unknown says of a gap that its absence would be.
inline Told absent(const Record& event, std::string_view field) {
  if (event.has(field)) return Told::no;
  return event.mark(field) == Mark::not_known ? Told::open : Told::yes;
}

// Made elsewhere and in no load here: its processing is not this record's.
inline bool is_from_elsewhere(const Pack& pack) { return pack.received != nullptr && pack.loads.empty(); }

// The entry that tells when a load ran: its start, else its end.
inline std::int64_t begun_seq(const Load& load) {
  return load.started != nullptr ? load.started->seq : load.ended->seq;
}
// The entries by which a load holds a pack: the one that tells when it ran, and the change that put the pack into it.
Seqs held_seqs(const Load& load, const Pack& pack);
// What `ask` says of the relevant load of a use (or of another event of a pack). Where several loads could be it they
// have to agree; where it is not even certain that one was, a yes cannot be told.
template <typename Ask>
Told of_relevant(const std::vector<const Load*>& loads, const When& time, Ask ask) {
  CHECK(!loads.empty());
  const Told first = ask(*loads.front());
  for (const Load* load : loads) {
    if (ask(*load) != first) return Told::open;
  }
  const bool unsure = loads.size() == 1 && later(loads.front()->end(), time) == Told::open;
  return first == Told::yes && unsure ? Told::open : first;
}
template <typename Ask>
Told of_relevant(const Use& use, Ask ask) {
  return of_relevant(use.loads, use.time, ask);
}

// Of several grounds, each of them enough, the one that was complete first. Empty where there is none.
Seqs earliest_ground(const std::vector<Seqs>& grounds);

// What a gap of the relevant load of a use rests on. `needs` gives what it needs of a load beside its start, or nothing
// where that load shows no gap. One load that surely ended before the use is enough: a load before the relevant one
// that shows the gap too was the relevant one while the later was not recorded.
template <typename Needs>
Seqs grounds_of(const Use& use, Needs needs) {
  std::vector<Seqs> grounds;
  Seqs all;
  const auto& loads = use.pack->loads;
  auto load = std::find_if(loads.rbegin(), loads.rend(), [&](const Load* one) {
    return std::find(use.loads.begin(), use.loads.end(), one) != use.loads.end();
  });
  for (; load != loads.rend(); ++load) {
    const std::optional<Seqs> more = needs(**load);
    if (!more) break;
    Seqs ground{use.procedure->seq};
    add(ground, held_seqs(**load, *use.pack));
    add(ground, *more);
    add(all, ground);
    if (later((*load)->end(), use.time) == Told::no) grounds.push_back(std::move(ground));
  }
  return grounds.empty() ? all : earliest_ground(grounds);
}

inline Seqs seqs_of(const Use& use) {
  Seqs out{use.procedure->seq};
  for (const Load* load : use.loads) add(out, load->seqs());
  return out;
}

// What else the finding presupposes (an enrolment, a preparation) is only cited where it was entered last, so that it
// was first seen there.
inline void presuppose(Gap& gap, std::int64_t seq) {
  if (std::all_of(gap.rests_on.begin(), gap.rests_on.end(), [&](std::int64_t one) { return one < seq; }))
    gap.rests_on.push_back(seq);
}
// Of the loads that hold a pack the one that started first. Only of a pack that was in one.
const Load& first_load(const Pack& pack);

// Whether two events of a pack surely have the same relevant load, could have, or have not.
inline Told same_loads(const std::vector<const Load*>& a, const std::vector<const Load*>& b) {
  if (a.empty() && b.empty()) return Told::yes;
  const bool shared =
      std::any_of(a.begin(), a.end(), [&](const Load* one) { return std::find(b.begin(), b.end(), one) != b.end(); });
  if (!shared) return Told::no;
  return a.size() == 1 && b.size() == 1 ? Told::yes : Told::open;
}

// The last inspection in the turn of a pack; `certain` says whether coarse times leave another one open. Null: none.
struct LastInspection {
  const Record* record = nullptr;
  bool certain = true;
};
LastInspection last_inspection(const Pack& pack);
// Whether it found that. No inspection: cannot be told.
Told inspection_found(const Pack& pack, std::string_view what);
// Whether it found anything at all, missing items included.
Told inspection_found_something(const Pack& pack);

// Whether the turn has a step of that kind. Sets that cannot be told apart, and packs whose packing or whose set is not
// recorded, have no turn to look into.
Told turn_has(const Pack& pack, std::string_view kind);

// The hours that a reading has to be incubated: its lot's, else the SOP's; nothing when neither states any.
std::optional<double> hours_wanted(const Facts& facts, const Biological& reading);

// The disinfectant of the SOP that a solution is, or null.
const sop::Disinfectant* disinfectant_of(const Solution& solution, const sop::Sop& sop);
// When the solution's life ends: its `expires`, else prepared and the life that the SOP gives. Nothing without a limit.
struct LifeEnd {
  std::optional<When> end;
  bool unknown = false;  // a limit applies, and the record does not tell from when
};
LifeEnd life_end(const Facts& facts, const Solution& solution);

// The steam program that a load has to meet under an edition: the one that was set, else the one that was measured or
// read. Outside every band a curve goes by the nearest, as the importer does, and a reading by the hottest program
// whose temperature it reached, else the coldest there is. Null when the edition has none, or the record does not tell
// the temperature.
const sop::SteamProgram* program_of(const Load& load, const sop::Sop& sop);
// Whether any pack of it is wrapped; packs of unknown wrap, and packs not known, count as wrapped.
bool is_wrapped(const Load& load);

// Values of a judged curve.
std::optional<double> curve_number(const Curve& curve, std::string_view field);
std::optional<double> curve_part(const Curve& curve, std::string_view field, std::string_view part);
bool curve_found(const Curve& curve, std::string_view what);
// The number that such a finding tells.
std::optional<double> curve_finding(const Curve& curve, std::string_view what);

}  // namespace trayproof::gaps
