#include "report/command/context.h"

#include <sys/ioctl.h>
#include <unistd.h>

#include "ledger/identities.h"
#include "ledger/words/words.h"
#include "report/command/pins.h"

namespace trayproof::command {

void Context::print(const json::Value& document) const { out << json::plain(document) << '\n'; }

void Context::tell(std::string_view text) const {
  if (!quiet) err << text << '\n';
}

Status Context::fail(const Error& error) const {
  err << "trayproof: " << without_numbers(error.sentence(), ledger_path) << '\n';
  switch (error.code()) {
    case ErrorCode::invalid:
    case ErrorCode::missing:
    case ErrorCode::denied:
      return Status::refused;
    case ErrorCode::conflict:
    case ErrorCode::corrupt:
    case ErrorCode::unavailable:
    case ErrorCode::uncertain:
      return Status::broken;
  }
  return Status::broken;
}

int terminal_columns() {
  if (::isatty(STDOUT_FILENO) == 0) return 0;
  struct winsize window {};
  constexpr int usual = 80;
  return ::ioctl(STDOUT_FILENO, TIOCGWINSZ, &window) == 0 && window.ws_col > 0 ? window.ws_col : usual;
}

std::string without_numbers(std::string sentence, const std::string& ledger_path) {
  const auto keys = people::KeyFile::read(people::key_path(ledger_path));
  if (!keys.ok()) return sentence;
  auto file = store::LedgerFile::open(ledger_path, store::Access::read);
  if (!file.ok()) return sentence;
  KnownNumbers numbers(keys.value());
  return numbers.load(file.value()).ok() ? numbers.masked(std::move(sentence)) : sentence;
}

Status Context::misused(std::string_view sentence) const {
  err << "trayproof: " << without_numbers(std::string(sentence), ledger_path) << '\n';
  return Status::usage;
}

Result<Ledger> Context::open(store::Access access) const {
  auto ledger = Ledger::open(ledger_path, clock, access, drives);
  // A ledger that is not there is a matter of this machine, not of what was typed into it.
  if (!ledger.ok() && (ledger.error().code() == ErrorCode::missing || ledger.error().code() == ErrorCode::denied)) {
    return Error(ErrorCode::unavailable, ledger.error().sentence());
  }
  if (ledger.ok() && as && access == store::Access::write) TRY(sign_in(ledger.value(), *as, pin_fd));
  return ledger;
}

std::string count_text(std::int64_t value) { return std::to_string(value); }

}  // namespace trayproof::command
