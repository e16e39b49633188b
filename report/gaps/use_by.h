// Until when a pack may be used: the `use_by` it was stored (or received) with, else the end of its load and the shelf
// life that the SOP gives its wrap, or what it gives things that were only disinfected.
#pragma once

#include "report/gaps/looking.h"

namespace trayproof::gaps {

struct UseBy {
  std::vector<When> ends;   // one for each load that could be the relevant one; empty: no date
  bool unknown = false;     // the record does not tell it
  bool not_stated = false;  // the SOP gives no shelf life
  Seqs seqs;                // where it stands, or the load it counts from
};

// At `time`, when `loads` are what could be the pack's relevant load. Neither date nor one of the flags: it keeps until
// it is damaged.
UseBy use_by(const Facts& facts, const Pack& pack, const std::vector<const Load*>& loads, const When& time);

// Whether `time` is later than it.
Told is_past(const UseBy& limit, const When& time);

}  // namespace trayproof::gaps
