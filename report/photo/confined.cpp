#include "report/photo/confined.h"

#include <seccomp.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <unistd.h>

#include <cstdio>
#include <cstring>
#include <memory>

#include "ledger/base/desk_limits.h"
#include "ledger/words/words.h"

namespace trayproof::photo {
namespace {

Error not_confined(int found) {
  return Error(ErrorCode::unavailable, say("photo.not-confined", {{"found", std::strerror(found)}}));
}

Result<void> limit(int what, rlim_t most) {
  const rlimit wanted{.rlim_cur = most, .rlim_max = most};
  if (::setrlimit(static_cast<__rlimit_resource_t>(what), &wanted) != 0) return not_confined(errno);
  return {};
}

// What this process has mapped already, in bytes: allocators reserve much and use little of it.
rlim_t mapped_now() {
  long pages = 0;
  std::FILE* file = std::fopen("/proc/self/statm", "re");
  if (file == nullptr) return 0;
  if (std::fscanf(file, "%ld", &pages) != 1) pages = 0;
  std::fclose(file);
  return static_cast<rlim_t>(pages) * static_cast<rlim_t>(::sysconf(_SC_PAGESIZE));
}

struct Releaser {
  void operator()(void* filter) const { seccomp_release(filter); }
};

// Reading, writing, memory, the clock, ending. New memory is never for code.
Result<void> filter_calls() {
  const std::unique_ptr<void, Releaser> filter(seccomp_init(SCMP_ACT_KILL_PROCESS));
  if (!filter) return not_confined(ENOMEM);
  const int calls[] = {
      SCMP_SYS(read),         SCMP_SYS(write),        SCMP_SYS(writev),        SCMP_SYS(close),
      SCMP_SYS(lseek),        SCMP_SYS(fstat),        SCMP_SYS(newfstatat),    SCMP_SYS(munmap),
      SCMP_SYS(mremap),       SCMP_SYS(brk),          SCMP_SYS(madvise),       SCMP_SYS(futex),
      SCMP_SYS(getrandom),    SCMP_SYS(rt_sigaction), SCMP_SYS(rt_sigprocmask), SCMP_SYS(rt_sigreturn),
      SCMP_SYS(clock_gettime), SCMP_SYS(sched_yield), SCMP_SYS(getpid),        SCMP_SYS(gettid),
      SCMP_SYS(tgkill),       SCMP_SYS(exit),         SCMP_SYS(exit_group),
  };
  for (const int call : calls) {
    if (const int done = seccomp_rule_add(filter.get(), SCMP_ACT_ALLOW, call, 0); done != 0) return not_confined(-done);
  }
  // The third argument without the bit that makes memory executable.
  const scmp_arg_cmp no_code{.arg = 2, .op = SCMP_CMP_MASKED_EQ, .datum_a = PROT_EXEC, .datum_b = 0};
  for (const int call : {SCMP_SYS(mmap), SCMP_SYS(mprotect)}) {
    const int done = seccomp_rule_add(filter.get(), SCMP_ACT_ALLOW, call, 1, no_code);
    if (done != 0) return not_confined(-done);
  }
  if (const int done = seccomp_load(filter.get()); done != 0) return not_confined(-done);
  return {};
}

}  // namespace

Result<void> confine_this_process() {
  TRY(limit(RLIMIT_CPU, limits::photo_seconds));
  TRY(limit(RLIMIT_AS, mapped_now() + limits::photo_memory_bytes));
  TRY(limit(RLIMIT_CORE, 0));
  TRY(limit(RLIMIT_FSIZE, limits::photo_answer_bytes));
  if (::prctl(PR_SET_DUMPABLE, 0, 0, 0, 0) != 0 || ::prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) != 0)
    return not_confined(errno);
  return filter_calls();
}

}  // namespace trayproof::photo
