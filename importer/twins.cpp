#include "importer/twins.h"

#include <algorithm>
#include <cmath>

#include "importer/judging/curve.h"
#include "ledger/store/curves.h"

namespace trayproof::importer {
namespace {

judging::Curve curve_of(const judging::Measured& measured) {
  return judging::curve_of(measured.series, measured.stretch.first, measured.stretch.last, std::nullopt);
}

// Two loggers in one chamber measure one cycle: no copy.
bool of_one_cycle(const NewCurve& a, const NewCurve& b) {
  if (a.load && b.load) return *a.load == *b.load;
  if (a.equipment != b.equipment || !a.from || !a.until || !b.from || !b.until) return false;
  return *a.from <= *b.until && *b.from <= *a.until;
}

}  // namespace

Result<Twins> Twins::of(Ledger& ledger, links::Links& tables, const sop::Editions& editions) {
  Twins twins(ledger, tables, editions);
  TRY_LET(const auto all, all_curves(tables));
  std::map<std::pair<Digest, std::int64_t>, const StandingCurve*> by_place;
  for (const StandingCurve& one : all) by_place.emplace(std::pair(one.file, one.part), &one);
  TRY(store::scan_sketches(ledger.file().database(), [&](const Digest& file, std::int64_t part, ByteView bytes) {
    const auto sketch = judging::decode_sketch(bytes);
    const auto found = by_place.find({file, part});
    if (!sketch || found == by_place.end()) return;
    const StandingCurve& one = *found->second;
    twins.known_.push_back(
        {.sketch = *sketch,
         .standing = one,
         .about = {.load = one.load, .equipment = one.equipment, .from = one.from, .until = one.until},
         .part = part});
  }));
  return twins;
}

Result<std::optional<judging::Measured>> Twins::measured(const Known& known, const CodedCurves& curves) {
  if (known.standing) return rejudge_.measured(*known.standing, 0);
  TRY_LET(const auto coded, curves.at(static_cast<std::size_t>(known.part - 1)));
  return judging::decode(coded.bytes, {});
}

// Of the curves that may be near; each is read once for all cycles of the file.
Result<void> Twins::trace_all(const judging::Sketch& near, const CodedCurves& curves) {
  for (Known& known : known_) {
    const auto apart = known.trace ? std::nullopt : judging::apart_k(known.sketch, near);
    if (!apart || *apart > judging::near_k) continue;
    TRY_LET(const auto other, measured(known, curves));
    known.trace = other ? judging::trace_of(curve_of(*other)) : judging::Trace();
  }
  return {};
}

Result<std::optional<Twin>> Twins::find(const CodedCurves& curves, std::size_t next, const NewCurve& about) {
  TRY_LET(const auto coded, curves.at(next));
  const auto sketch = judging::decode_sketch(coded.sketch);
  const auto looked_at = sketch ? judging::decode(coded.bytes, {}) : std::nullopt;
  if (!looked_at) return std::optional<Twin>();
  const judging::Curve curve = curve_of(*looked_at);
  const auto usable = [&](std::size_t i) { return of_one_cycle(known_[i].about, about) ? nullptr : &known_[i].sketch; };
  std::vector<std::size_t> places = judging::nearest(known_.size(), usable, *sketch);
  judging::LikestAtTop at_top;
  if (judging::has_few_readings(curve)) {
    TRY(trace_all(*sketch, curves));
    const auto trace = [&](std::size_t i) { return known_[i].trace ? &*known_[i].trace : nullptr; };
    at_top = judging::likest_at_top(known_.size(), usable, trace, curve, *sketch);
    for (const auto& [apart, place] : at_top.places) {
      if (std::find(places.begin(), places.end(), place) == places.end()) places.push_back(place);
    }
  }
  judging::Likest likest;
  for (const std::size_t place : places) {
    TRY_LET(const auto other, measured(known_[place], curves));
    if (!other) continue;
    auto found = judging::likeness(curve_of(*other), curve);
    if (!found) continue;
    found->improbable = at_top.improbable(place);
    likest.offer(place, *found);
  }
  std::optional<Twin> twin;
  if (const auto place = likest.same()) {
    const Known& known = known_[*place];
    twin = Twin{.curve = known.standing ? known.standing->seq : 0,
                .part = known.part,
                .load = known.about.load,
                .likeness = likest.likeness()};
  }
  known_.push_back({.sketch = *sketch, .standing = {}, .about = about, .part = static_cast<std::int64_t>(next + 1)});
  return twin;
}

Finding repeats(const Twin& twin) {
  json::Value found = json::Value::object();
  found.set("load", twin.load ? json::Value(*twin.load) : json::Value());
  found.set("curve", twin.curve == 0 ? json::Value() : json::Value(twin.curve));
  found.set("part", twin.part);
  found.set("shift_s", std::round(twin.likeness.shift_s * 1000) / 1000);
  found.set("offset_k", std::round(twin.likeness.offset_k * 1000) / 1000);
  found.set("rms_k", std::round(twin.likeness.rms_k * 1000) / 1000);
  return {"curve-repeated", {}, std::move(found)};
}

Result<void> find_twins(Ledger& ledger, links::Links& tables, const sop::Editions& editions, const Source& source,
                        const CodedCurves& curves, Import& import,
                        const std::function<void(std::size_t cycles)>& looked) {
  if (curves.size() != import.cycles.size() || import.cycles.empty()) return {};
  TRY_LET(auto twins, Twins::of(ledger, tables, editions));
  for (std::size_t i = 0; i < import.cycles.size(); ++i) {
    Cycle& cycle = import.cycles[i];
    TRY_LET(const auto twin,
            twins.find(curves, i,
                       {.load = cycle.load, .equipment = source.equipment, .from = cycle.from, .until = cycle.until}));
    if (twin) cycle.findings.push_back(repeats(*twin));
    if (looked) looked(i + 1);
  }
  return {};
}

Result<void> find_twins(Ledger& ledger, links::Links& tables, const sop::Editions& editions, const Source& source,
                        Import& import) {
  CodedCurves curves(ledger.path());
  for (const judging::Coded& one : import.measured) TRY(curves.add(one));
  return find_twins(ledger, tables, editions, source, curves, import);
}

}  // namespace trayproof::importer
