// `record --from` of 300,000 events against the floor: the same rows into a bare SQLite table with the same columns,
// indexes, journal mode, durability and batch, in the same run. Prints the rates and their ratio (aim: above 0.5).
#include <unistd.h>

#include "ledger/ledger.h"
#include "ledger/sop/default.h"
#include "tests/bench/floor.h"

using namespace trayproof;

namespace {

Result<double> record_rate(const std::string& path, const std::string& lines, std::int64_t& events) {
  SystemClock clock;
  ::unlink(path.c_str());
  ::unlink((path + ".keys").c_str());
  TRY_LET(auto ledger, Ledger::create(path, {.title = "Bench", .zone = "Etc/GMT-5", .altitude_m = 1180, .sop_toml = std::string(sop::default_sop())}, clock));
  const double began = bench::now_s();
  TRY_LET(const auto done, ledger.append_lines(lines, {}));
  const double seconds = bench::now_s() - began;
  events = done.taken;
  CHECK(done.refusals.empty());
  return static_cast<double>(done.taken) / seconds;
}

// Copies the rows of a ledger into a bare table in one transaction; only the insertion is timed.
Result<double> floor_rate(const std::string& ledger_path, const std::string& path) {
  ::unlink(path.c_str());
  TRY_LET(auto source, store::Database::open(ledger_path, store::Access::read));
  struct Row {
    std::string entry;
    Bytes hash, sig, content;
    std::string slip;
  };
  std::vector<Row> rows;
  TRY_LET(auto read, source.prepare("SELECT entry, hash, sig, slip, content FROM entries ORDER BY seq"));
  while (true) {
    TRY_LET(const bool row, read.step());
    if (!row) break;
    const auto bytes = [&](int column) { return Bytes(read.blob(column).begin(), read.blob(column).end()); };
    rows.push_back({.entry = std::string(read.text(0)), .hash = bytes(1), .sig = bytes(2), .content = bytes(4), .slip = std::string(read.text(3))});
  }
  TRY_LET(auto bare, store::Database::create(path));
  TRY(bare.run("PRAGMA journal_mode = DELETE; PRAGMA synchronous = EXTRA; PRAGMA cache_size = -65536;"
               "CREATE TABLE e (seq INTEGER PRIMARY KEY, entry TEXT NOT NULL, hash BLOB NOT NULL, sig BLOB NOT NULL, slip TEXT, content BLOB NOT NULL);"
               "CREATE UNIQUE INDEX e1 ON e (slip) WHERE slip IS NOT NULL; CREATE INDEX e2 ON e (content)"));
  TRY_LET(auto write, bare.prepare("INSERT INTO e VALUES (?, ?, ?, ?, ?, ?)"));
  const double began = bench::now_s();
  TRY(bare.begin());
  std::int64_t seq = 0;
  for (const Row& row : rows) {
    write.bind(1, ++seq).bind_view(2, row.entry).bind_view(3, ByteView(row.hash)).bind_view(4, ByteView(row.sig));
    if (row.slip.empty()) write.bind_null(5);
    else write.bind_view(5, row.slip);
    write.bind_view(6, ByteView(row.content));
    TRY(write.run());
  }
  TRY(bare.commit());
  return static_cast<double>(rows.size()) / (bench::now_s() - began);
}

}  // namespace

int main() {
  const std::string folder = "/tmp/trayproof-bench-" + std::to_string(::getpid());
  const std::string ledger_path = folder + ".trayproof";
  const std::string lines = bench::facility_lines(300'000, nullptr);
  std::vector<double> ratios;
  for (int run = 0; run < 3; ++run) {
    std::int64_t events = 0;
    const auto rate = record_rate(ledger_path, lines, events);
    if (!rate.ok()) return std::fprintf(stderr, "%s\n", rate.error().sentence().c_str()), 1;
    const auto floor = floor_rate(ledger_path, folder + ".bare");
    if (!floor.ok()) return std::fprintf(stderr, "%s\n", floor.error().sentence().c_str()), 1;
    ratios.push_back(rate.value() / floor.value());
    std::printf("record %lld events: %.0f a second; bare table: %.0f a second; ratio %.2f\n", static_cast<long long>(events), rate.value(),
                floor.value(), ratios.back());
  }
  std::printf("record: median ratio %.2f (aim: above 0.50)\n", bench::percentile(ratios, 0.5));
  for (const char* ending : {".trayproof", ".trayproof.keys", ".bare"}) ::unlink((folder + ending).c_str());
  return 0;
}
