// Stage 8: values that are the sensor's fault and no temperature: an open thermocouple at the bottom or top of its
// range, the value of a sensor that has just been switched on. They are marks, never minima or maxima.
// docs/import-reading.md is the authority.
#pragma once

#include "importer/reading/reading.h"

namespace trayproof::reading {

// Empties the cells of fault values and returns how many it emptied.
std::size_t drop_faults(Reading& reading);

}  // namespace trayproof::reading
