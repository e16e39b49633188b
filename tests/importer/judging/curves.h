// Invented curves for the tests of judging, written as a logger would export them.
#pragma once

#include <string>
#include <vector>

#include "importer/import.h"
#include "tests/importer/invented_sop.h"

namespace trayproof::tests {

struct Shape {
  double start_c = 25;
  double top_c = 121.3;
  int heat_min = 15;
  int hold_min = 32;
  int cool_min = 12;
};

// One value a minute: up, hold_min + 1 equal readings, down.
inline std::vector<double> curve(const Shape& shape) {
  std::vector<double> out;
  for (int i = 0; i < shape.heat_min; ++i)
    out.push_back(shape.start_c + (shape.top_c - 2 - shape.start_c) * i / shape.heat_min);
  for (int i = 0; i <= shape.hold_min; ++i) out.push_back(shape.top_c);
  for (int i = 0; i < shape.cool_min; ++i) out.push_back(shape.top_c - 3 - (shape.top_c - 48) * i / shape.cool_min);
  return out;
}

inline std::string export_of(const std::vector<double>& values, const std::string& start, int step_s = 60) {
  std::string out = "Time,T1 (°C)\n";
  const Instant first = parse_date_time(start)->instant;
  for (std::size_t i = 0; i < values.size(); ++i) {
    const Instant at{first.ms + static_cast<std::int64_t>(i) * step_s * 1000};
    out += format_date_time({at, 0}) + "," + std::to_string(values[i]) + "\n";
  }
  return out;
}

inline Instant instant(const std::string& text) { return parse_date_time(text)->instant; }

inline importer::KnownLoad known_load(const std::string& id, const std::string& from, const std::string& until) {
  importer::KnownLoad load;
  load.load = id;
  load.method = "steam-gravity";
  load.equipment = "S1";
  load.started = {instant(from), instant(from)};
  if (!until.empty()) load.ended = Span{instant(until), instant(until)};
  load.temperature_c = 121;
  return load;
}

}  // namespace trayproof::tests
