// Published values; the source stands beside each.
#include "report/answers/statistics.h"

#include <cmath>
#include <string>

#include "tests/support/test.h"

using namespace trayproof::answers;

TEST_CASE("Wilson intervals are those of the published tables") {
  struct Row {
    std::int64_t found, of;
    double low, high;
  };
  const Row rows[] = {
      {13, 16, 0.5699, 0.9341},   // Fagerland, Lydersen and Laake, Statistical analysis of contingency tables, ch. 2
      {81, 263, 0.2553, 0.3662},  // Newcombe 1998, table I, from memory; recomputed
      {15, 148, 0.0624, 0.1605},  // Newcombe 1998, from memory; recomputed
      {0, 20, 0, 0.1611},         // Newcombe 1998, from memory; recomputed
      {1, 29, 0.0061, 0.1718},    // Newcombe 1998, from memory; recomputed
      {0, 10, 0, 0.2775},        {1, 10, 0.0179, 0.4042}, {0, 30, 0, 0.1135}, {0, 52, 0, 0.0688},  // recomputed apart
  };
  for (const Row& row : rows) {
    const Interval one = wilson(row.found, row.of);
    CHECK(std::abs(one.low - row.low) < 0.00006);
    CHECK(std::abs(one.high - row.high) < 0.00006);
  }
  CHECK(wilson(7, 7).high == 1);
}

TEST_CASE("Fisher's exact test gives the values that the help of R prints") {
  // fisher.test, TeaTasting (Fisher 1935; Agresti 1990): 3 1 1 3, greater 0.2429, two sided 0.4857.
  CHECK(fisher_more({3, 1, 1, 3}) == doctest::Approx(0.242857).epsilon(1e-5));
  CHECK(fisher_two_sided({3, 1, 1, 3}) == doctest::Approx(0.485714).epsilon(1e-5));
  // fisher.test, Convictions of like-sex twins (Fisher 1962): 2 10 against 15 3, two sided 0.0005367.
  CHECK(fisher_two_sided({2, 10, 15, 3}) == doctest::Approx(0.0005367).epsilon(1e-3));
  CHECK(fisher_more({10, 2, 3, 15}) == doctest::Approx(0.0004652).epsilon(1e-3));
}

TEST_CASE("Fisher's exact test agrees with counting every way to draw") {
  // Every choice of `with` out of n, by Pascal's triangle in whole numbers.
  std::int64_t choose[13][13] = {};
  for (int n = 0; n <= 12; ++n) {
    choose[n][0] = 1;
    for (int k = 1; k <= n; ++k) choose[n][k] = choose[n - 1][k - 1] + (k <= n - 1 ? choose[n - 1][k] : 0);
  }
  for (int a = 0; a <= 3; ++a) {
    for (int b = 0; b <= 3; ++b) {
      for (int c = 0; c <= 3; ++c) {
        for (int d = 0; d <= 3; ++d) {
          if (a + b == 0 || c + d == 0) continue;
          const int with = a + c;
          const std::int64_t here = choose[a + b][a] * choose[c + d][c];
          std::int64_t unlikely = 0;
          std::int64_t more = 0;
          for (int k = 0; k <= with; ++k) {
            if (k > a + b || with - k > c + d) continue;
            const std::int64_t ways = choose[a + b][k] * choose[c + d][with - k];
            if (ways <= here) unlikely += ways;
            if (k >= a) more += ways;
          }
          const auto all = static_cast<double>(choose[a + b + c + d][with]);
          CHECK(fisher_two_sided({a, b, c, d}) == doctest::Approx(static_cast<double>(unlikely) / all));
          CHECK(fisher_more({a, b, c, d}) == doctest::Approx(static_cast<double>(more) / all));
        }
      }
    }
  }
}

TEST_CASE("individuals charts have the limits of the published examples") {
  // NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.
  const IndividualsChart nist = individuals_chart({49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1});
  CHECK(nist.centre == doctest::Approx(50.81).epsilon(1e-6));
  CHECK(nist.mean_range == doctest::Approx(1.8778).epsilon(1e-4));
  CHECK(nist.upper == doctest::Approx(55.8041).epsilon(1e-6));
  CHECK(nist.lower == doctest::Approx(45.8159).epsilon(1e-6));
  for (const auto signal : nist.signals) CHECK(signal.empty());
  // Montgomery and Runger, Applied statistics and probability for engineers, table 16-3 (data; limits recomputed).
  const IndividualsChart viscosity =
      individuals_chart({102.0, 94.8, 98.3,  98.4, 102.0, 98.5, 99.0,  97.7,  100.0, 98.1,
                         101.3, 98.7, 101.1, 98.4, 97.0,  96.7, 100.3, 101.4, 97.2,  101.0});
  CHECK(viscosity.centre == doctest::Approx(99.095).epsilon(1e-6));
  CHECK(std::abs(viscosity.upper - 105.982) < 0.001);
  CHECK(std::abs(viscosity.lower - 92.208) < 0.001);
  CHECK(std::abs(viscosity.range_upper - 8.460) < 0.001);
  // Pyzdek, table 9.4 (data; limits recomputed with 2.66, which 3 / 1.128 rounds to).
  const IndividualsChart pyzdek = individuals_chart(
      {110, 103, 97, 96, 105, 110, 100, 93, 90, 103, 97, 103, 90, 97, 99, 106, 90, 96, 109, 90, 91, 108, 96, 101, 96});
  CHECK(std::abs(pyzdek.upper - 120.763) < 0.005);
  CHECK(std::abs(pyzdek.lower - 77.317) < 0.005);
}

TEST_CASE("a value beyond the limits and the ninth on one side are signals") {
  std::vector<double> values = {10, 11, 10, 11, 10, 11, 10, 11, 10, 30};
  CHECK(individuals_chart(values).signals.back() == "beyond-limits");
  // Nine below and nine above: the ninth of each is the first signal.
  values = {9.0, 9.8, 9.0, 9.8, 9.0, 9.8, 9.0, 9.8, 9.0, 10.2, 11.0, 10.2, 11.0, 10.2, 11.0, 10.2, 11.0, 10.2};
  const auto signals = individuals_chart(values).signals;
  CHECK(signals[7].empty());
  CHECK(signals[8] == "nine-one-side");
  CHECK(signals[16].empty());
  CHECK(signals[17] == "nine-one-side");
  CHECK(individuals_chart({}).signals.empty());
  CHECK(individuals_chart({4}).upper == 4);
}

TEST_CASE("run charts have the median and mark shifts and trends") {
  // By hand: median of 1 2 3 4 5 6 7 is 4.
  const RunChart rising = run_chart({1, 2, 3, 4, 5, 6, 7});
  CHECK(rising.median == 4);
  for (const auto signal : rising.signals) CHECK(signal == "trend");
  const RunChart shifted = run_chart({1, 2, 1, 2, 1, 2, 8, 9, 8, 9, 8, 9});
  CHECK(shifted.median == 5);
  CHECK(shifted.runs == 2);
  for (const auto signal : shifted.signals) CHECK(signal == "shift");
  const RunChart quiet = run_chart({5, 7, 4, 8, 6, 5, 7, 6});
  CHECK(quiet.median == 6);
  for (const auto signal : quiet.signals) CHECK(signal.empty());
  // Values on the median neither break nor lengthen a run: five on each side are no shift.
  const RunChart even = run_chart({1, 2, 1, 5, 2, 1, 8, 9, 8, 5, 9, 8, 5});
  CHECK(even.median == 5);
  CHECK(even.runs == 2);
  for (const auto signal : even.signals) CHECK(signal.empty());
}
