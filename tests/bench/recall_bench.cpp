// The computation of a recall against a hand-written query (recall_floor.sql) that yields the same loads, packs with
// standings and procedures over the same indexed tables, on a ledger of 300,000 events: the ratio of medians (aim: at
// most 1.2), and the 99th percentile of computation and re-reading together over 1,000 failed loads (aim: under 10 ms).
#include <unistd.h>

#include "ledger/base/files.h"
#include "ledger/ledger.h"
#include "ledger/links/links.h"
#include "ledger/recall/recall.h"
#include "ledger/sop/default.h"
#include "tests/bench/floor.h"

using namespace trayproof;

namespace {

constexpr int questions = 1000;

struct Measured {
  std::vector<double> compute, floor, whole;
  std::size_t rows = 0, floor_rows = 0;
};

// One row of the query as values, which is what whoever asks wants of it.
struct FloorRow {
  std::string what;
  std::optional<std::string> texts[6];
  std::optional<std::int64_t> numbers[3];
};

Result<std::vector<FloorRow>> rows_of(store::Statement& query, const std::string& load) {
  // Which columns hold numbers, by what the row is.
  static constexpr int of_load[] = {3, 4, 5};
  static constexpr int of_pack[] = {4, 7, 8};
  static constexpr int of_procedure[] = {2, 2, 2};
  std::vector<FloorRow> rows;
  query.bind(1, load);
  while (true) {
    TRY_LET(const bool more, query.step());
    if (!more) return rows;
    FloorRow& row = rows.emplace_back();
    row.what = query.text(0);
    const int(&numbers)[3] = row.what == "load" ? of_load : row.what == "pack" ? of_pack : of_procedure;
    int number = 0;
    int text = 0;
    for (int column = 1; column < 9; ++column) {
      if (number < 3 && numbers[number] == column)
        row.numbers[number++] = query.maybe_integer(column);
      else if (text < 6)
        row.texts[text++] = query.maybe_text(column);
    }
  }
}

Result<Measured> measure(const std::string& path, const std::string& sql) {
  SystemClock clock;
  std::vector<std::string> loads;
  const std::string lines = bench::facility_lines(300'000, &loads);
  TRY_LET(auto ledger,
          Ledger::create(
              path,
              {.title = "Bench", .zone = "Etc/GMT-5", .altitude_m = 1180, .sop_toml = std::string(sop::default_sop())},
              clock));
  TRY_LET(const auto taken, ledger.append_lines(lines, {}));
  CHECK(taken.refusals.empty());
  TRY_LET(auto tables, links::Links::open(ledger));
  const double began = bench::now_s();
  TRY(tables.catch_up());
  std::printf("tables of %lld events derived in %.1f s\n", static_cast<long long>(taken.last), bench::now_s() - began);
  TRY_LET(const auto editions, ledger.editions());
  TRY_LET(auto query, tables.database().prepare(sql));
  Measured out;
  std::uint64_t state = 88172645463325252ULL;
  for (int i = 0; i < questions; ++i) {
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    const std::string& load = loads[state % loads.size()];
    recall::Request request;
    request.because = recall::Because::biological_positive;
    request.load = load;
    double whole = bench::now_s();
    TRY_LET(const auto answer, recall::answer(request, tables, editions));
    whole = bench::now_s() - whole;
    double floor = bench::now_s();
    TRY_LET(const auto rows, rows_of(query, load));
    floor = bench::now_s() - floor;
    out.floor_rows += rows.size();
    out.rows += answer.loads.size() + answer.packs.size() + answer.procedures.size();
    out.compute.push_back(answer.seconds);
    out.floor.push_back(floor);
    out.whole.push_back(answer.seconds + answer.reread_seconds);
    CHECK(answer.loads.size() > 1);
  }
  return out;
}

}  // namespace

int main() {
  const std::string path = "/tmp/trayproof-bench-" + std::to_string(::getpid()) + ".trayproof";
  const auto sql = read_file(std::string(TRAYPROOF_SOURCE_DIR) + "/tests/bench/recall_floor.sql", 1 << 20);
  if (!sql.ok()) return std::fprintf(stderr, "%s\n", sql.error().sentence().c_str()), 1;
  std::string text(as_text(sql.value()));
  const auto found = measure(path, text);
  for (const char* ending : {"", ".keys", ".links", ".links-journal"}) ::unlink((path + ending).c_str());
  if (!found.ok()) return std::fprintf(stderr, "%s\n", found.error().sentence().c_str()), 1;
  const Measured& m = found.value();
  std::vector<double> ratios;  // of five parts of the run, each by its medians
  for (std::size_t part = 0; part < 5; ++part) {
    const auto from = static_cast<std::ptrdiff_t>(part * m.compute.size() / 5);
    const auto until = static_cast<std::ptrdiff_t>((part + 1) * m.compute.size() / 5);
    const std::vector<double> compute(m.compute.begin() + from, m.compute.begin() + until);
    const std::vector<double> floor(m.floor.begin() + from, m.floor.begin() + until);
    ratios.push_back(bench::percentile(compute, 0.5) / bench::percentile(floor, 0.5));
  }
  std::printf("%.0f rows an answer (query: %.0f)\n", static_cast<double>(m.rows) / questions,
              static_cast<double>(m.floor_rows) / questions);
  std::printf(
      "recall computation: p50 %.3f ms, p99 %.3f ms; query: p50 %.3f ms, p99 %.3f ms; ratio %.2f (median of 5; aim: at "
      "most 1.20)\n",
      1e3 * bench::percentile(m.compute, 0.5), 1e3 * bench::percentile(m.compute, 0.99),
      1e3 * bench::percentile(m.floor, 0.5), 1e3 * bench::percentile(m.floor, 0.99), bench::percentile(ratios, 0.5));
  std::printf("computation and re-reading: p50 %.3f ms, p99 %.3f ms (aim: p99 under 10 ms)\n",
              1e3 * bench::percentile(m.whole, 0.5), 1e3 * bench::percentile(m.whole, 0.99));
  return 0;
}
