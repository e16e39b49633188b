#include "report/gaps/outside_life.h"

#include <algorithm>

#include "report/gaps/looking.h"

namespace trayproof::gaps {
namespace {

// One of the ends that a solution's life has, and the entry that tells it.
struct End {
  When at;
  std::int64_t seq = 0;
};
std::vector<End> ends_of(const LifeEnd& life, const Solution& solution) {
  std::vector<End> out;
  if (life.end) out.push_back({*life.end, solution.prepared->seq});
  if (solution.discarded != nullptr) out.push_back({solution.discarded->at, solution.discarded->seq});
  return out;
}

// Of the ends that a load goes beyond the earliest, and what is enough to see that it does.
void look_beyond(const Load& load, const std::vector<End>& ends, OutsideLife& out) {
  const Instant start = load.start().at;
  for (const End& end : ends) {
    // Without an end of its own it may have gone on past it.
    const Told here = load.ended != nullptr ? later(load.end(), end.at) : (later(load.start(), end.at) || Told::open);
    if (here == Told::yes && (!out.over || end.at.at < out.over->at)) out.over = end.at;
    out.is = out.is || here;
  }
  if (!out.over) return;
  std::vector<Seqs> grounds;
  for (const End& end : ends) {
    if (later(load.end(), end.at) != Told::yes || std::max(end.at.at, start) != std::max(out.over->at, start)) continue;
    grounds.push_back({begun_seq(load), end.seq});
    // Begun within its life, it is the end that shows it.
    if (later(load.start(), end.at) != Told::yes) add(grounds.back(), load.seqs());
  }
  out.rests_on = earliest_ground(grounds);
}

}  // namespace

OutsideLife outside_life(const Facts& facts, const Load& load) {
  OutsideLife out;
  if (load.solution == nullptr) return out;
  const Solution& solution = *load.solution;
  if (solution.use() == "decontamination") {
    out.is = Told::yes;
    out.other_use = true;
    out.rests_on = {begun_seq(load), solution.prepared->seq};
    return out;
  }
  const LifeEnd life = life_end(facts, solution);
  const auto ends = ends_of(life, solution);
  const Record* prepared = solution.prepared;
  // What it was prepared for may be marked as not known.
  const bool unknown = life.unknown || (prepared != nullptr && solution.use().empty());
  out.not_stated = ends.empty() && !unknown;
  out.is = unknown ? Told::open : Told::no;
  // A load before its preparation has a wrong time, or another solution.
  if (prepared != nullptr && later(prepared->at, load.start()) == Told::yes) out.is = Told::open;
  look_beyond(load, ends, out);
  return out;
}

}  // namespace trayproof::gaps
