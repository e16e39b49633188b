// What verify costs against the bare machine, in one run:
//
//   bench_verify [PART] [EVENTS] [FOLDER]     PART is chain, signatures, tables or all (default); EVENTS for the chain
//                                      (default 4,000,000); the ledgers stay in FOLDER (default
//                                      /tmp/trayproof-bench-verify) and are made only once
//
// - chain, tree and checkpoints over EVENTS events against reading the entries and their hashes from SQLite and hashing
//   each with the one before it (aim: 0.70 of that a thread, 1.6 times as much on two threads, peak below 64 MiB);
// - the form of each entry, keys and every signature where each event is signed, against that bare chain and the bare
//   verification of the same signatures (aim: at least 0.85);
// - the indexes beside the chain, and the derived tables, by themselves.
//
// Each measurement is a process of its own, so that its peak memory is its own. What runs on one thread is compared by
// the processor's time, which other programs on the machine hardly change; what runs on two by the clock.
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <thread>

#include "ledger/crypto/hash.h"
#include "ledger/crypto/sign.h"
#include "ledger/links/links.h"
#include "ledger/sop/default.h"
#include "ledger/verify.h"
#include "tests/bench/floor.h"

using namespace trayproof;

namespace {

constexpr std::int64_t portion = 200'000;
constexpr std::int64_t signed_events = 30'000;
constexpr int runs = 5;

[[noreturn]] void give_up(const Error& error) {
  std::fprintf(stderr, "bench_verify: %s\n", error.sentence().c_str());
  std::exit(1);
}
template <typename T>
T must(Result<T> result) {
  if (!result.ok()) give_up(result.error());
  return std::move(result).value();
}

void must(const Result<void>& done) {
  if (!done.ok()) give_up(done.error());
}

SystemClock clock_now;

Ledger created(const std::string& path) {
  const Creation creation{
      .title = "Bench", .zone = "Etc/GMT-5", .altitude_m = 1180, .sop_toml = std::string(sop::default_sop())};
  return must(Ledger::create(path, creation, clock_now));
}

// `events` in commits of `commit` events each.
void make(const std::string& path, std::int64_t events, std::int64_t commit) {
  Ledger ledger = created(path);
  bench::HospitalLines hospital(6'000);
  std::int64_t written = 0;
  while (written < events) {
    const std::string lines = hospital.next(std::min(portion, events - written));
    std::size_t from = 0;
    while (from < lines.size()) {
      std::size_t end = from;
      for (std::int64_t i = 0; i < commit && end < lines.size(); ++i) end = lines.find('\n', end) + 1;
      const auto done = must(ledger.append_lines(std::string_view(lines).substr(from, end - from), {}));
      CHECK(done.refusals.empty());
      written += done.taken;
      from = end;
    }
    std::fprintf(stderr, "%s: %lld events\n", path.c_str(), static_cast<long long>(written));
  }
  must(ledger.sign_checkpoint());
}

struct Measured {
  double seconds = 0;
  double processor_seconds = 0;  // of all threads
  double events = 0;
  double signatures = 0;
};

class Stopwatch {
 public:
  void stop(Measured& into) const {
    into.seconds = bench::now_s() - wall_;
    into.processor_seconds = processor() - processor_;
  }

 private:
  static double processor() {
    ::timespec now{};
    ::clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + static_cast<double>(now.tv_nsec) / 1e9;
  }
  double wall_ = bench::now_s();
  double processor_ = processor();
};

std::int64_t floor_range(const std::string& path, std::int64_t from, std::int64_t until) {
  auto database = must(store::Database::open(path, store::Access::read));
  auto rows = must(database.prepare("SELECT entry, hash FROM entries WHERE seq BETWEEN ? AND ? ORDER BY seq"));
  rows.bind(1, from).bind(2, until);
  Digest previous{};
  std::int64_t events = 0;
  std::uint8_t seen = 0;
  while (must(rows.step())) {
    previous = crypto::sha256({ByteView(previous), rows.blob(0)});
    seen = static_cast<std::uint8_t>(seen ^ rows.blob(1)[0]);
    ++events;
  }
  CHECK(seen != 1 || previous != Digest{});  // so that no reading is left out
  return events;
}

Measured floor_chain(const std::string& path, unsigned threads) {
  const auto last = must(must(store::LedgerFile::open(path, store::Access::read)).head()).seq;
  const Stopwatch watch;
  std::vector<std::thread> running;
  std::array<std::int64_t, 8> events{};
  for (unsigned i = 0; i < threads; ++i) {
    running.emplace_back([&, i] { events[i] = floor_range(path, last * i / threads + 1, last * (i + 1) / threads); });
  }
  Measured measured;
  for (std::thread& one : running) one.join();
  for (const std::int64_t one : events) measured.events += static_cast<double>(one);
  watch.stop(measured);
  return measured;
}

// The signatures that are there, with their keys, and nothing but verifying them.
Measured floor_signatures(const std::string& path) {
  struct Signed {
    Digest hash{};
    Bytes sig;
    crypto::PublicKey key{};
  };
  std::vector<Signed> all;
  const Ledger ledger = must(Ledger::open(path, clock_now, store::Access::read));
  must(ledger.scan(1, must(ledger.head()).seq, [&](const store::EntryView& entry) -> Result<void> {
    if (entry.sig.empty()) return {};
    Signed& one = all.emplace_back();
    std::copy(entry.hash.begin(), entry.hash.end(), one.hash.begin());
    one.sig.assign(entry.sig.begin(), entry.sig.end());
    const auto event = json::parse(entry.bytes);
    CHECK(event.ok() && from_hex(event.value().text_at("key").value_or(""), one.key));
    return {};
  }));
  Measured measured{.signatures = static_cast<double>(all.size())};
  const Stopwatch watch;
  for (const Signed& one : all) CHECK(crypto::check_signature(one.key, one.hash, one.sig));
  watch.stop(measured);
  return measured;
}

Measured verify_parts(const std::string& path, VerifyParts parts, unsigned threads) {
  Ledger ledger = must(Ledger::open(path, clock_now, store::Access::read));
  Measured measured;
  const Stopwatch watch;
  const auto found = must(verify(ledger, {.depth = Depth::full, .parts = parts, .threads = threads}));
  watch.stop(measured);
  for (const Problem& one : found.problems) std::fprintf(stderr, "problem: %s\n", one.what.c_str());
  CHECK(found.problems.empty());
  measured.events = static_cast<double>(found.events);
  measured.signatures = static_cast<double>(found.signatures);
  return measured;
}

Measured derived_tables(const std::string& path) {
  const Ledger ledger = must(Ledger::open(path, clock_now, store::Access::write));
  auto tables = must(links::Links::open(ledger));
  must(tables.catch_up());
  Measured measured{.events = static_cast<double>(must(ledger.head()).seq)};
  const Stopwatch watch;
  CHECK(!must(tables.same_as_fresh()));
  watch.stop(measured);
  return measured;
}

Measured measure(const std::string& what, const std::string& path, unsigned threads) {
  if (what == "bare-chain") return floor_chain(path, threads);
  if (what == "bare-signatures") return floor_signatures(path);
  if (what == "chain") return verify_parts(path, VerifyParts::chain, threads);
  if (what == "signatures") return verify_parts(path, VerifyParts::signatures, threads);
  if (what == "all") return verify_parts(path, VerifyParts::all, threads);
  if (what == "derived") return derived_tables(path);
  std::fprintf(stderr, "bench_verify: nothing to measure under %s\n", what.c_str());
  std::exit(2);
}

struct Answer {
  Measured measured;
  double peak_mib = 0;
};

// The same program as a child.
Answer child(const std::string& what, const std::string& path, unsigned threads) {
  const std::string line = "/proc/self/exe";
  std::array<char, 4096> self{};
  CHECK(::readlink(line.c_str(), self.data(), self.size() - 1) > 0);
  const std::string command =
      std::string(self.data()) + " --measure " + what + " " + path + " " + std::to_string(threads);
  std::FILE* out = ::popen(command.c_str(), "r");
  CHECK(out != nullptr);
  Answer answer;
  const int read = std::fscanf(out, "%lf %lf %lf %lf %lf", &answer.measured.seconds, &answer.measured.processor_seconds,
                               &answer.measured.events, &answer.measured.signatures, &answer.peak_mib);
  CHECK(::pclose(out) == 0 && read == 5);
  return answer;
}

bool there(const std::string& path) {
  struct ::stat found {};
  return ::stat(path.c_str(), &found) == 0;
}

void chain_runs(const std::string& path) {
  std::vector<double> one, two, two_to_one_bare;
  double peak = 0;
  for (int run = 0; run < runs; ++run) {
    const Answer bare = child("bare-chain", path, 1);
    const Answer first = child("chain", path, 1);
    const Answer second = child("chain", path, 2);
    one.push_back(bare.measured.processor_seconds / first.measured.processor_seconds);
    two.push_back(first.measured.seconds / second.measured.seconds);
    two_to_one_bare.push_back(bare.measured.seconds / second.measured.seconds);
    peak = std::max({peak, first.peak_mib, second.peak_mib});
    std::printf(
        "%.0f events: bare %.2f s (%.2f of the processor); chain, tree, checkpoints %.2f s (%.2f) on one thread, %.2f "
        "s "
        "(%.2f) on two\n",
        first.measured.events, bare.measured.seconds, bare.measured.processor_seconds, first.measured.seconds,
        first.measured.processor_seconds, second.measured.seconds, second.measured.processor_seconds);
  }
  std::printf("chain, one thread: median %.2f of the bare chain (aim: at least 0.70)\n", bench::percentile(one, 0.5));
  std::printf(
      "chain, two threads: median %.2f times one thread (aim: at least 1.60), %.2f of the bare chain (aim: at least "
      "1.12)\n",
      bench::percentile(two, 0.5), bench::percentile(two_to_one_bare, 0.5));
  std::printf("peak memory %.0f MiB (aim: below 64)\n", peak);
}

void signature_runs(const std::string& path) {
  std::vector<double> ratios;
  for (int run = 0; run < runs; ++run) {
    const Answer chain = child("bare-chain", path, 1);
    const Answer bare = child("bare-signatures", path, 1);
    const Answer full = child("signatures", path, 1);
    const double bare_sum = chain.measured.processor_seconds + bare.measured.processor_seconds;
    ratios.push_back(bare_sum / full.measured.processor_seconds);
    std::printf(
        "%.0f events with %.0f signatures, processor's time: bare %.2f s; verify --full without tables %.2f s\n",
        full.measured.events, full.measured.signatures, bare_sum, full.measured.processor_seconds);
  }
  std::printf("every signature: median %.2f of the bare sum (aim: at least 0.85)\n", bench::percentile(ratios, 0.5));
}

void tables_run(const std::string& path) {
  const Answer full = child("signatures", path, 2);
  const Answer all = child("all", path, 2);
  std::printf(
      "%.0f events: form, keys and %.0f signatures %.2f s on two threads; with the indexes beside the chain %.2f s, "
      "peak %.0f MiB\n",
      all.measured.events, all.measured.signatures, full.measured.seconds, all.measured.seconds, all.peak_mib);
  const Answer derived = child("derived", path, 1);
  std::printf("derived tables %.2f s, peak %.0f MiB\n", derived.measured.seconds, derived.peak_mib);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc == 5 && std::strcmp(argv[1], "--measure") == 0) {
    const Measured measured = measure(argv[2], argv[3], static_cast<unsigned>(std::atoi(argv[4])));
    struct ::rusage used {};
    ::getrusage(RUSAGE_SELF, &used);
    std::printf("%.6f %.6f %.0f %.0f %.1f\n", measured.seconds, measured.processor_seconds, measured.events,
                measured.signatures, static_cast<double>(used.ru_maxrss) / 1024);
    return 0;
  }
  std::setvbuf(stdout, nullptr, _IOLBF, 0);
  const std::string part = argc > 1 ? argv[1] : "all";
  const std::int64_t events = argc > 2 ? std::atoll(argv[2]) : 4'000'000;
  const std::string folder = argc > 3 ? argv[3] : "/tmp/trayproof-bench-verify";
  ::mkdir(folder.c_str(), 0755);
  const std::string large = folder + "/" + std::to_string(events) + ".trayproof";
  const std::string each = folder + "/each-signed.trayproof";
  if (!there(large)) make(large, events, portion);
  if (!there(each)) make(each, signed_events, 1);
  const auto wanted = [&](const char* one) { return part == "all" || part == one; };
  if (wanted("chain")) chain_runs(large);
  if (wanted("signatures")) signature_runs(each);
  if (wanted("tables")) tables_run(large);
  return 0;
}
