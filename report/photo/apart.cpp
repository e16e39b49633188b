// The process that looks, and who waits for it.
#include <fcntl.h>
#include <poll.h>
#include <spawn.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <cstring>
#include <ctime>

#include "ledger/base/check.h"
#include "ledger/base/desk_limits.h"
#include "ledger/words/words.h"
#include "report/photo/looking.h"

namespace trayproof::photo {
namespace {

using json::Value;

constexpr std::pair<Seen, std::string_view> words[] = {{Seen::code, "code"},
                                                       {Seen::none, "none"},
                                                       {Seen::several, "several"},
                                                       {Seen::no_picture, "no-picture"},
                                                       {Seen::too_large, "too-large"}};

class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() { close(); }
  int number() const { return number_; }
  void close() {
    if (number_ >= 0) ::close(number_);
    number_ = -1;
  }

 private:
  int number_;
};

Error not_started(int found) {
  return Error(ErrorCode::unavailable, say("photo.not-started", {{"found", std::strerror(found)}}));
}

// The picture as a file that has no name.
Result<void> write_all(int file, ByteView bytes) {
  while (!bytes.empty()) {
    const ssize_t written = ::write(file, bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) return not_started(errno);
    bytes = bytes.subspan(static_cast<std::size_t>(written));
  }
  if (::lseek(file, 0, SEEK_SET) != 0) return not_started(errno);
  return {};
}

// With nothing open but the picture and where the answer goes, and no environment.
Result<pid_t> start(int picture, int answer) {
  posix_spawn_file_actions_t files;
  posix_spawnattr_t attributes;
  CHECK(posix_spawn_file_actions_init(&files) == 0 && posix_spawnattr_init(&attributes) == 0);
  int failed = posix_spawn_file_actions_adddup2(&files, picture, STDIN_FILENO);
  if (failed == 0) failed = posix_spawn_file_actions_adddup2(&files, answer, STDOUT_FILENO);
  if (failed == 0) failed = posix_spawn_file_actions_addopen(&files, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
  if (failed == 0) failed = posix_spawn_file_actions_addclosefrom_np(&files, STDERR_FILENO + 1);
  // The server's threads block signals; a process that looks must end when it is told to.
  sigset_t none;
  sigemptyset(&none);
  if (failed == 0) failed = posix_spawnattr_setsigmask(&attributes, &none);
  if (failed == 0) failed = posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETSIGMASK);
  pid_t child = 0;
  std::array<char*, 4> arguments{const_cast<char*>("trayproof"), const_cast<char*>("--json"),
                                 const_cast<char*>("read-code"), nullptr};
  char* environment[] = {nullptr};
  if (failed == 0)
    failed = posix_spawn(&child, "/proc/self/exe", &files, &attributes, arguments.data(), environment);
  posix_spawn_file_actions_destroy(&files);
  posix_spawnattr_destroy(&attributes);
  if (failed != 0) return not_started(failed);
  return child;
}

std::int64_t milliseconds_now() {
  timespec now{};
  ::clock_gettime(CLOCK_MONOTONIC, &now);
  return std::int64_t{now.tv_sec} * 1000 + now.tv_nsec / 1'000'000;
}

// What it says until it ends; nothing when that takes too long.
std::optional<std::string> hear(int from) {
  const std::int64_t end = milliseconds_now() + std::int64_t{limits::photo_wait_seconds} * 1000;
  std::string heard;
  while (heard.size() <= limits::photo_answer_bytes) {
    const std::int64_t left = end - milliseconds_now();
    if (left <= 0) return std::nullopt;
    pollfd waiting{.fd = from, .events = POLLIN, .revents = 0};
    const int ready = ::poll(&waiting, 1, static_cast<int>(left));
    if (ready < 0 && errno != EINTR) return std::nullopt;
    if (ready <= 0) continue;
    char piece[4096];
    const ssize_t got = ::read(from, piece, sizeof piece);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return std::nullopt;
    if (got == 0) return heard;
    heard.append(piece, static_cast<std::size_t>(got));
  }
  return std::nullopt;
}

int end_of(pid_t child) {
  int status = 0;
  while (::waitpid(child, &status, 0) < 0 && errno == EINTR) continue;
  return status;
}

Looked understood(const std::string& heard) {
  const auto read = json::parse(heard);
  if (!read.ok()) return {};
  Looked out;
  for (const auto& [seen, word] : words) {
    if (read.value().text_at("seen") == word) out.seen = seen;
  }
  const Value* codes = read.value().find("codes");
  if (codes == nullptr || !codes->is_list()) return {};
  for (const Value& one : codes->items()) {
    if (one.is_text()) out.codes.push_back(one.text());
  }
  if (out.seen == Seen::code && out.codes.size() != 1) return {};
  return out;
}

}  // namespace

Value told(const Looked& looked) {
  Value codes = Value::list();
  for (const std::string& one : looked.codes) codes.push(one);
  for (const auto& [seen, word] : words) {
    if (seen == looked.seen) return Value::object().set("seen", word).set("codes", std::move(codes));
  }
  CHECK(false);
  return {};
}

Result<Looked> look_apart(ByteView picture) {
  if (picture.size() > limits::photo_bytes) return Looked{.seen = Seen::too_large};
  const Descriptor held(::memfd_create("photo", MFD_CLOEXEC));
  if (held.number() < 0) return not_started(errno);
  TRY(write_all(held.number(), picture));
  int ends[2];
  if (::pipe2(ends, O_CLOEXEC) != 0) return not_started(errno);
  const Descriptor reading(ends[0]);
  Descriptor writing(ends[1]);
  TRY_LET(const pid_t child, start(held.number(), writing.number()));
  writing.close();
  const auto heard = hear(reading.number());
  if (!heard) ::kill(child, SIGKILL);
  const int status = end_of(child);
  // Killed for what it tried, out of memory or time, or by an assertion of a library: the picture was not read.
  if (!heard || !WIFEXITED(status)) return Looked{};
  constexpr int not_confined = 4;  // docs/commands.md
  if (WEXITSTATUS(status) == not_confined) return Error(ErrorCode::unavailable, say("photo.not-here"));
  return understood(*heard);
}

}  // namespace trayproof::photo
