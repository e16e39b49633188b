#include "tests/crash/program.h"

#include <fcntl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <utility>

namespace trayproof::tests {
namespace {

std::string text_of(const std::string& path) {
  std::ostringstream text;
  text << std::ifstream(path, std::ios::binary).rdbuf();
  return text.str();
}

}  // namespace

Begun begin_program(const MemoryFolder& folder, const MemoryFolder& aside, const std::string& name,
                    const std::vector<std::string>& arguments, long at) {
  std::vector<std::string> words = {TRAYPROOF_PROGRAM, "--ledger", folder.file("ward")};
  words.insert(words.end(), arguments.begin(), arguments.end());
  const Begun begun{.child = ::fork(), .out = aside.file(name + ".out"), .err = aside.file(name + ".err")};
  if (begun.child < 0) ::trayproof::check_failed("fork", __FILE__, __LINE__);
  if (begun.child > 0) return begun;
  if (at > 0) {
    ::setenv("LD_PRELOAD", TRAYPROOF_KILL_AT_LIBRARY, 1);
    ::setenv("TRAYPROOF_KILL_FOLDER", folder.path().c_str(), 1);
    ::setenv("TRAYPROOF_KILL_AT", std::to_string(at).c_str(), 1);
    if (at % 2 == 1) ::setenv("TRAYPROOF_KILL_HALF", "1", 1);
  }
  for (const auto& [path, fd] : {std::pair{begun.out, 1}, std::pair{begun.err, 2}}) {
    ::dup2(::open(path.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600), fd);
  }
  std::vector<char*> raw;
  for (std::string& word : words) raw.push_back(word.data());
  raw.push_back(nullptr);
  ::execv(raw.front(), raw.data());
  ::_exit(127);
}

Ran end_of(const Begun& begun) {
  int status = 0;
  if (::waitpid(begun.child, &status, 0) != begun.child) ::trayproof::check_failed("waitpid", __FILE__, __LINE__);
  const bool killed = WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL;
  if (!killed && !WIFEXITED(status)) ::trayproof::check_failed("the program died", __FILE__, __LINE__);
  return {.killed = killed,
          .status = killed ? -1 : WEXITSTATUS(status),
          .out = text_of(begun.out),
          .err = text_of(begun.err)};
}

Ran run_program(const MemoryFolder& folder, const MemoryFolder& aside, const std::vector<std::string>& arguments,
                long at) {
  return end_of(begin_program(folder, aside, "run", arguments, at));
}

std::vector<std::string> create_words() {
  return {"create", "--name", "Invented ward", "--zone", "Etc/GMT-5", "--altitude-m", "120"};
}

std::string curve() {
  std::string text = "time;chamber °C\n";
  for (int minute = 0; minute < 45; ++minute) {
    const int celsius = minute < 10 ? 30 + minute * 9 : minute < 34 ? 122 : 122 - (minute - 33) * 6;
    char row[64];
    std::snprintf(row, sizeof row, "2024-10-05 06:%02d:00;%d.0\n", minute, celsius);
    text += row;
  }
  return text;
}

}  // namespace trayproof::tests
