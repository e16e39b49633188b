#include "ledger/words/english.h"

namespace trayproof::english {

// What stands in and around the drawing of a curve. Names of lines are short: they stand among the lines.
std::span<const Word> picture() {
  static constexpr Word words[] = {
      {"picture.title", "{load}, {method}"},
      {"picture.load", "Load {load}"},
      {"picture.unplaced", "A cycle that belongs to no load yet"},
      {"picture.no-cycle", "No cycle was found in this file"},
      {"picture.nothing", "There are too few readings to draw."},
      {"picture.verdict", "The recorded evidence {verdict}."},
      {"picture.verdict-reached", "reached the conditions of the SOP"},
      {"picture.verdict-not-reached", "did not reach the conditions of the SOP"},
      {"picture.verdict-cannot-tell", "does not tell whether the conditions of the SOP were reached"},
      {"picture.hold-line", "Hold {minutes} min"},
      {"picture.wanted", " (at least {minutes} min wanted)"},
      {"picture.f0-line", "F0 at least {f0} min"},
      {"picture.fh-line", "FH {fh} min (shown, not judged)"},
      {"picture.a0-line", "A0 {a0} s"},
      {"picture.none", "not told"},
      {"picture.no-unit", "no unit"},
      {"picture.minutes", "min"},
      {"picture.seconds", "s"},
      {"picture.temperature", "Temperature, °C"},
      {"picture.pressure", "Pressure, kPa absolute (in the file: {read})"},
      {"picture.as-read", "{unit}, {sense}, channel {channel}"},
      {"picture.sense-absolute", "absolute"},
      {"picture.sense-gauge", "gauge"},
      {"picture.lethality", "{name} gathered, {unit} at {reference} °C"},
      {"picture.least", "at least {value} {unit}"},
      {"picture.measured", "measured"},
      {"picture.coldest", "coldest channel"},
      {"picture.hottest", "hottest channel"},
      {"picture.saturation", "saturated steam"},
      {"picture.set", "set {c}"},
      {"picture.band-top", "top of band {c}"},
      {"picture.hold", "hold {minutes} min"},
      {"picture.time", "Time of day on {date}, {zone} ({offset})"},
      {"picture.elapsed", "Minutes since the first reading shown (the file has no date)"},
      {"picture.source", "Drawn from the file with SHA-256 {sha256}"},
      {"picture.funnel-nothing", "There is nothing that may be drawn."},
      {"picture.funnel-share", "Share, %"},
      {"picture.funnel-volume",
       "Volume: how many there were. A dot is a place; one with a ring lies outside the 99.8 % limits and has its name."},
      {"picture.funnel-95", "95 %"},
      {"picture.funnel-998", "99.8 %"},
      {"picture.funnel-all", "all {share} %"},
  };
  return words;
}

}  // namespace trayproof::english
