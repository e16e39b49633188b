// A ledger of 300,000 events, opened again after its program was killed in the middle of a write: how long until it can
// take the next event (aim: below 50 ms), beside the bare opening of the same file undisturbed. And how long an append
// waits at most while another program verifies the whole record (aim: below the five seconds after which it gives up).
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <optional>

#include "ledger/ledger.h"
#include "ledger/sop/default.h"
#include "ledger/verify.h"
#include "tests/bench/floor.h"

using namespace trayproof;

namespace {

constexpr int rounds = 20;

std::string one_line(const std::string& subject) {
  return R"({"kind":"remarked","at":"2026-10-05T09:00:00+05:00","by":"ana","subject":{"kind":"line","id":")" + subject +
         R"("},"text":"x"})";
}

Ledger opened(const std::string& path) {
  static SystemClock clock;  // the ledger keeps it
  auto ledger = Ledger::open(path, clock);
  if (!ledger.ok()) std::fprintf(stderr, "%s\n", ledger.error().sentence().c_str());
  CHECK(ledger.ok());
  return std::move(ledger).value();
}

// A child whose write went to the file in part, and which was then killed; true when it left a journal.
bool kill_in_a_write(const std::string& path) {
  int ends[2];
  CHECK(::pipe(ends) == 0);
  const ::pid_t child = ::fork();
  if (child == 0) {
    Ledger ledger = opened(path);
    store::Database& database = ledger.file().database();
    CHECK(database.run("PRAGMA cache_size = 20").ok());
    CHECK(database.begin().ok());
    for (int i = 0; i < 5000; ++i)
      CHECK(ledger.file().put_introduction("pack", "killed-" + std::to_string(i), {.origin = 1, .detail = ""}).ok());
    const char one = '1';
    CHECK(::write(ends[1], &one, 1) == 1);
    while (true) ::pause();
  }
  char one = 0;
  CHECK(::read(ends[0], &one, 1) == 1);
  ::close(ends[0]);
  ::close(ends[1]);
  ::kill(child, SIGKILL);
  ::waitpid(child, nullptr, 0);
  return ::access((path + "-journal").c_str(), F_OK) == 0;
}

double open_s(const std::string& path) {
  const double began = bench::now_s();
  Ledger ledger = opened(path);
  CHECK(ledger.head().ok());
  return bench::now_s() - began;
}

// The longest of the appends made while another program verifies; nothing when none was.
std::optional<double> longest_append_during_verify(const std::string& path, double& verify_s, int& appends) {
  const ::pid_t child = ::fork();
  const double began = bench::now_s();
  if (child == 0) {
    Ledger ledger = opened(path);
    const auto found = verify(ledger, Depth::full);
    ::_exit(found.ok() && found.value().problems.empty() ? 0 : 1);
  }
  std::optional<double> longest;
  Ledger ledger = opened(path);
  int status = 0;
  while (::waitpid(child, &status, WNOHANG) == 0) {
    const double start = bench::now_s();
    const auto done = ledger.append_lines(one_line("during-" + std::to_string(++appends)), {});
    if (!done.ok()) std::printf("an append was refused: %s\n", done.error().sentence().c_str());
    longest = std::max(longest.value_or(0), bench::now_s() - start);
    ::usleep(20'000);
  }
  verify_s = bench::now_s() - began;
  CHECK(WIFEXITED(status) && WEXITSTATUS(status) == 0);
  return longest;
}

}  // namespace

int main() {
  const std::string path = "/tmp/trayproof-reopen-bench";
  for (const char* ending : {"", ".keys", "-journal"}) ::unlink((path + ending).c_str());
  {
    SystemClock clock;
    auto ledger = Ledger::create(
        path, {.title = "Bench", .zone = "Etc/GMT-5", .altitude_m = 1180, .sop_toml = std::string(sop::default_sop())},
        clock);
    CHECK(ledger.ok());
    CHECK(ledger.value().append_lines(bench::facility_lines(300'000, nullptr), {}).ok());
    std::printf("%lld events\n", static_cast<long long>(ledger.value().head().value().seq));
  }
  std::vector<double> after_kill;
  std::vector<double> undisturbed;
  int journals = 0;
  for (int round = 0; round < rounds; ++round) {
    journals += kill_in_a_write(path) ? 1 : 0;
    after_kill.push_back(open_s(path));
    undisturbed.push_back(open_s(path));
  }
  std::printf("opened after a kill in a write (%d of %d left a journal): median %.2f ms, at most %.2f ms\n", journals,
              rounds, bench::percentile(after_kill, 0.5) * 1000, bench::percentile(after_kill, 1) * 1000);
  std::printf("opened undisturbed: median %.2f ms; ratio %.2f\n", bench::percentile(undisturbed, 0.5) * 1000,
              bench::percentile(undisturbed, 0.5) / bench::percentile(after_kill, 0.5));
  double verify_s = 0;
  int appends = 0;
  const auto longest = longest_append_during_verify(path, verify_s, appends);
  std::printf("verify --full beside %d appends: %.2f s; the longest append took %.2f s\n", appends, verify_s,
              longest.value_or(0));
  for (const char* ending : {"", ".keys", "-journal"}) ::unlink((path + ending).c_str());
}
