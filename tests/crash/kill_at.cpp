// Preloaded into the real program: kills it at the nth call that changes something in one folder, before that call is
// made or, of a write, when half of it is.
//
//   TRAYPROOF_KILL_FOLDER  the folder
//   TRAYPROOF_KILL_AT      n, counted from 1
//   TRAYPROOF_KILL_HALF    set: a write is made by half first
#include <signal.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <cstdlib>
#include <cstring>
#include <new>

#include "tests/crash/calls.h"

namespace trayproof::tests {
namespace {

class Killing final : public Watcher {
 public:
  Killing(const char* folder, long at, bool half) : folder_(folder), at_(at), half_(half) {}

  Verdict before(const Call& call) override {
    if (!changes(call.sort) || !in_folder(call) || ++seen_ != at_) return {};
    if (half_ && call.sort == CallSort::write) ::syscall(SYS_pwrite64, call.fd, call.bytes, call.size / 2, call.offset);
    ::kill(::getpid(), SIGKILL);
    return {};
  }
  void after(const Call& call) override { static_cast<void>(call); }

 private:
  static bool changes(CallSort sort) {
    return sort != CallSort::open && sort != CallSort::read && sort != CallSort::lock;
  }
  bool in_folder(const Call& call) const {
    const std::size_t length = std::strlen(folder_);
    if (call.path != nullptr) return std::strncmp(call.path, folder_, length) == 0;
    char path[4096];
    return path_of(call.fd, path, sizeof path) && std::strncmp(path, folder_, length) == 0;
  }

  const char* folder_;
  long at_;
  bool half_;
  long seen_ = 0;
};

// Before main, so that nothing of the program goes by unseen; never destroyed, since files are closed after main too.
const bool set_up = [] {
  const char* const folder = std::getenv("TRAYPROOF_KILL_FOLDER");
  const char* const at = std::getenv("TRAYPROOF_KILL_AT");
  if (folder == nullptr || at == nullptr) return false;
  alignas(Killing) static unsigned char place[sizeof(Killing)];
  watch(new (place) Killing(folder, std::strtol(at, nullptr, 10), std::getenv("TRAYPROOF_KILL_HALF") != nullptr));
  return true;
}();

}  // namespace
}  // namespace trayproof::tests
