// What a drawing of a curve is made from: readings as they were judged, the limits they were judged by, and the texts
// around them. Plain numbers; whoever has them can draw, whether from an import or from a ledger.
//
// NaN stands where a reading has no such value.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "ledger/base/time.h"
#include "ledger/base/zone.h"

namespace trayproof::picture {

struct Moment {
  double at_s = 0;
  double cold_c = 0;  // the coldest channel in the load
  double hot_c = 0;   // the hottest; equal where there is one channel
  double pressure_kpa_abs = 0;
  double saturation_c = 0;  // of that pressure
  double lethality = 0;     // gathered up to here, in the unit of `Lethal`
};

struct HoldSpan {
  double from_s = 0;
  double until_s = 0;
  double minutes = 0;
};

// F0, F_H or A0: which of them, at which reference.
struct Lethal {
  std::string name;
  std::string unit;
  double reference_c = 0;
  std::optional<double> least;  // by the SOP
};

struct Curve {
  std::string title;
  std::vector<std::string> lines;  // below the title: verdict, hold, findings
  Zone zone = Zone::utc();
  std::optional<Instant> start;  // of second 0; nothing in a file without a date
  std::vector<Moment> moments;   // in order of time
  bool several_channels = false;
  double gap_s = 0;              // a longer step is a hole: the line is broken there; 0: never
  std::string pressure_as_read;  // "bar, gauge, channel P1"
  std::optional<double> set_c;
  std::optional<double> band_top_c;
  std::optional<double> saturation_limit_k;
  std::optional<HoldSpan> hold;
  std::optional<Lethal> lethal;
  std::string source;  // last line: the file that it was drawn from
};

}  // namespace trayproof::picture
