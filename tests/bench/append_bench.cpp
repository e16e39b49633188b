// Durable appends against the floor: the same rows into bare tables with the same columns, indexes, journal mode and
// durability, in the same run. One by one (aim: at least 0.55 of the floor), by 32 recorders who share commits (at
// least 4 times one by one), in batches of 1,000 (at least 0.6), and how often a commit waits for the disk.
#include <sys/syscall.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <sstream>
#include <thread>
#include <utility>

#include "ledger/ledger.h"
#include "ledger/shared_commit.h"
#include "ledger/sop/default.h"
#include "tests/bench/floor.h"

namespace {
std::atomic<long> syncs = 0;
}

// SQLite's calls come here first.
extern "C" int fdatasync(int file) {
  ++syncs;
  return static_cast<int>(::syscall(SYS_fdatasync, file));
}
extern "C" int fsync(int file) {
  ++syncs;
  return static_cast<int>(::syscall(SYS_fsync, file));
}

using namespace trayproof;

namespace {

constexpr const char* configure =
    "PRAGMA journal_mode = DELETE; PRAGMA synchronous = EXTRA; PRAGMA secure_delete = ON; PRAGMA cache_size = -65536;";

// How far the bare tables hold what stands in the ledger's.
struct Seen {
  std::int64_t seq = 0, texts = 0, patients = 0;
};

struct Bench {
  Ledger ledger;
  store::Database bare;
  Seen seen;
  std::vector<std::string> lines;
  std::size_t next = 0;

  GivenEvent given() { return {.line = 0, .event = json::parse(lines.at(next++)).value()}; }
};

Result<Bench> open_bench(const std::string& path, Clock& clock) {
  TRY_LET(auto ledger,
          Ledger::create(
              path + ".trayproof",
              {.title = "Bench", .zone = "Etc/GMT-5", .altitude_m = 1180, .sop_toml = std::string(sop::default_sop())},
              clock));
  TRY_LET(auto bare, store::Database::create(path + ".bare"));
  TRY(bare.run(std::string(configure) +
               "CREATE TABLE e (seq INTEGER PRIMARY KEY, entry TEXT NOT NULL, hash BLOB NOT NULL, sig BLOB NOT NULL, "
               "slip TEXT, content BLOB NOT NULL) STRICT;"
               "CREATE UNIQUE INDEX e1 ON e (slip) WHERE slip IS NOT NULL; CREATE INDEX e2 ON e (content);"
               "CREATE TABLE i (sort TEXT, id TEXT, origin INTEGER, detail TEXT, PRIMARY KEY (sort, id)) STRICT, "
               "WITHOUT ROWID;"
               "CREATE TABLE t (sha256 BLOB NOT NULL UNIQUE, salt BLOB, text TEXT) STRICT;"
               "CREATE TABLE p (pseudonym BLOB NOT NULL UNIQUE, lookup BLOB UNIQUE, k BLOB, n BLOB) STRICT"));
  std::vector<std::string> lines;
  std::istringstream all(bench::facility_lines(60'000, nullptr));
  for (std::string line; std::getline(all, line);) lines.push_back(std::move(line));
  return Bench{.ledger = std::move(ledger), .bare = std::move(bare), .seen = {}, .lines = std::move(lines)};
}

// One row of a table as it stands in the ledger.
struct Row {
  std::size_t table = 0;
  std::vector<std::string> blobs;
  std::int64_t origin = 0;
};

constexpr const char* insertions[] = {"INSERT INTO e VALUES (?5, ?1, ?2, ?3, NULL, ?4)",
                                      "INSERT INTO i VALUES (?1, ?2, ?4, ?3)", "INSERT INTO t VALUES (?1, ?2, ?3)",
                                      "INSERT INTO p VALUES (?1, ?2, ?3, ?4)"};

Result<void> collect(store::Database& source, std::size_t table, const std::string& sql, std::size_t columns,
                     std::vector<Row>& rows) {
  TRY_LET(auto read, source.prepare(sql));
  while (true) {
    TRY_LET(const bool more, read.step());
    if (!more) return {};
    Row row{.table = table, .blobs = {}, .origin = read.integer(static_cast<int>(columns))};
    for (std::size_t i = 0; i < columns; ++i) row.blobs.push_back(std::string(read.text(static_cast<int>(i))));
    rows.push_back(std::move(row));
  }
}

// Everything that appending wrote since the last time: entries, ids, texts, patients; `each` entries and their share of
// each other table's rows in a transaction. Seconds of the insertion alone.
Result<double> bare_inserts(Bench& bench, std::int64_t each) {
  Seen& seen = bench.seen;
  TRY_LET(auto source, store::Database::open(bench.ledger.path(), store::Access::read));
  const std::string after = std::to_string(seen.seq);
  std::vector<Row> entries;
  std::array<std::vector<Row>, 3> others;
  TRY(collect(source, 0, "SELECT entry, hash, sig, content, seq FROM entries WHERE seq > " + after + " ORDER BY seq", 4,
              entries));
  TRY(collect(source, 1, "SELECT sort, id, detail, origin FROM introduced WHERE origin > " + after + " ORDER BY origin",
              3, others[0]));
  TRY(collect(source, 2, "SELECT sha256, salt, text, rowid FROM texts WHERE rowid > " + std::to_string(seen.texts), 3,
              others[1]));
  TRY(collect(source, 3,
              "SELECT pseudonym, lookup, sealed_key, sealed_number, rowid FROM patients WHERE rowid > " +
                  std::to_string(seen.patients),
              4, others[2]));
  for (const Row& row : others[1]) seen.texts = std::max(seen.texts, row.origin);
  for (const Row& row : others[2]) seen.patients = std::max(seen.patients, row.origin);
  seen.seq = entries.back().origin;
  std::vector<store::Statement> writes;
  for (const char* sql : insertions) {
    TRY_LET(auto write, bench.bare.prepare(sql));
    writes.push_back(std::move(write));
  }
  const auto insert = [&](const Row& row) -> Result<void> {
    store::Statement& write = writes[row.table];
    const bool texts = row.table == 1;
    for (std::size_t i = 0; i < row.blobs.size(); ++i) {
      const int parameter = static_cast<int>(i) + 1;
      if (texts || (row.table == 0 && i == 0) || (row.table == 2 && i == 2)) {
        write.bind_view(parameter, std::string_view(row.blobs[i]));
      } else {
        write.bind_view(parameter, as_bytes(row.blobs[i]));
      }
    }
    if (row.table < 2) write.bind(row.table == 0 ? 5 : 4, row.origin);
    return write.run();
  };
  const double began = bench::now_s();
  std::array<std::size_t, 3> done{};
  for (std::size_t i = 0; i < entries.size();) {
    TRY(bench.bare.begin());
    for (std::int64_t k = 0; k < each && i < entries.size(); ++k, ++i) TRY(insert(entries[i]));
    for (std::size_t table = 0; table < others.size(); ++table) {
      const std::size_t due = others[table].size() * i / entries.size();
      for (std::size_t& at = done[table]; at < due; ++at) TRY(insert(others[table][at]));
    }
    TRY(bench.bare.commit());
  }
  return bench::now_s() - began;
}

// Ours and the bare table take turns, so that both see the same machine; a disk that stops for a moment in one turn
// does not decide, since the median one counts.
struct Turns {
  std::vector<double> ours_s;
  std::vector<double> bare_s;
  std::int64_t events = 0;  // of one turn
  long commits = 0;         // of all
  long syncs = 0;

  double rate() const { return static_cast<double>(events) / median(ours_s); }
  double bare_rate() const { return static_cast<double>(events) / median(bare_s); }
  double ratio() const { return median(bare_s) / median(ours_s); }

 private:
  static double median(std::vector<double> all) {
    std::sort(all.begin(), all.end());
    return all.at(all.size() / 2);
  }
};

Result<Turns> in_turns(Bench& bench, int rounds, int appends, int each) {
  Turns turns;
  turns.events = static_cast<std::int64_t>(appends) * each;
  TRY(bare_inserts(bench, 1000));  // what others wrote meanwhile: both are to be of one size
  AppendOptions options;
  options.same_content_repeats = false;
  for (int round = 0; round < rounds; ++round) {
    std::vector<std::vector<GivenEvent>> given;
    for (int i = 0; i < appends; ++i) {
      given.emplace_back();
      for (int k = 0; k < each; ++k) given.back().push_back(bench.given());
    }
    const long syncs_before = syncs;
    const double began = bench::now_s();
    for (auto& one : given) {
      TRY_LET(const auto done, bench.ledger.append(std::move(one), options));
      CHECK(done.taken == each);
    }
    turns.ours_s.push_back(bench::now_s() - began);
    turns.syncs += syncs - syncs_before;
    turns.commits += appends;
    TRY_LET(const double bare_s, bare_inserts(bench, each));
    turns.bare_s.push_back(bare_s);
  }
  return turns;
}

double shared_rate(Bench& bench, int recorders, int each) {
  AppendOptions options;
  options.same_content_repeats = false;
  std::vector<std::vector<GivenEvent>> given(static_cast<std::size_t>(recorders));
  for (auto& mine : given) {
    for (int i = 0; i < each; ++i) mine.push_back(bench.given());
  }
  SharedCommit shared(bench.ledger);
  const double began = bench::now_s();
  std::vector<std::thread> threads;
  for (auto& mine : given) {
    threads.emplace_back([&] {
      for (GivenEvent& one : mine) {
        const auto done = shared.append({std::move(one)}, options);
        CHECK(done.ok() && done.value().taken == 1);
      }
    });
  }
  for (std::thread& thread : threads) thread.join();
  return recorders * each / (bench::now_s() - began);
}

Result<void> run(const std::string& path) {
  SystemClock clock;
  TRY_LET(auto bench, open_bench(path, clock));
  TRY_LET(const auto single, in_turns(bench, 11, 100, 1));
  std::printf(
      "one by one: %.0f a second; bare tables %.0f a second; ratio %.2f (aim: at least 0.55); %.2f waits for the "
      "disk a commit\n",
      single.rate(), single.bare_rate(), single.ratio(),
      static_cast<double>(single.syncs) / static_cast<double>(single.commits));
  const double together = shared_rate(bench, 32, 200);
  std::printf("32 recorders: %.0f a second; %.1f times one by one (aim: at least 4)\n", together,
              together / single.rate());
  TRY_LET(const auto batch, in_turns(bench, 12, 4, 1000));
  std::printf("batches of 1,000: %.0f a second; bare tables %.0f a second; ratio %.2f (aim: at least 0.60)\n",
              batch.rate(), batch.bare_rate(), batch.ratio());
  return {};
}

}  // namespace

int main() {
  const std::string path = "/tmp/trayproof-append-bench-" + std::to_string(::getpid());
  const auto done = run(path);
  if (!done.ok()) std::fprintf(stderr, "%s\n", done.error().sentence().c_str());
  for (const char* ending : {".trayproof", ".trayproof.keys", ".bare"}) ::unlink((path + ending).c_str());
  return done.ok() ? 0 : 1;
}
