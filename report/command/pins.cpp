#include "report/command/pins.h"

#include <fcntl.h>
#include <signal.h>
#include <termios.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "ledger/crypto/stretch.h"
#include "ledger/people/pin.h"
#include "ledger/words/words.h"

namespace trayproof::command {
namespace {

constexpr std::size_t pin_bytes_max = 256;

volatile sig_atomic_t interrupted = 0;
void note_interrupt(int number) { interrupted = number; }

// Byte by byte, so that the next line stays for who reads it next. Nothing at the end of what comes.
Result<std::optional<std::string>> read_line(int fd) {
  std::string line;
  bool any = false;
  while (line.size() <= pin_bytes_max) {
    char one = 0;
    const ssize_t got = ::read(fd, &one, 1);
    if (got < 0 && errno == EINTR && interrupted == 0) continue;
    if (got < 0) return Error(ErrorCode::invalid, say("people.pin-unreadable", {{"why", std::strerror(errno)}}));
    if (got == 0) break;
    any = true;
    if (one == '\n') break;
    line += one;
  }
  if (line.ends_with('\r')) line.pop_back();
  return any ? std::optional(line) : std::nullopt;
}

// The terminal with its echo off; as it was when this goes, also when the reading is interrupted.
class Unseen {
 public:
  explicit Unseen(int fd) : fd_(fd) {
    known_ = ::tcgetattr(fd_, &before_) == 0;
    if (!known_) return;
    struct termios unseen = before_;
    unseen.c_lflag &= static_cast<tcflag_t>(~static_cast<tcflag_t>(ECHO | ECHONL));
    ::tcsetattr(fd_, TCSAFLUSH, &unseen);
    interrupted = 0;
    struct sigaction noting {};
    noting.sa_handler = note_interrupt;  // without SA_RESTART: the read ends
    ::sigaction(SIGINT, &noting, &on_interrupt_);
    ::sigaction(SIGTERM, &noting, &on_end_);
  }
  Unseen(const Unseen&) = delete;
  Unseen& operator=(const Unseen&) = delete;
  ~Unseen() {
    if (!known_) return;
    ::tcsetattr(fd_, TCSAFLUSH, &before_);
    ::sigaction(SIGINT, &on_interrupt_, nullptr);
    ::sigaction(SIGTERM, &on_end_, nullptr);
    if (interrupted != 0) ::raise(interrupted);
  }

 private:
  int fd_;
  bool known_ = false;
  struct termios before_ {};
  struct sigaction on_interrupt_ {};
  struct sigaction on_end_ {};
};

class Terminal {
 public:
  Terminal() : fd_(::open("/dev/tty", O_RDWR | O_NOCTTY | O_CLOEXEC)) {}
  Terminal(const Terminal&) = delete;
  Terminal& operator=(const Terminal&) = delete;
  ~Terminal() {
    if (fd_ >= 0) ::close(fd_);
  }
  bool is_there() const { return fd_ >= 0; }
  void write(const std::string& text) const {
    if (::write(fd_, text.data(), text.size()) < 0) return;  // a prompt that cannot be seen: the reading will tell
  }
  Result<std::optional<std::string>> ask(const std::string& prompt) const {
    write(prompt);
    Result<std::optional<std::string>> line = std::optional<std::string>{};
    {
      const Unseen unseen(fd_);
      line = read_line(fd_);
    }
    write("\n");
    return line;
  }

 private:
  int fd_;
};

}  // namespace

Result<std::string> read_pin(const std::string& prompt, const std::optional<int>& pin_fd) {
  std::optional<std::string> line;
  if (pin_fd) {
    TRY_LET(line, read_line(*pin_fd));
    if (!line) return Error(ErrorCode::invalid, say("people.pin-no-line", {{"fd", std::to_string(*pin_fd)}}));
  } else {
    const Terminal terminal;
    if (!terminal.is_there()) return Error(ErrorCode::invalid, say("people.pin-no-terminal"));
    TRY_LET(line, terminal.ask(prompt));
    if (!line) return Error(ErrorCode::invalid, say("people.pin-none"));
  }
  return std::move(*line);
}

Result<std::string> read_new_pin(const std::string& person, const std::optional<int>& pin_fd) {
  TRY_LET(auto pin, read_pin(say("people.pin-new", {{"person", person}}), pin_fd));
  if (const auto fault = people::pin_fault(pin, person)) return Error(ErrorCode::invalid, people::word(*fault));
  if (!pin_fd) {
    TRY_LET(auto again, read_pin(say("people.pin-again"), pin_fd));
    const bool same = again == pin;
    crypto::forget(again.data(), again.size());
    if (!same) return Error(ErrorCode::invalid, say("people.pin-differs"));
  }
  return pin;
}

Result<void> sign_in(Ledger& ledger, const std::string& person, const std::optional<int>& pin_fd) {
  TRY_LET(const auto book, ledger.key_book());
  if (book.in_force(person, "person") == nullptr)
    return Error(ErrorCode::missing, say("people.no-key", {{"person", person}}));
  TRY_LET(auto pin, read_pin(say("people.pin-ask", {{"person", person}}), pin_fd));
  auto signer = ledger.unlock(person, pin);
  crypto::forget(pin.data(), pin.size());
  if (!signer.ok()) return std::move(signer).error();
  ledger.sign_in(std::move(signer).value());
  return {};
}

}  // namespace trayproof::command
