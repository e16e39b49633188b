#include "importer/judging/course.h"

#include <cmath>

#include "importer/document.h"
#include "importer/physics/steam.h"
#include "tests/importer/judging/curves.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

struct Row {
  double temperature_c;
  double pressure_kpa;
};

// Straight to that temperature and pressure, in steps of ten seconds.
void go(std::vector<Row>& rows, double temperature_c, double pressure_kpa, int steps) {
  const Row from = rows.empty() ? Row{25, 101} : rows.back();
  for (int i = 1; i <= steps; ++i) {
    const double part = static_cast<double>(i) / steps;
    rows.push_back({from.temperature_c + part * (temperature_c - from.temperature_c),
                    from.pressure_kpa + part * (pressure_kpa - from.pressure_kpa)});
  }
}

std::string text_of(const std::vector<Row>& rows, bool pressure, const std::string& start = "2026-05-14T08:00:00Z") {
  std::string out = pressure ? "Time,T1 (°C),P (kPa abs)\n" : "Time,T1 (°C)\n";
  const Instant first = instant(start);
  char values[64];
  for (std::size_t i = 0; i < rows.size(); ++i) {
    std::snprintf(values, sizeof values, pressure ? ",%.2f,%.1f\n" : ",%.2f\n", rows[i].temperature_c,
                  rows[i].pressure_kpa);
    out += format_date_time({{first.ms + static_cast<std::int64_t>(i) * 10'000}, 0}) + values;
  }
  return out;
}

importer::Import import_of(const std::string& text, const std::string& sort, double altitude_m = 0) {
  static const sop::Editions editions = invented_editions();
  importer::Surroundings around;
  around.editions = &editions;
  around.altitude_m = altitude_m;
  around.equipment_sort = sort;
  return importer::read_and_judge(as_bytes(text), {}, around);
}

std::string phases_of(const importer::Cycle& cycle) {
  std::string out;
  for (const judging::ToldPhase& one : cycle.phases) {
    out += (out.empty() ? "" : " ") + std::string(one.what) + ":" +
           json::plain(json::Value(std::round(one.minutes * 10) / 10));
  }
  return out;
}

const importer::Check* check_of(const importer::Cycle& cycle, std::string_view what) {
  for (const importer::Check& one : cycle.checks) {
    if (one.what == what) return &one;
  }
  return nullptr;
}

double saturated_kpa(double temperature_c) { return physics::saturation_pressure({temperature_c})->value; }

std::vector<Row> prevacuum() {
  std::vector<Row> rows;
  for (int i = 0; i < 3; ++i) {
    go(rows, 60 + 10 * i, 10, 12);
    go(rows, 95 + 5 * i, 150, 12);
  }
  go(rows, 134.5, saturated_kpa(134.5), 24);
  go(rows, 134.5, saturated_kpa(134.5), 30);
  go(rows, 100, 101, 9);
  go(rows, 85, 10, 12);
  go(rows, 80, 10, 48);
  go(rows, 78, 101, 6);
  go(rows, 30, 101, 60);
  return rows;
}

}  // namespace

TEST_SUITE("importer/judging/course.h") {
  TEST_CASE("a gravity cycle comes up and holds and lets its steam out and cools") {
    std::vector<Row> rows;
    go(rows, 121.5, saturated_kpa(121.5), 90);
    go(rows, 121.5, saturated_kpa(121.5), 190);
    go(rows, 100, 102, 18);
    go(rows, 30, 101, 120);
    for (const bool pressure : {true, false}) {
      const auto import = import_of(text_of(rows, pressure), "steam-sterilizer");
      REQUIRE(import.cycles.size() == 1);
      CHECK(import.cycles[0].verdict == "reached");
      CHECK(import.cycles[0].pulses == 0);
      const std::string phases = phases_of(import.cycles[0]);
      CHECK(phases.starts_with("come-up:"));
      CHECK(phases.find(" plateau:31.7 exhaust:") != std::string::npos);
      CHECK(phases.find(" cooling:") != std::string::npos);
      CHECK(phases.find("drying") == std::string::npos);
    }
  }

  TEST_CASE("pulses of a prevacuum cycle are its own and counted and parted from drying") {
    for (const char* sort : {"", "steam-sterilizer"})
      CHECK(import_of(text_of(prevacuum(), true), sort).cycles[0].method == "steam-prevacuum");
    const auto import = import_of(text_of(prevacuum(), true), "");
    REQUIRE(import.cycles.size() == 1);
    const importer::Cycle& cycle = import.cycles[0];
    CHECK(cycle.method == "steam-prevacuum");
    CHECK(cycle.pulses == 3);
    CHECK(cycle.verdict == "reached");
    CHECK(phases_of(cycle).starts_with("air-removal:"));
    CHECK(phases_of(cycle).find(" plateau:5") != std::string::npos);
    CHECK(phases_of(cycle).find(" drying:") != std::string::npos);
  }

  TEST_CASE("pulses are seen by temperature where there is no pressure") {
    const auto import = import_of(text_of(prevacuum(), false), "steam-sterilizer");
    REQUIRE(import.cycles.size() == 1);
    CHECK(import.cycles[0].pulses >= 2);
    CHECK(import.cycles[0].hold_interpolated_min.value_or(0) >= 5);
  }

  TEST_CASE("dry heat comes up and holds its pair and cools") {
    std::vector<Row> rows;
    go(rows, 171, 101, 120);
    go(rows, 171, 101, 361);
    go(rows, 35, 101, 200);
    const auto import = import_of(text_of(rows, false), "");
    REQUIRE(import.cycles.size() == 1);
    const importer::Cycle& cycle = import.cycles[0];
    CHECK(cycle.method == "dry-heat");
    CHECK(cycle.verdict == "reached");
    CHECK(phases_of(cycle).find(" plateau:60.3") != std::string::npos);
    CHECK(check_of(cycle, "hold-minutes")->limit == 60);
    CHECK(check_of(cycle, "hold-minutes")->margin > 0);
    // F_H of 60 minutes at 171 °C is 60 · 10^(1/20) = 67.3; the ramps add to it.
    const double fh = cycle.judged.number_at("fh").value_or(0);
    CHECK(fh > 67.3);
    CHECK(fh < 80);
  }

  // IF97 and the 1976 standard atmosphere: water boils at 94.98 °C at 1,500 m.
  TEST_CASE("boiling is held at the boiling point of the place") {
    for (const int minutes : {21, 18}) {
      std::vector<Row> rows;
      go(rows, 94.9, 84, 60);
      go(rows, 94.9, 84, minutes * 6);
      go(rows, 35, 84, 120);
      const auto import = import_of(text_of(rows, false), "boiler", 1500);
      REQUIRE(import.cycles.size() == 1);
      CHECK(import.cycles[0].method == "boiling");
      CHECK(import.cycles[0].verdict == (minutes == 21 ? "reached" : "not-reached"));
      CHECK(*import.cycles[0].set_temperature_c == doctest::Approx(94.983 - 2).epsilon(1e-4));
    }
    std::vector<Row> low;
    go(low, 90, 101, 60);
    go(low, 90, 101, 200);
    go(low, 35, 101, 120);
    CHECK(import_of(text_of(low, false), "boiler", 0).cycles[0].verdict == "not-reached");
  }

  // ISO 15883-1 annex B as its users print it: one minute at 90 °C is A0 600.
  TEST_CASE("a washer is judged by A0") {
    std::vector<Row> rows;
    go(rows, 90, 101, 40);
    go(rows, 90, 101, 6);
    go(rows, 30, 101, 40);
    const auto hot = import_of(text_of(rows, false), "washer-disinfector");
    REQUIRE(hot.cycles.size() == 1);
    CHECK(hot.cycles[0].verdict == "reached");
    CHECK(check_of(hot.cycles[0], "a0-seconds")->found >= 600);
    CHECK(check_of(hot.cycles[0], "a0-seconds")->margin ==
          doctest::Approx(check_of(hot.cycles[0], "a0-seconds")->found - 600));
    for (Row& row : rows) row.temperature_c = std::min(row.temperature_c, 80.0);
    const auto warm = import_of(text_of(rows, false), "washer-disinfector");
    CHECK(warm.cycles[0].verdict == "not-reached");
    CHECK(warm.cycles[0].judged.number_at("a0").value_or(0) < 600);
  }

  TEST_CASE("what follows in a file changes nothing of the cycles before") {
    std::vector<Row> gravity;
    go(gravity, 121.5, 101, 90);
    go(gravity, 121.5, 101, 190);
    go(gravity, 25, 101, 150);
    go(gravity, 25, 101, 60);
    std::vector<Row> rows;
    std::string first;
    for (int cycles = 1; cycles <= 5; ++cycles) {
      rows.insert(rows.end(), gravity.begin(), gravity.end());
      const auto import = import_of(text_of(rows, false), "steam-sterilizer");
      REQUIRE(import.cycles.size() == static_cast<std::size_t>(cycles));
      const json::Value document = importer::to_json(import, false);
      const std::string one = json::plain(document.find("cycles")->items()[0]);
      if (cycles == 1) first = one;
      CHECK(one == first);
    }
  }
}
