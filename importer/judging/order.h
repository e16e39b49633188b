// One sample a moment, in order of time: rows that stand twice, rows out of their place, one stamp with two values,
// several rows a minute, jumps back. docs/import-reading.md, "Order", is the authority. Each is told in the series'
// notes.
#pragma once

#include "importer/judging/series.h"

namespace trayproof::judging {

// `seconds`: the stamps of the file show seconds.
void put_in_order(Series& series, bool seconds);

}  // namespace trayproof::judging
