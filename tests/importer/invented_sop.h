// An invented SOP for the importer's tests: the numbers are those of no facility.
#pragma once

#include "ledger/sop/sop.h"

namespace trayproof::tests {

inline sop::Sop invented_sop() {
  sop::Sop sop;
  sop.steam_saturation_k = 2;
  sop.steam_f0_reference_c = 121.1;
  sop.steam_gap_seconds_max = 120;
  sop.steam_programs.push_back(
      {.temperature_c = 121, .band_k = 3, .hold_minutes_wrapped = 30, .hold_minutes_unwrapped = 20, .f0_min = {}});
  sop.steam_programs.push_back(
      {.temperature_c = 134, .band_k = 3, .hold_minutes_wrapped = 4, .hold_minutes_unwrapped = 3.5, .f0_min = {}});
  sop.dry_heat_pairs = {{160, 120}, {170, 60}, {180, 30}};
  sop.washer_a0_min = 600;
  sop.boiling_minutes = 20;
  return sop;
}

inline sop::Editions editions_of(sop::Sop sop) {
  sop::Editions editions;
  editions.add(7, std::move(sop), Instant{0}, Instant{0});
  return editions;
}

inline sop::Editions invented_editions() { return editions_of(invented_sop()); }

}  // namespace trayproof::tests
