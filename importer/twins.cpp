#include "importer/twins.h"

#include <algorithm>
#include <cmath>

#include "importer/judging/curve.h"
#include "ledger/store/curves.h"
#include "ledger/store/small_cache.h"

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

Result<void> Twins::put_outline(Known& known, const judging::Outline& outline) {
  TRY(outlines_.add(judging::encode_outline(outline)));
  known.outline = outlines_.size() - 1;
  return {};
}

Result<std::optional<judging::Outline>> Twins::outline(Known& known) {
  if (known.outline) {
    TRY_LET(const Bytes bytes, outlines_.at(*known.outline));
    return judging::decode_outline(bytes);
  }
  if (known.read || !known.standing) return std::optional<judging::Outline>();
  TRY_LET(const auto measured, rejudge_.measured(*known.standing, 0));
  known.read = true;
  auto outline = measured ? judging::outline_of(curve_of(*measured)) : std::nullopt;
  if (outline) TRY(put_outline(known, *outline));
  return outline;
}

// The earlier curves as a new one sees them.
class Twins::Others : public judging::Library {
 public:
  Others(Twins& twins, const NewCurve& about) : twins_(twins), about_(about) {}

  std::size_t size() const override { return twins_.known_.size(); }
  const judging::Sketch* sketch(std::size_t place) const override {
    const Known& known = twins_.known_[place];
    return of_one_cycle(known.about, about_) ? nullptr : &known.sketch;
  }
  Result<const judging::Trace*> trace(std::size_t place) override {
    Known& known = twins_.known_[place];
    if (!known.trace) {
      TRY_LET(const auto outline, twins_.outline(known));
      known.trace = outline ? judging::trace_of(*outline) : judging::Trace();
    }
    return &*known.trace;
  }
  Result<std::optional<judging::Outline>> outline(std::size_t place) override {
    return twins_.outline(twins_.known_[place]);
  }

 private:
  Twins& twins_;
  const NewCurve& about_;
};

Result<std::optional<Twin>> Twins::find(const CodedCurves& curves, std::size_t next, const NewCurve& about) {
  TRY_LET(const auto coded, curves.at(next));
  const auto sketch = judging::decode_sketch(coded.sketch);
  const auto measured = sketch ? judging::decode(coded.bytes, {}) : std::nullopt;
  const auto outline = measured ? judging::outline_of(curve_of(*measured)) : std::nullopt;
  if (!outline) return std::optional<Twin>();
  Others others(*this, about);
  TRY_LET(const auto same, judging::find_same(others, *outline, *sketch));
  std::optional<Twin> twin;
  if (same) {
    const Known& known = known_[same->place];
    twin = Twin{.curve = known.standing ? known.standing->seq : 0,
                .part = known.part,
                .load = known.about.load,
                .likeness = same->likeness};
  }
  known_.push_back({.sketch = *sketch, .standing = {}, .about = about, .part = static_cast<std::int64_t>(next + 1)});
  TRY(put_outline(known_.back(), *outline));
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
  // Each kept curve is read once: to hold their pages would fill the memory.
  const store::SmallCache cache(ledger.file().database());
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
