#include <sys/mman.h>
#include <unistd.h>

#include <string>

#include "report/evidence/check/check.h"
#include "tests/fuzz/target.h"

namespace trayproof::fuzz {

// Whatever the zip of a stranger holds, it is answered or refused, and nothing is good that nobody vouches for.
void evidence_pack(std::string_view bytes) {
  const int file = ::memfd_create("pack", MFD_CLOEXEC);
  must_hold(file >= 0, "a file in memory");
  must_hold(::write(file, bytes.data(), bytes.size()) == static_cast<ssize_t>(bytes.size()), "the whole input in it");
  const auto checked = evidence::check("/proc/self/fd/" + std::to_string(file), {});
  ::close(file);
  if (!checked.ok()) {
    must_hold(checked.error().code() == ErrorCode::invalid, "refused and not broken off");
    return;
  }
  must_hold(!checked.value().is_good(), "nobody vouches for it");
  must_hold(checked.value().problems.size() <= checked.value().problem_count, "problems counted");
}

}  // namespace trayproof::fuzz
