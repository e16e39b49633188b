#include "ledger/sop/sop.h"

#include <algorithm>
#include <cmath>

namespace trayproof::sop {
namespace {

// The nearer of two programs; of equally near ones the hotter, so that the order in the file decides nothing.
const SteamProgram* nearer(const SteamProgram* best, const SteamProgram& next, double temperature_c) {
  if (best == nullptr) return &next;
  const double best_k = std::abs(best->temperature_c - temperature_c);
  const double next_k = std::abs(next.temperature_c - temperature_c);
  if (next_k != best_k) return next_k < best_k ? &next : best;
  return next.temperature_c > best->temperature_c ? &next : best;
}

}  // namespace

const Disinfectant* Sop::disinfectant(std::string_view agent) const {
  const auto found = std::find_if(disinfectants.begin(), disinfectants.end(),
                                  [&](const Disinfectant& one) { return one.agent == agent; });
  return found == disinfectants.end() ? nullptr : &*found;
}

const SteamProgram* Sop::program_for(double temperature_c) const {
  const SteamProgram* best = nullptr;
  for (const SteamProgram& program : steam_programs) {
    // A program whose band the file does not state takes every temperature: an absent limit is not checked.
    const bool within = !program.band_k || std::abs(program.temperature_c - temperature_c) <= *program.band_k;
    if (within) best = nearer(best, program, temperature_c);
  }
  return best;
}

const SteamProgram* Sop::nearest_program(double temperature_c) const {
  const SteamProgram* best = nullptr;
  for (const SteamProgram& program : steam_programs) best = nearer(best, program, temperature_c);
  return best;
}

void Editions::add(std::int64_t seq, Sop sop, Instant in_force, Instant recorded) {
  Edition edition{.seq = seq, .sop = std::move(sop), .in_force = in_force, .recorded = recorded, .judges_from = {}};
  edition.judges_from = std::max(in_force, recorded);
  const auto place = std::upper_bound(editions_.begin(), editions_.end(), seq,
                                      [](std::int64_t wanted, const Edition& other) { return wanted < other.seq; });
  editions_.insert(place, std::move(edition));
  for (Edition& one : editions_) one.backdated = one.in_force < one.recorded;
  editions_.front().backdated = false;
}

const Edition* Editions::at(Instant instant) const {
  const Edition* best = nullptr;
  for (const Edition& one : editions_) {
    if (one.judges_from > instant) continue;
    // In the order of seq, so that of equals the later one stays.
    if (best == nullptr || one.judges_from >= best->judges_from) best = &one;
  }
  if (best == nullptr && !editions_.empty()) best = &editions_.front();
  return best;
}

}  // namespace trayproof::sop
