// What writing a workbook costs against the bare library, in one run:
//
//   bench_workbook [PROCEDURES]     of the period; default 5,000, a quarter of a hospital with 12,000 births and 8,000
//                                   operations a year
//
// The book as `report` writes it, laid out from its facts, against libxlsxwriter's constant-memory mode writing the
// same cells, formats and links, laid out beforehand, with no row heights and no checks (aim: at least 0.85 of its rows
// a second).
//
// Once each in a process of its own, so that its peak memory is its own (aim: below 128 MiB with the record); then one
// after the other in one process, as often as it takes to tell them apart.
#include <sys/resource.h>
#include <unistd.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include "report/workbook/facts.h"
#include "tests/bench/bare_book.h"
#include "tests/bench/floor.h"

using namespace trayproof;
using namespace trayproof::workbook;
using bench::Measured;

namespace {

constexpr int times = 11;
constexpr Instant begin{1'767'225'600'000};  // 2026-01-01T00:00:00Z

std::string numbered_id(const char* prefix, std::size_t number) { return prefix + std::to_string(100'000 + number); }

CaseRow case_row(std::size_t i) {
  CaseRow row;
  row.procedure = numbered_id("PR-", i);
  row.at = Instant{begin.ms + static_cast<std::int64_t>(i) * 25 * minute_ms};
  row.sort = "delivery";
  row.place = "labour room 2";
  row.patient = "9f1c66a0b5d24e4f8a3bb0c1d2e3f405";
  row.newborns = {"0b7d1c22aa904f35b6cc7f1e0d9a8b76"};
  for (std::size_t k = 0; k < 2 + i % 2; ++k) {
    CasePack pack;
    pack.pack = numbered_id("PK-", i * 3 + k);
    pack.set = "DEL-03";
    pack.load = numbered_id("L-", i / 5);
    pack.load_ids = {pack.load};
    pack.hold = "31.5 min (read)";
    pack.indicator = "inside pass, load: outside pass";
    pack.biological = "between negatives of " + pack.load + " and " + numbered_id("L-", i / 5 + 7);
    pack.release = "released 2026-01-04 11:40 by nurse-2";
    pack.solution = numbered_id("S-", i / 20);
    pack.solution_ids = {pack.solution};
    row.packs.push_back(std::move(pack));
  }
  if (i % 9 == 0) row.gaps = {"indicator-unread PK-100001", "entered-late"};
  return row;
}

Facts quarter(std::size_t procedures) {
  Facts facts;
  facts.facility = "Invented district hospital";
  facts.zone = Zone::utc();
  facts.from = begin;
  facts.until = facts.data_as_of = Instant{begin.ms + 90 * day_ms};
  facts.program = "bench";
  for (std::size_t i = 0; i < procedures; ++i) facts.cases.push_back(case_row(i));
  for (std::size_t i = 0; i < procedures / 5; ++i) {
    LoadRow row;
    row.load = numbered_id("L-", i);
    row.method = "steam-gravity";
    row.equipment = "AC-" + std::to_string(i % 4);
    row.started = Instant{begin.ms + static_cast<std::int64_t>(i) * 125 * minute_ms};
    row.ended = Instant{row.started->ms + 70 * minute_ms};
    row.complete = "yes";
    row.packs = 13;
    row.temperature_c = 121.4;
    row.pressure_kpa_gauge = 106;
    row.hold_min = 31.5;
    row.indicators = "inside pass 13, outside pass 1";
    row.biological = "between negatives of L-100001 and L-100007";
    row.decision = "released";
    row.decided = row.ended;
    row.decided_by = "nurse-2";
    facts.holds.push_back({row.equipment, row.load, *row.started, 31.5, 30.0, 121.4, 121.0, 124.0});
    facts.loads.push_back(std::move(row));
  }
  for (const CaseRow& row : facts.cases) {
    for (const CasePack& pack : row.packs)
      facts.indicators.push_back({static_cast<std::int64_t>(facts.indicators.size()), row.at, pack.pack, pack.load,
                                  pack.load_ids, "inside", "5", "CI-9", "pass", "nurse-2"});
  }
  for (std::size_t i = 0; i < procedures / 20; ++i) {
    SolutionRow row;
    row.solution = numbered_id("S-", i);
    row.agent = "sodium-hypochlorite";
    row.use = "decontamination";
    row.prepared = begin;
    row.percent = 0.5;
    row.recipe = "stock 5 %: 1,000 ml, water 9,000 ml";
    facts.solutions.push_back(std::move(row));
  }
  return facts;
}

struct Answer {
  double seconds = 0;
  double rows = 0;
  double peak_mib = 0;
};

std::string scratch() { return "/tmp/trayproof-bench-" + std::to_string(::getpid()) + ".xlsx"; }

// The same program as a child.
Answer child(const char* what, std::size_t procedures) {
  std::array<char, 4096> self{};
  CHECK(::readlink("/proc/self/exe", self.data(), self.size() - 1) > 0);
  const std::string command = std::string(self.data()) + " --measure " + what + " " + std::to_string(procedures);
  std::FILE* out = ::popen(command.c_str(), "r");
  CHECK(out != nullptr);
  Answer answer;
  const int read = std::fscanf(out, "%lf %lf %lf", &answer.seconds, &answer.rows, &answer.peak_mib);
  CHECK(::pclose(out) == 0 && read == 3);
  return answer;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc == 4 && std::strcmp(argv[1], "--measure") == 0) {
    const Facts facts = quarter(static_cast<std::size_t>(std::atoll(argv[3])));
    const std::string path = scratch();
    const bool bare = std::strcmp(argv[2], "bare") == 0;
    const Measured measured = bare ? bench::bare_book(facts, path) : bench::whole_book(facts, path);
    ::unlink(path.c_str());
    struct ::rusage used {};
    ::getrusage(RUSAGE_SELF, &used);
    std::printf("%.6f %.0f %.1f\n", measured.seconds, measured.rows, static_cast<double>(used.ru_maxrss) / 1024);
    return 0;
  }
  const auto procedures = static_cast<std::size_t>(argc > 1 ? std::atoll(argv[1]) : 5'000);
  const Answer floor = child("bare", procedures);
  const Answer book = child("whole", procedures);
  std::printf("%.0f rows: bare %.2f s (%.0f rows/s); the book %.2f s (%.0f rows/s, peak %.0f MiB)\n", book.rows,
              floor.seconds, floor.rows / floor.seconds, book.seconds, book.rows / book.seconds, book.peak_mib);
  const bench::Ratios ratios = bench::ratios_of(quarter(procedures), scratch(), times);
  std::printf("rows a second of the bare library's, %d times: by the clock %s, at work %s (aim: at least 0.85)\n",
              times, bench::median_and_range(ratios.clock).c_str(), bench::median_and_range(ratios.cpu).c_str());
  return 0;
}
