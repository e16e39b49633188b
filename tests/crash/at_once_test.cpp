// Several programs at one ledger: nothing is lost, nothing is there twice, seqs have no hole, and who cannot wait is
// told.
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fstream>
#include <map>

#include "tests/crash/program.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

constexpr int writers = 3;
constexpr int batches = 40;
constexpr int batch_lines = 3;

std::string remark(const std::string& subject) {
  return R"({"kind":"remarked","at":"2024-10-05T09:00:00+05:00","by":"ana","subject":{"kind":"line","id":")" + subject +
         R"("},"text":"x"})" + "\n";
}

// Appends its batches and ends with the number of those that were first told to wait; 200 and more: something else.
[[noreturn]] void write_batches(const std::string& path, int writer) {
  SystemClock clock;
  auto ledger = Ledger::open(path, clock);
  if (!ledger.ok()) ::_exit(200);
  int waited = 0;
  for (int batch = 0; batch < batches; ++batch) {
    std::string lines;
    for (int line = 0; line < batch_lines; ++line)
      lines += remark(std::to_string(writer) + "/" + std::to_string(batch) + "/" + std::to_string(line));
    while (true) {
      const auto done = ledger.value().append_lines(lines, {});
      if (done.ok() && done.value().taken == batch_lines) break;
      if (done.ok()) ::_exit(201);
      if (!holds(done.error().sentence(), "another program holds")) ::_exit(202);
      if (++waited > 100) ::_exit(203);
    }
  }
  ::_exit(waited);
}

// Opens, verifies and reads until it is killed; ends by itself only when something does not hold.
[[noreturn]] void read_for_ever(const std::string& path, int pipe) {
  std::int64_t before = 0;
  while (true) {
    SystemClock clock;
    auto ledger = Ledger::open(path, clock, store::Access::read);
    if (!ledger.ok()) ::_exit(1);
    const auto head = ledger.value().head();
    if (!head.ok() || head.value().seq < before) ::_exit(2);
    before = head.value().seq;
    const auto found = verify(ledger.value(), Depth::full);
    if (!found.ok()) ::_exit(3);
    if (!found.value().problems.empty()) {
      std::fprintf(stderr, "%s\n", found.value().problems.front().what.c_str());
      ::_exit(4);
    }
    const char one = '1';
    if (::write(pipe, &one, 1) != 1) ::_exit(5);
  }
}

void create_at(const std::string& path) {
  SystemClock clock;
  REQUIRE(Ledger::create(path, creation(), clock).ok());
}

}  // namespace

TEST_CASE("three programs that append at once and one that verifies meanwhile lose nothing and double nothing") {
  const MemoryFolder folder;
  const std::string path = folder.file("ward");
  create_at(path);
  int ends[2];
  REQUIRE(::pipe(ends) == 0);
  const ::pid_t reader = ::fork();
  if (reader == 0) read_for_ever(path, ends[1]);
  ::close(ends[1]);
  std::vector<::pid_t> children;
  for (int writer = 0; writer < writers; ++writer) {
    children.push_back(::fork());
    if (children.back() == 0) write_batches(path, writer);
  }
  int waited = 0;
  for (const ::pid_t child : children) {
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    REQUIRE(WIFEXITED(status));
    REQUIRE_LT(WEXITSTATUS(status), 200);
    waited += WEXITSTATUS(status);
  }
  ::kill(reader, SIGKILL);
  int status = 0;
  REQUIRE(::waitpid(reader, &status, 0) == reader);
  CHECK_MESSAGE(WIFSIGNALED(status), "the reader ended with ", WEXITSTATUS(status));
  int verified = 0;
  for (char one = 0; ::read(ends[0], &one, 1) == 1;) ++verified;
  ::close(ends[0]);
  SystemClock clock;
  Ledger ledger = opened(path, clock);
  CHECK_EQ(fault_of(ledger), "");
  std::map<std::string, int> seen;
  std::map<std::string, std::vector<std::int64_t>> seqs_of_batch;
  std::int64_t expected = 0;
  REQUIRE(ledger
              .scan(1, 1'000'000,
                    [&](const store::EntryView& entry) -> Result<void> {
                      CHECK_EQ(entry.seq, ++expected);
                      const json::Value event = event_of(entry.bytes);
                      if (event.text_at("kind") != "remarked") return {};
                      const std::string subject(*event.find("subject")->text_at("id"));
                      ++seen[subject];
                      seqs_of_batch[subject.substr(0, subject.rfind('/'))].push_back(entry.seq);
                      return {};
                    })
              .ok());
  CHECK_EQ(seen.size(), static_cast<std::size_t>(writers * batches * batch_lines));
  for (const auto& [subject, times] : seen) CHECK_EQ(times, 1);
  for (const auto& [batch, seqs] : seqs_of_batch) CHECK_EQ(seqs.back() - seqs.front(), batch_lines - 1);
  MESSAGE((writers * batches), " batches of ", writers, " programs, ", waited, " told to wait longer, verified ",
          verified, " times meanwhile");
  CHECK(verified > 0);
}

TEST_CASE("the same file given to two programs at once is taken once") {
  const MemoryFolder folder;
  const MemoryFolder aside;
  create_at(folder.file("ward"));
  for (int round = 0; round < 6; ++round) {
    {
      std::ofstream file(aside.file("lines"));
      for (int line = 0; line < 5; ++line) file << remark(std::to_string(round) + "/" + std::to_string(line));
    }
    const std::vector<std::string> words = {"--json", "record", "--from", aside.file("lines")};
    const Begun first = begin_program(folder, aside, "first", words);
    const Begun second = begin_program(folder, aside, "second", words);
    const Ran one = end_of(first);
    const Ran other = end_of(second);
    CHECK_MESSAGE(one.status == 0, one.err);
    CHECK_MESSAGE(other.status == 0, other.err);
    const auto taken = [](const Ran& ran) { return event_of(ran.out).number_at("taken").value_or(-1); };
    CHECK_EQ(taken(one) + taken(other), 5);
  }
  SystemClock clock;
  Ledger ledger = opened(folder.file("ward"), clock);
  CHECK_EQ(ledger.head().value().seq, 5 + 6 * 5);
}

TEST_CASE("the same export imported by two programs at once is measured once") {
  std::int64_t repeated = 0;
  for (int round = 0; round < 8; ++round) {
    const MemoryFolder folder;
    const MemoryFolder aside;
    create_at(folder.file("ward"));
    std::ofstream(aside.file("curve")) << curve();
    const std::vector<std::string> words = {"--json", "import", "curve", aside.file("curve"), "--equipment", "AC-1"};
    const Begun first = begin_program(folder, aside, "first", words);
    const Begun second = begin_program(folder, aside, "second", words);
    for (const Begun& one : {first, second}) {
      const Ran ran = end_of(one);
      CHECK_MESSAGE(ran.status == 0, ran.err);
      if (holds(ran.out, "\"repeated\":true")) ++repeated;
    }
    SystemClock clock;
    Ledger ledger = opened(folder.file("ward"), clock);
    std::int64_t measured = 0;
    REQUIRE(ledger
                .scan(1, 1000,
                      [&](const store::EntryView& entry) -> Result<void> {
                        measured += holds(entry.bytes, "curve-measured") ? 1 : 0;
                        return {};
                      })
                .ok());
    CHECK_EQ(measured, 1);
    CHECK_EQ(fault_of(ledger), "");
  }
  CHECK_EQ(repeated, 8);
}

TEST_CASE("a program that holds the ledger for too long is waited for five seconds and then told of") {
  const MemoryFolder folder;
  const std::string path = folder.file("ward");
  create_at(path);
  int ends[2];
  REQUIRE(::pipe(ends) == 0);
  const ::pid_t holder = ::fork();
  if (holder == 0) {
    SystemClock clock;
    Ledger ledger = opened(path, clock);
    if (!ledger.file().database().begin().ok()) ::_exit(1);
    const char one = '1';
    if (::write(ends[1], &one, 1) != 1) ::_exit(2);
    while (true) ::pause();
  }
  char one = 0;
  REQUIRE(::read(ends[0], &one, 1) == 1);
  ::close(ends[0]);
  ::close(ends[1]);
  SystemClock clock;
  Ledger ledger = opened(path, clock);
  const auto kept_out = ledger.append_lines(remark("a"), {});
  REQUIRE(!kept_out.ok());
  CHECK(kept_out.error().code() == ErrorCode::unavailable);
  CHECK_EQ(kept_out.error().sentence(), "another program holds the ledger's file; try again when it is done");
  CHECK(ledger.head().ok());
  ::kill(holder, SIGKILL);
  REQUIRE(::waitpid(holder, nullptr, 0) == holder);
  CHECK(ledger.append_lines(remark("a"), {}).ok());
  CHECK_EQ(fault_of(ledger), "");
}
