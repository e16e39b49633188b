// Invented cycles as a library to be searched, all of it in memory.
#pragma once

#include <optional>
#include <vector>

#include "importer/judging/search.h"
#include "tests/importer/judging/invented_cycles.h"

namespace trayproof::tests {

class InventedLibrary : public judging::Library {
 public:
  // Nothing is kept of a cycle without a sketch.
  void add(Recorded one) {
    const judging::Curve curve = one.curve();
    const auto sketch = judging::sketch_of(curve, one.series.interval_s.value_or(0));
    auto outline = judging::outline_of(curve);
    if (!sketch || !outline) return;
    const judging::Trace trace = judging::trace_of(*outline);
    stored_.push_back({*sketch, trace, std::move(*outline), std::move(one)});
  }
  const Recorded& at(std::size_t place) const { return stored_[place].recorded; }

  // The place of the cycle that this one repeats.
  std::optional<std::size_t> find(const Recorded& one) {
    const judging::Curve curve = one.curve();
    const auto sketch = judging::sketch_of(curve, one.series.interval_s.value_or(0));
    const auto outline = judging::outline_of(curve);
    if (!sketch || !outline) return std::nullopt;
    const auto same = judging::find_same(*this, *outline, *sketch);
    return same.value() ? std::optional(same.value()->place) : std::nullopt;
  }

  std::size_t size() const override { return stored_.size(); }
  const judging::Sketch* sketch(std::size_t place) const override { return &stored_[place].sketch; }
  Result<const judging::Trace*> trace(std::size_t place) override { return &stored_[place].trace; }
  Result<std::optional<judging::Outline>> outline(std::size_t place) override {
    return std::optional(stored_[place].outline);
  }

 private:
  struct Stored {
    judging::Sketch sketch;
    judging::Trace trace;
    judging::Outline outline;
    Recorded recorded;
  };
  std::vector<Stored> stored_;
};

}  // namespace trayproof::tests
