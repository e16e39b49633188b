// The real program in a process of its own.
#pragma once

#include <sys/types.h>

#include <string>
#include <vector>

#include "tests/crash/opened_again.h"

namespace trayproof::tests {

struct Ran {
  bool killed = false;
  int status = -1;
  std::string out;
  std::string err;
};

// A command that was begun; what it prints goes to files in `aside`, named by `name`.
struct Begun {
  ::pid_t child = -1;
  std::string out;
  std::string err;
};

// The command at the ledger "ward" of `folder`; killed at its nth call that changes something there unless `at` is 0
// (kill_at.cpp): every second write by half.
Begun begin_program(const MemoryFolder& folder, const MemoryFolder& aside, const std::string& name,
                    const std::vector<std::string>& arguments, long at = 0);
Ran end_of(const Begun& begun);
Ran run_program(const MemoryFolder& folder, const MemoryFolder& aside, const std::vector<std::string>& arguments,
                long at = 0);

std::vector<std::string> create_words();
// A logger's export with one plateau at 122 °C, on 2024-10-05 at 06:00.
std::string curve();

}  // namespace trayproof::tests
