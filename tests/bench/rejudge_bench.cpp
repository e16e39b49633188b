// A year of a district hospital's curves judged again: once from what is kept beside the chain, once from the exports.
//
//   bench_rejudge [CURVES]     default 4000; set TMPDIR to memory, since making the ledger commits thousands of times
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "importer/judge_again.h"
#include "tests/importer/judging/invented_cycles.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

template <typename T>
T must(Result<T> result) {
  if (!result.ok()) {
    std::fprintf(stderr, "bench: %s\n", result.error().sentence().c_str());
    std::abort();
  }
  return std::move(result).value();
}

double seconds_since(std::chrono::steady_clock::time_point began) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
}

std::string time_text(Instant at) { return format_date_time({at, 0}); }

// An export of one cycle, a reading each ten seconds.
std::string export_text(const Recorded& cycle, Instant begin) {
  std::string out = "Time,T1 (°C)\n";
  char value[32];
  for (const judging::Sample& sample : cycle.series.samples) {
    std::snprintf(value, sizeof value, ",%.1f\n", sample.temperature_c[0]);
    out += time_text({begin.ms + std::llround(sample.elapsed_s * 1000)}) + value;
  }
  return out;
}

}  // namespace

int main(int count, char** arguments) {
  const int curves = count > 1 ? std::atoi(arguments[1]) : 4000;
  WardLedger ward;
  Ledger& ledger = ward.ledger();
  std::mt19937 random(20261005);
  const std::int64_t spacing_ms = 2 * hour_ms;
  const Instant first{noon().ms - curves * spacing_ms};
  std::string lines = R"({"kind":"equipment-registered","by":"ana","at":")" + time_text(first) +
                      R"(","equipment":"AC-1","sort":"steam-sterilizer"})"
                      "\n";
  for (int i = 0; i < curves; ++i) {
    const Instant at{first.ms + i * spacing_ms};
    const std::string load = "L-" + std::to_string(i);
    lines += R"({"kind":"load-started","by":"ana","at":")" + time_text(at) + R"(","load":")" + load +
             R"(","method":"steam-gravity","equipment":"AC-1","packs":["P-)" + std::to_string(i) +
             R"("],"temperature_c":121})"
             "\n"
             R"({"kind":"load-ended","by":"ana","at":")" +
             time_text({at.ms + 90 * minute_ms}) + R"(","load":")" + load +
             R"(","complete":true})"
             "\n";
  }
  ward.take(lines);
  auto tables = must(links::Links::open(ledger));
  if (!tables.catch_up().ok()) std::abort();
  const auto editions = must(ledger.editions());
  const importer::Source source{.equipment = "AC-1", .logger = "LG-1", .load = {}};
  const auto around = must(importer::surroundings(ledger, tables, editions, source));
  std::int64_t rows = 0;
  auto began = std::chrono::steady_clock::now();
  for (int i = 0; i < curves; ++i) {
    const Recorded cycle = cycle_of({}, random);
    rows += static_cast<std::int64_t>(cycle.series.samples.size());
    const std::string text = export_text(cycle, {first.ms + i * spacing_ms + 5 * minute_ms});
    const auto import = importer::read_and_judge(as_bytes(text), {}, around);
    const auto kept = must(importer::keep(ledger, tables, import, as_bytes(text), source));
    if (!kept.refusals.empty() || kept.curves != 1) std::abort();
  }
  std::printf("%d exports of %lld rows taken in: %.1f s\n", curves, static_cast<long long>(rows / curves),
              seconds_since(began));
  began = std::chrono::steady_clock::now();
  if (!tables.catch_up().ok()) std::abort();
  std::printf("tables caught up: %.2f s\n", seconds_since(began));
  const auto again = [&](const char* what, double error_k, bool write) {
    began = std::chrono::steady_clock::now();
    const auto done = must(importer::judge_again(ledger, tables, editions, "LG-1", {}, error_k, write));
    int reached = 0;
    for (const auto& one : done.curves) reached += one.cycle && one.cycle->verdict == "reached" ? 1 : 0;
    std::printf("%-34s %6.2f s  %zu curves, %d reached, %lld exports read, %lld judgements recorded\n", what,
                seconds_since(began), done.curves.size(), reached, static_cast<long long>(done.exports_read),
                static_cast<long long>(done.kept.curves));
  };
  again("kept curves, not recorded", 0.5, false);
  again("kept curves, recorded", 0.5, true);
  if (!ledger.file().database().run("DELETE FROM curves").ok()) std::abort();
  again("exports, not recorded", 0.3, false);
  again("exports, kept again and recorded", 0.3, true);
  return 0;
}
