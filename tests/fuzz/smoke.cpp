// Drives every target over its corpus and over changed copies of it, each in a process of its own, and shows the input
// when one ends it.
//
//   fuzz_smoke CORPUS-FOLDER [TARGET [RUNS [SEED]]]
//   fuzz_smoke CORPUS-FOLDER canary     must find the planted bug: ends with 1 when it does not
#include <signal.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "tests/fuzz/mutator.h"
#include "tests/fuzz/target.h"

namespace {

using namespace trayproof::fuzz;

constexpr unsigned seconds_most = 60;  // for one input: longer is a finding too
constexpr std::uint64_t first_seed = 20261005;
constexpr std::size_t at_a_time = 2;  // targets, each on a core of its own
// Under the sanitizers everything takes some four times as long.
#ifdef __SANITIZE_ADDRESS__
constexpr int slower = 4;
#else
constexpr int slower = 1;
#endif

// The input in hand, seen by both processes.
struct InHand {
  std::size_t size = 0;
  std::int64_t runs = 0;
  char bytes[1 << 16] = {};
};

std::vector<std::string> corpus_of(const std::filesystem::path& folder) {
  std::vector<std::filesystem::path> paths;
  if (std::filesystem::exists(folder)) {
    for (const auto& one : std::filesystem::directory_iterator(folder)) paths.push_back(one.path());
  }
  std::sort(paths.begin(), paths.end());
  std::vector<std::string> files;
  for (const auto& path : paths) {
    std::ifstream in(path, std::ios::binary);
    files.emplace_back(std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>());
  }
  return files;
}

void run_one(const Target& target, const std::string& bytes, InHand& in_hand) {
  in_hand.size = std::min(bytes.size(), sizeof in_hand.bytes);
  std::memcpy(in_hand.bytes, bytes.data(), in_hand.size);
  ++in_hand.runs;
  ::alarm(seconds_most);
  // Exactly as long as it is, so that a reader that looks past the end is seen.
  const std::vector<char> exact(bytes.begin(), bytes.end());
  target.run({exact.data(), exact.size()});
  ::alarm(0);
}

void run_all(const Target& target, const std::vector<std::string>& corpus, int runs, std::uint64_t seed,
             InHand& in_hand) {
  for (const std::string& file : corpus) run_one(target, file, in_hand);
  Mutator mutator(seed, corpus, target.bytes_most);
  for (int i = 0; i < runs; ++i) run_one(target, mutator.next(), in_hand);
}

std::string kept(const Target& target, const InHand& in_hand) {
  const std::string path = (std::filesystem::temp_directory_path() / ("finding-" + std::string(target.name))).string();
  std::ofstream(path, std::ios::binary).write(in_hand.bytes, static_cast<std::streamsize>(in_hand.size));
  return path;
}

// True: everything held.
bool holds(const Target& target, const std::filesystem::path& folder, int runs, std::uint64_t seed) {
  void* const shared = ::mmap(nullptr, sizeof(InHand), PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
  if (shared == MAP_FAILED) std::abort();
  InHand& in_hand = *new (shared) InHand;
  const auto corpus = corpus_of(folder / target.name);
  const auto began = std::chrono::steady_clock::now();
  std::fflush(stdout);
  const pid_t child = ::fork();
  if (child == 0) {
    run_all(target, corpus, runs, seed, in_hand);
    std::exit(0);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
  const bool held = WIFEXITED(status) && WEXITSTATUS(status) == 0;
  std::printf("%-16.*s %3zu files, %6lld inputs, %5.1f s%s\n", static_cast<int>(target.name.size()), target.name.data(),
              corpus.size(), static_cast<long long>(in_hand.runs), seconds, held ? "" : "  FOUND:");
  if (!held) {
    const bool slow = WIFSIGNALED(status) && WTERMSIG(status) == SIGALRM;
    std::printf("  %s; the input is in %s\n", slow ? "one input took too long" : "ended (above)",
                kept(target, in_hand).c_str());
  }
  ::munmap(shared, sizeof(InHand));
  return held;
}

// Each worker takes the next target that nobody has taken.
bool all_hold(const std::filesystem::path& folder, std::uint64_t seed) {
  void* const shared =
      ::mmap(nullptr, sizeof(std::atomic<std::size_t>), PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
  if (shared == MAP_FAILED) std::abort();
  auto& next = *new (shared) std::atomic<std::size_t>(0);
  std::array<pid_t, at_a_time> workers{};
  for (pid_t& worker : workers) {
    worker = ::fork();
    if (worker != 0) continue;
    bool all = true;
    for (std::size_t i = next++; i < targets().size(); i = next++)
      all = holds(targets()[i], folder, targets()[i].smoke_runs / slower, seed) && all;
    std::exit(all ? 0 : 1);
  }
  bool all = true;
  for (const pid_t worker : workers) {
    int status = 0;
    all = worker > 0 && ::waitpid(worker, &status, 0) == worker && WIFEXITED(status) && WEXITSTATUS(status) == 0 && all;
  }
  return all;
}

}  // namespace

int main(int count, char** arguments) {
  if (count < 2) {
    std::fprintf(stderr, "fuzz_smoke CORPUS-FOLDER [TARGET [RUNS [SEED]]]\n");
    return 2;
  }
  const std::filesystem::path folder = arguments[1];
  const std::uint64_t seed = count > 4 ? std::strtoull(arguments[4], nullptr, 10) : first_seed;
  if (count > 2) {
    const Target* const target = find_target(arguments[2]);
    if (target == nullptr) return 2;
    const bool held = holds(*target, folder, count > 3 ? std::atoi(arguments[3]) : target->smoke_runs, seed);
    const bool planted = target == &canary();
    if (planted) std::printf(held ? "the planted bug was NOT found\n" : "the planted bug was found\n");
    return held == planted ? 1 : 0;
  }
  return all_hold(folder, seed) ? 0 : 1;
}
