// The command line: words in, a verb's work done, exit status out. docs/commands.md is the authority on both.
#pragma once

#include <iosfwd>

namespace trayproof::command {

int run(int argc, const char* const* argv, std::ostream& out, std::ostream& err);

}  // namespace trayproof::command
