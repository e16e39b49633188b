// `record --from` of 300,000 events against the floor: the same rows into bare SQLite tables with the same columns,
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
  TRY_LET(auto ledger,
          Ledger::create(
              path,
              {.title = "Bench", .zone = "Etc/GMT-5", .altitude_m = 1180, .sop_toml = std::string(sop::default_sop())},
              clock));
  const double began = bench::now_s();
  TRY_LET(const auto done, ledger.append_lines(lines, {}));
  const double seconds = bench::now_s() - began;
  events = done.taken;
  CHECK(done.refusals.empty());
  return static_cast<double>(done.taken) / seconds;
}

struct Cell {
  int sort = 0;  // 0 null, 1 integer, 2 text, 3 blob
  std::int64_t integer = 0;
  std::string bytes;
};
using Rows = std::vector<std::vector<Cell>>;

Result<Rows> rows_of(store::Database& source, const std::string& sql, const std::vector<int>& sorts) {
  Rows rows;
  TRY_LET(auto read, source.prepare(sql));
  while (true) {
    TRY_LET(const bool more, read.step());
    if (!more) return rows;
    std::vector<Cell> row;
    for (std::size_t i = 0; i < sorts.size(); ++i) {
      const int column = static_cast<int>(i);
      Cell cell;
      if (!read.is_null(column)) cell.sort = sorts[i];
      if (cell.sort == 1) cell.integer = read.integer(column);
      if (cell.sort == 2) cell.bytes = read.text(column);
      if (cell.sort == 3) cell.bytes = as_text(read.blob(column));
      row.push_back(std::move(cell));
    }
    rows.push_back(std::move(row));
  }
}

Result<void> insert(store::Database& bare, const std::string& sql, const Rows& rows) {
  TRY_LET(auto write, bare.prepare(sql));
  for (const auto& row : rows) {
    for (std::size_t i = 0; i < row.size(); ++i) {
      const int parameter = static_cast<int>(i) + 1;
      const Cell& cell = row[i];
      if (cell.sort == 0) write.bind_null(parameter);
      if (cell.sort == 1) write.bind(parameter, cell.integer);
      if (cell.sort == 2) write.bind_view(parameter, std::string_view(cell.bytes));
      if (cell.sort == 3) write.bind_view(parameter, as_bytes(cell.bytes));
    }
    TRY(write.run());
  }
  return {};
}

// All the rows that recording wrote (entries and what stands beside them), into bare tables with the same indexes in
// one transaction; only the insertion is timed. Prints entries a second.
Result<double> floor_rate(const std::string& ledger_path, const std::string& path) {
  ::unlink(path.c_str());
  TRY_LET(auto source, store::Database::open(ledger_path, store::Access::read));
  TRY_LET(const auto entries,
          rows_of(source, "SELECT seq, entry, hash, sig, slip, content FROM entries ORDER BY seq", {1, 2, 3, 3, 2, 3}));
  TRY_LET(const auto ids,
          rows_of(source, "SELECT sort, id, origin, detail FROM introduced ORDER BY sort, id", {2, 2, 1, 2}));
  TRY_LET(const auto texts, rows_of(source, "SELECT sha256, salt, text FROM texts ORDER BY salt", {3, 3, 2}));
  TRY_LET(const auto patients,
          rows_of(source, "SELECT pseudonym, lookup, sealed_key, sealed_number FROM patients ORDER BY sealed_key",
                  {3, 3, 3, 3}));
  TRY_LET(auto bare, store::Database::create(path));
  TRY(bare.run(
      "PRAGMA journal_mode = DELETE; PRAGMA synchronous = EXTRA; PRAGMA secure_delete = ON; PRAGMA cache_size = -65536;"
      "CREATE TABLE e (seq INTEGER PRIMARY KEY, entry TEXT NOT NULL, hash BLOB NOT NULL, sig BLOB NOT NULL, slip TEXT, "
      "content BLOB NOT NULL) STRICT;"
      "CREATE UNIQUE INDEX e1 ON e (slip) WHERE slip IS NOT NULL; CREATE INDEX e2 ON e (content);"
      "CREATE TABLE i (sort TEXT, id TEXT, origin INTEGER, detail TEXT, PRIMARY KEY (sort, id)) STRICT, WITHOUT ROWID;"
      "CREATE TABLE t (sha256 BLOB NOT NULL UNIQUE, salt BLOB, text TEXT) STRICT;"
      "CREATE TABLE p (pseudonym BLOB NOT NULL UNIQUE, lookup BLOB UNIQUE, k BLOB, n BLOB) STRICT"));
  const double began = bench::now_s();
  TRY(bare.begin());
  TRY(insert(bare, "INSERT INTO e VALUES (?, ?, ?, ?, ?, ?)", entries));
  TRY(insert(bare, "INSERT INTO i VALUES (?, ?, ?, ?)", ids));
  TRY(insert(bare, "INSERT INTO t VALUES (?, ?, ?)", texts));
  TRY(insert(bare, "INSERT INTO p VALUES (?, ?, ?, ?)", patients));
  TRY(bare.commit());
  return static_cast<double>(entries.size()) / (bench::now_s() - began);
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
    std::printf("record %lld events: %.0f a second; bare table: %.0f a second; ratio %.2f\n",
                static_cast<long long>(events), rate.value(), floor.value(), ratios.back());
  }
  std::printf("record: median ratio %.2f (aim: above 0.50)\n", bench::percentile(ratios, 0.5));
  for (const char* ending : {".trayproof", ".trayproof.keys", ".bare"}) ::unlink((folder + ending).c_str());
  return 0;
}
