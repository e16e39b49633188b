// A ten-year ledger:
//
//   bench_ten_years [YEARS] [PATH]    default 10 years in /tmp/trayproof-decade-YEARS.trayproof, kept for the next run
#include <cstdio>
#include <cstdlib>

#include "tests/bench/ten_years.h"

using namespace trayproof;

int main(int argc, char** argv) {
  bench::Decade decade;
  if (argc > 1) decade.years = std::atoi(argv[1]);
  const std::string path = argc > 2 ? argv[2] : "/tmp/trayproof-decade-" + std::to_string(decade.years) + ".trayproof";
  const auto done = bench::record_decade(path, decade);
  if (!done.ok()) return std::fprintf(stderr, "bench_ten_years: %s\n", done.error().sentence().c_str()), 1;
  return 0;
}
