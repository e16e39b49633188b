// The program is killed while it appends, again and again: what was acknowledged stays, and no batch stays by halves.
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cstdlib>
#include <random>
#include <thread>

#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

constexpr int rounds = 30;
constexpr std::int64_t batch_size = 7;

// What the child writes after each append that came back.
struct Acknowledged {
  std::int64_t batch = 0;
  std::int64_t last = 0;
};

std::string batch_lines(int round, std::int64_t batch) {
  std::string lines;
  for (std::int64_t i = 0; i < batch_size; ++i) {
    lines += R"({"kind":"remarked","at":"2026-10-05T09:00:00+05:00","by":"ana","subject":{"kind":"batch","id":")" +
             std::to_string(round) + ":" + std::to_string(batch) + R"("},"text":"line )" + std::to_string(i) + "\"}\n";
  }
  return lines;
}

// Appends until it is killed.
[[noreturn]] void append_for_ever(const std::string& path, int round, int pipe) {
  SetClock clock(noon());
  auto ledger = Ledger::open(path, clock);
  if (!ledger.ok()) ::_exit(1);
  for (std::int64_t batch = 0;; ++batch) {
    const auto done = ledger.value().append_lines(batch_lines(round, batch), {});
    if (!done.ok() || done.value().taken != batch_size) ::_exit(2);
    const Acknowledged word{batch, done.value().last};
    if (::write(pipe, &word, sizeof word) != sizeof word) ::_exit(3);
  }
}

std::vector<Acknowledged> acknowledged_until_killed(const std::string& path, int round, int after_us) {
  int ends[2];
  REQUIRE(::pipe(ends) == 0);
  const ::pid_t child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    ::close(ends[0]);
    append_for_ever(path, round, ends[1]);
  }
  ::close(ends[1]);
  std::this_thread::sleep_for(std::chrono::microseconds(after_us));
  REQUIRE(::kill(child, SIGKILL) == 0);
  int status = 0;
  REQUIRE(::waitpid(child, &status, 0) == child);
  INFO("exit ", WIFEXITED(status) ? WEXITSTATUS(status) : -1);
  CHECK(WIFSIGNALED(status));
  std::vector<Acknowledged> words;
  for (Acknowledged word; ::read(ends[0], &word, sizeof word) == sizeof word;) words.push_back(word);
  ::close(ends[0]);
  return words;
}

}  // namespace

TEST_CASE("thirty times killed while appending nothing acknowledged is lost and nothing stays by halves") {
  const Folder folder;
  const std::string path = folder.file("ward.trayproof");
  {
    SetClock clock(noon());
    REQUIRE(Ledger::create(path, creation(), clock).ok());
  }
  std::mt19937 dice(20261005);  // the moments differ with the machine all the same
  std::int64_t acknowledged_batches = 0;
  std::int64_t kept_unanswered = 0;
  std::int64_t size_before = 5;
  for (int round = 0; round < rounds; ++round) {
    INFO("round ", round);
    // No connection of SQLite may be open across a fork: the ledger is opened after the kill and closed before the
    // next.
    const auto words = acknowledged_until_killed(path, round, std::uniform_int_distribution<int>(2'000, 150'000)(dice));
    acknowledged_batches += static_cast<std::int64_t>(words.size());
    const std::int64_t last = words.empty() ? size_before : words.back().last;
    SetClock clock(noon());
    Ledger ledger = opened(path, clock);
    CHECK(problems(ledger).empty());
    const std::int64_t size = ledger.head().value().seq;
    REQUIRE(size >= last);
    REQUIRE((size - size_before) % batch_size == 0);
    // At most the batch that was on its way is there without having been acknowledged.
    CHECK(size - last <= batch_size);
    kept_unanswered += size > last ? 1 : 0;
    for (std::int64_t seq = size_before + 1; seq <= size; ++seq) {
      const json::Value entry = event_of(ledger.entry(seq).value().bytes);
      const std::int64_t batch = (seq - size_before - 1) / batch_size;
      REQUIRE(entry.find("subject")->text_at("id") == std::to_string(round) + ":" + std::to_string(batch));
    }
    size_before = size;
  }
  MESSAGE(rounds, " kills, ", acknowledged_batches, " batches acknowledged and all of them there, ", kept_unanswered,
          " more kept whole that the kill left unanswered");
  CHECK(acknowledged_batches > rounds);
  SetClock clock(noon());
  Ledger ledger = opened(path, clock);
  const auto more = ledger.append_lines(batch_lines(rounds, 0), {});
  INFO((more.ok() ? std::string() : more.error().sentence()));
  CHECK(more.ok());
  CHECK(problems(ledger).empty());
}

TEST_CASE(
    "a create that is killed leaves a whole ledger or none and never a key file without one that cannot be told") {
  const Folder folder;
  std::mt19937 dice(7);
  int whole = 0;
  int none = 0;
  for (int round = 0; round < 40; ++round) {
    const std::string path = folder.file("ledger-" + std::to_string(round));
    const ::pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
      SetClock clock(noon());
      const auto made = Ledger::create(path, creation(), clock);
      ::_exit(made.ok() ? 0 : 1);
    }
    std::this_thread::sleep_for(std::chrono::microseconds(std::uniform_int_distribution<int>(200, 40'000)(dice)));
    ::kill(child, SIGKILL);
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    SetClock clock(noon());
    auto ledger = Ledger::open(path, clock);
    if (ledger.ok()) {
      ++whole;
      CHECK(ledger.value().writable());
      CHECK(problems(ledger.value()).empty());
    } else {
      ++none;
      CHECK(ledger.error().code() == ErrorCode::missing);
    }
  }
  MESSAGE("40 creates killed: ", whole, " whole, ", none, " not there");
}
