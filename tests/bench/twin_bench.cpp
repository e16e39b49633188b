// The same curve again, measured on many: how often a genuine cycle of one sterilizer is taken for a copy of another
// one, how many copies are found, and how long one curve takes among ten thousand.
//
//   bench_twin [STORED [NEW [SORT]]]     default 2000 200 and all sorts; docs/import-reading.md has what came of it
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <string>

#include "tests/importer/judging/invented_cycles.h"
#include "tests/importer/judging/invented_library.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

struct Case {
  const char* name;
  Machine machine;
};

}  // namespace

int main(int count, char** arguments) {
  const int stored = count > 1 ? std::atoi(arguments[1]) : 2000;
  const int fresh = count > 2 ? std::atoi(arguments[2]) : 200;
  const Case cases[] = {
      {"by hand, 10 s, 0.1 K", {}},
      {"by hand, 60 s, 0.1 K", {.step_s = 60}},
      {"by hand, 60 s, 0.5 K", {.step_s = 60, .resolution_k = 0.5}},
      {"automatic, 1 s, 0.01 K", {.step_s = 1, .resolution_k = 0.01, .noise_k = 0.03, .hold_min = 6, .repeat = 0.01}},
      {"automatic, 10 s, 0.1 K", {.control_k = 0.15, .repeat = 0.01, .hold_jitter_s = 2, .settle_k = 0.03}},
      {"automatic, 60 s, 0.1 K",
       {.step_s = 60, .control_k = 0.15, .repeat = 0.01, .hold_jitter_s = 2, .settle_k = 0.03}},
      {"very even, 10 s, 0.01 K",
       {.resolution_k = 0.01, .control_k = 0.1, .repeat = 0.003, .hold_jitter_s = 1, .settle_k = 0.01}},
      {"very even, 60 s, 0.1 K",
       {.step_s = 60, .control_k = 0.1, .repeat = 0.003, .hold_jitter_s = 1, .settle_k = 0.01}},
  };
  std::printf("%d stored, %d new of each sort; found of 100\n", stored, fresh);
  std::printf("%-26s %8s %8s %7s %7s %7s %7s %7s %7s %7s %7s %7s %8s\n", "", "genuine", "averaged", "exact", "shifted",
              "offset", "step x2", "step x.7", "minute", "noise", "means", "min+noi", "ms/curve");
  const int only = count > 3 ? std::atoi(arguments[3]) : -1;
  for (const Case& one : cases) {
    if (only >= 0 && &one != cases + only) continue;
    std::mt19937 random(20261005);
    InventedLibrary library;
    for (int i = 0; i < stored; ++i) library.add(cycle_of(one.machine, random));
    int alarms = 0;
    const std::clock_t began = std::clock();  // of this process: others may work beside it
    for (int i = 0; i < fresh; ++i) alarms += library.find(cycle_of(one.machine, random)) ? 1 : 0;
    const double ms = 1000.0 * static_cast<double>(std::clock() - began) / CLOCKS_PER_SEC / fresh;
    std::printf("%-26s %8.2f", one.name, 100.0 * alarms / fresh);
    const double step = one.machine.step_s;
    // A logger that writes means: genuine cycles too, and no copies.
    const Copying means{.step_s = step < 60 ? 60 : 2 * step, .averaged = true};
    int of_means = 0;
    for (int i = 0; i < fresh; ++i) {
      const Recorded genuine = copy_of(cycle_of(one.machine, random), means, one.machine.resolution_k, random);
      of_means += library.find(genuine) ? 1 : 0;
    }
    std::printf(" %8.2f", 100.0 * of_means / fresh);
    const Copying ways[] = {{},
                            {.shift_s = 86'400 * 3 + 137},
                            {.offset_k = 0.4},
                            {.step_s = 2 * step},
                            {.step_s = 0.7 * step},
                            {.step_s = 60},
                            {.noise_k = std::max(one.machine.noise_k, 0.05)},
                            means,
                            {.step_s = 60, .noise_k = std::max(one.machine.noise_k, 0.05)}};
    for (const Copying& way : ways) {
      int found = 0;
      const int tried = std::min(fresh, 100);
      for (int i = 0; i < tried; ++i) {
        const std::size_t place = random() % library.size();
        const Recorded copy = copy_of(library.at(place), way, one.machine.resolution_k, random);
        found += library.find(copy) == place ? 1 : 0;
      }
      std::printf(" %7.0f", 100.0 * found / tried);
    }
    std::printf(" %8.2f\n", ms);
    std::fflush(stdout);
  }
  return 0;
}
