// Durable appends against the floor: the same bytes into a bare table with the same columns, indexes, journal mode and
// durability, in the same run. One by one (aim: at least 0.55 of the floor), by 32 recorders who share commits (at
// least 4 times one by one), in batches of 1,000 (at least 0.6), and how often a commit waits for the disk.
#include <sys/syscall.h>
#include <unistd.h>

#include <atomic>
#include <sstream>
#include <thread>

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

struct Bench {
  Ledger ledger;
  store::Database bare;
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
               "CREATE UNIQUE INDEX e1 ON e (slip) WHERE slip IS NOT NULL; CREATE INDEX e2 ON e (content);"));
  std::vector<std::string> lines;
  std::istringstream all(bench::facility_lines(60'000, nullptr));
  for (std::string line; std::getline(all, line);) lines.push_back(std::move(line));
  return Bench{.ledger = std::move(ledger), .bare = std::move(bare), .lines = std::move(lines)};
}

// The entries from..until of the ledger into the bare table, `each` in a transaction; seconds.
Result<double> bare_inserts(Bench& bench, std::int64_t from, std::int64_t until, std::int64_t each) {
  std::vector<store::Entry> entries;
  for (std::int64_t seq = from; seq <= until; ++seq) {
    TRY_LET(auto entry, bench.ledger.entry(seq));
    entries.push_back(std::move(entry));
  }
  TRY_LET(auto write, bench.bare.prepare("INSERT INTO e VALUES (?, ?, ?, ?, NULL, ?)"));
  const double began = bench::now_s();
  for (std::size_t i = 0; i < entries.size();) {
    TRY(bench.bare.begin());
    for (std::int64_t k = 0; k < each && i < entries.size(); ++k, ++i) {
      const store::Entry& entry = entries[i];
      write.bind(1, entry.seq).bind_view(2, std::string_view(entry.bytes)).bind_view(3, ByteView(entry.hash));
      write.bind_view(4, ByteView(entry.sig)).bind_view(5, ByteView(entry.hash).first(16));
      TRY(write.run());
    }
    TRY(bench.bare.commit());
  }
  return bench::now_s() - began;
}

struct Pair {
  double ours_s = 0;
  double bare_s = 0;
  std::int64_t events = 0;
  long commits = 0;
  long syncs = 0;
};

// Ours and the bare table take turns, so that both see the same machine.
Result<Pair> in_turns(Bench& bench, int rounds, int appends, int each) {
  Pair sum;
  AppendOptions options;
  options.same_content_repeats = false;
  for (int round = 0; round < rounds; ++round) {
    TRY_LET(const auto head, bench.ledger.head());
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
    sum.ours_s += bench::now_s() - began;
    sum.syncs += syncs - syncs_before;
    sum.commits += appends;
    const std::int64_t events = static_cast<std::int64_t>(appends) * each;
    TRY_LET(const double bare_s, bare_inserts(bench, head.seq + 1, head.seq + events, each));
    sum.bare_s += bare_s;
    sum.events += events;
  }
  return sum;
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
  TRY_LET(const auto single, in_turns(bench, 10, 100, 1));
  const double single_rate = static_cast<double>(single.events) / single.ours_s;
  std::printf(
      "one by one: %.0f a second; bare table %.0f a second; ratio %.2f (aim: at least 0.55); %.2f waits for the "
      "disk a commit\n",
      single_rate, static_cast<double>(single.events) / single.bare_s, single.bare_s / single.ours_s,
      static_cast<double>(single.syncs) / static_cast<double>(single.commits));
  const double together = shared_rate(bench, 32, 200);
  std::printf("32 recorders: %.0f a second; %.1f times one by one (aim: at least 4)\n", together,
              together / single_rate);
  TRY_LET(const auto batch, in_turns(bench, 5, 4, 1000));
  std::printf("batches of 1,000: %.0f a second; bare table %.0f a second; ratio %.2f (aim: at least 0.60)\n",
              static_cast<double>(batch.events) / batch.ours_s, static_cast<double>(batch.events) / batch.bare_s,
              batch.bare_s / batch.ours_s);
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
