#include "importer/physics/lethality.h"

#include <cmath>
#include <random>
#include <vector>

#include "tests/support/test.h"

using namespace trayproof::physics;

namespace {

double f0_minutes(std::initializer_list<Point> points, double reference_c = 121.1) {
  const std::vector<Point> all(points);
  Reference reference = f0_reference;
  reference.temperature.value = reference_c;
  return lethality(all, reference, {}).seconds / 60;
}

// The slow obvious way: a thousand short steps of the rate between two readings.
double slow(const std::vector<Point>& points, const Reference& reference) {
  double sum = 0;
  for (std::size_t i = 1; i < points.size(); ++i) {
    const double step = points[i].at_s - points[i - 1].at_s;
    for (int k = 0; k < 1000; ++k) {
      const double part = (k + 0.5) / 1000;
      const double c =
          points[i - 1].temperature.value + part * (points[i].temperature.value - points[i - 1].temperature.value);
      sum += lethal_rate({c}, reference) * step / 1000;
    }
  }
  return sum;
}

}  // namespace

TEST_SUITE("importer/physics/lethality.h") {
  // check by an independent program; L(120) = 0.776 is printed in FAO Fisheries Technical Paper 285.
  TEST_CASE("lethal rates at three reference temperatures") {
    const double table[][4] = {
        {90, 0.00078, 0.00077, 0.00079},     {100, 0.00776, 0.00774, 0.00794},    {110, 0.07762, 0.07745, 0.07943},
        {115, 0.24547, 0.24491, 0.25119},    {118, 0.48978, 0.48865, 0.50119},    {120, 0.77625, 0.77446, 0.79433},
        {121, 0.97724, 0.97499, 1.00000},    {121.1, 1.00000, 0.99770, 1.02329},  {124, 1.94984, 1.94536, 1.99526},
        {132, 12.30269, 12.27439, 12.58925}, {134, 19.49845, 19.45360, 19.95262}, {137, 38.90451, 38.81504, 39.81072}};
    for (const auto& row : table) {
      const double references[] = {121.1, 121.11, 121.0};
      for (int i = 0; i < 3; ++i) {
        const Reference reference{.temperature = {references[i]}, .z_k = 10, .counted_from = {}};
        CHECK(std::abs(lethal_rate({row[0]}, reference) - row[i + 1]) < 5e-6 + 1e-9);
      }
    }
  }

  // z of 18 °F at 250 °F: US canning practice, three digits as printed in its tables (from memory).
  TEST_CASE("lethal rates in degrees Fahrenheit") {
    const double table[][2] = {{230, 0.0774}, {240, 0.2783}, {248, 0.7743}, {250, 1}, {252, 1.2915}, {260, 3.5938}};
    const Reference reference{.temperature = celsius(250, TemperatureUnit::fahrenheit), .z_k = 10, .counted_from = {}};
    for (const auto& [fahrenheit, rate] : table) {
      CHECK(std::abs(lethal_rate(celsius(fahrenheit, TemperatureUnit::fahrenheit), reference) - rate) < 6e-5);
    }
  }

  TEST_CASE("ramps are integrated in closed form") {
    CHECK(f0_minutes({{0, {100}}, {21.1 * 60, {121.1}}}) == doctest::Approx(4.309233).epsilon(1e-6));
    CHECK(f0_minutes({{0, {121.1}}, {600, {100}}}) == doctest::Approx(2.042290).epsilon(1e-6));
  }

  // A ramp that is cut finer does not change: the trapezoid gives 10.631894 with one step and 4.313 with fifty.
  TEST_CASE("a ramp is the same however finely it is logged") {
    for (const int steps : {1, 2, 5, 10, 20, 50, 211}) {
      std::vector<Point> points;
      for (int i = 0; i <= steps; ++i) points.push_back({21.1 * 60 * i / steps, {100 + 21.1 * i / steps}});
      const Lethality found = lethality(points, f0_reference, {});
      CHECK(found.seconds / 60 == doctest::Approx(4.309233).epsilon(1e-6));
      CHECK(found.seconds_low < found.seconds);
    }
  }

  // MRC, EN 285, CDC and others as collected by the Central Sterilising Club (2025), table 10.2.
  TEST_CASE("F0 of the published pairs of time and temperature") {
    const double table[][4] = {{115, 30, 7.36, 7.54},  {121, 15, 14.66, 15.00}, {126, 10, 30.90, 31.62},
                               {132, 4, 49.21, 50.36}, {134, 3, 58.50, 59.86},  {134, 18, 350.97, 359.15},
                               {121, 20, 19.55, 20},   {121, 30, 29.32, 30}};
    for (const auto& row : table) {
      CHECK(f0_minutes({{0, {row[0]}}, {row[1] * 60, {row[0]}}}) == doctest::Approx(row[2]).epsilon(1e-3));
      CHECK(f0_minutes({{0, {row[0]}}, {row[1] * 60, {row[0]}}}, 121.0) == doctest::Approx(row[3]).epsilon(1e-3));
    }
  }

  // FAO Fisheries Technical Paper 285: the sum of the rates of a whole process, 2.925 at five minutes apart, is
  // F0 14.6; its heating phase, the last reading (0.776) half weighted, is 8.65. The last reading is 120.0 degrees.
  TEST_CASE("the FAO worked example in its own arithmetic") {
    CHECK(5 * 2.925 == doctest::Approx(14.6).epsilon(0.005));
    CHECK(5 * (1.342 + 0.776 / 2) == doctest::Approx(8.65));
    CHECK(lethal_rate({120}, f0_reference) == doctest::Approx(0.776).epsilon(1e-3));
  }

  // Jhpiego/IARC, JADA 1991 and others; F_H by an independent program.
  TEST_CASE("F_H of the traditional dry heat pairs is not one number") {
    const double table[][3] = {{180, 30, 94.9}, {170, 60, 60.0}, {160, 120, 37.9}, {150, 150, 15.0}, {140, 180, 5.7}};
    for (const auto& row : table) {
      const std::vector<Point> points = {{0, {row[0]}}, {row[1] * 60, {row[0]}}};
      CHECK(lethality(points, fh_reference, {}).seconds / 60 == doctest::Approx(row[2]).epsilon(0.01));
    }
  }

  // ISO 15883-1 annex B, as its users print it: 90 degrees for one minute is 600, 93 for five is 5,986.
  TEST_CASE("A0 counts seconds at 80 degrees from 65 up") {
    const double table[][3] = {{70, 600, 60},   {80, 600, 600},  {90, 60, 600},
                               {90, 300, 3000}, {93, 300, 5986}, {65, 1897.37, 60}};
    for (const auto& row : table) {
      const std::vector<Point> points = {{0, {row[0]}}, {row[1], {row[0]}}};
      CHECK(lethality(points, a0_reference, {}).seconds == doctest::Approx(row[2]).epsilon(1e-3));
    }
    const std::vector<Point> below = {{0, {64.9}}, {36000, {64.9}}};
    CHECK(lethality(below, a0_reference, {}).seconds == 0);
  }

  TEST_CASE("a ramp through 65 degrees counts only its upper part") {
    const std::vector<Point> whole = {{0, {55}}, {200, {75}}};
    const std::vector<Point> upper = {{100, {65}}, {200, {75}}};
    CHECK(lethality(whole, a0_reference, {}).seconds == doctest::Approx(lethality(upper, a0_reference, {}).seconds));
  }

  // Favero 1985 as cited by the Jhpiego/IARC manual: twenty minutes boiling at 5,500 m (81.57 degrees) is A0 1,722.
  TEST_CASE("twenty minutes of boiling high up") {
    const std::vector<Point> points = {{0, {81.57}}, {1200, {81.57}}};
    CHECK(lethality(points, a0_reference, {}).seconds == doctest::Approx(1722).epsilon(0.001));
  }

  TEST_CASE("a gap past the limit counts as nothing") {
    const std::vector<Point> points = {{0, {121.1}}, {60, {121.1}}, {660, {121.1}}, {720, {121.1}}};
    CHECK(lethality(points, f0_reference, {}).seconds == doctest::Approx(720));
    CHECK(lethality(points, f0_reference, 120).seconds == doctest::Approx(120));
  }

  TEST_CASE("the lower bound takes the lower rate of each pair") {
    const std::vector<Point> points = {{0, {121.1}}, {60, {131.1}}, {120, {121.1}}};
    CHECK(lethality(points, f0_reference, {}).seconds_low == doctest::Approx(120));
  }

  TEST_CASE("the logger's accuracy makes a band") {
    const std::vector<Point> points = {{0, {121.1}}, {600, {121.1}}};
    const Band band = accuracy_band(points, f0_reference, {}, 0.5);
    CHECK(band.seconds_low == doctest::Approx(600 * std::pow(10, -0.05)));
    CHECK(band.seconds_high == doctest::Approx(600 * std::pow(10, 0.05)));
  }

  TEST_CASE("closed form and slow sum agree on seeded curves") {
    std::mt19937 random(20240514);
    std::uniform_real_distribution<double> step(1, 120);
    std::uniform_real_distribution<double> change(-6, 7);
    for (int round = 0; round < 40; ++round) {
      std::vector<Point> points = {{0, {90}}};
      for (int i = 0; i < 40; ++i) {
        points.push_back({points.back().at_s + step(random), {points.back().temperature.value + change(random)}});
      }
      CHECK(lethality(points, f0_reference, {}).seconds == doctest::Approx(slow(points, f0_reference)).epsilon(1e-5));
      const Lethality found = lethality(points, fh_reference, {});
      CHECK(found.seconds == doctest::Approx(slow(points, fh_reference)).epsilon(1e-5));
      CHECK(found.seconds_low <= found.seconds);
    }
  }
}
