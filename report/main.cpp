#include <csignal>
#include <cstdio>
#include <exception>
#include <iostream>

#include "report/command/run.h"

// Arguments, streams and environment in, exit status out; everything else is in report/command. The second wall at
// which a library's exception stops.
int main(int argc, char** argv) {
  std::signal(SIGPIPE, SIG_IGN);
  std::ios::sync_with_stdio(false);
  try {
    return trayproof::command::run(argc, argv, std::cout, std::cerr);
  } catch (const std::exception& found) {
    std::fprintf(stderr, "trayproof: %s\n", found.what());
    return 4;
  }
}
