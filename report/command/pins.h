// Where PINs come from: typed on the terminal, unseen, or one a line from the descriptor of --pin-fd. They are never
// arguments or variables of the environment, where others could read them.
#pragma once

#include <optional>
#include <string>

#include "ledger/ledger.h"

namespace trayproof::command {

// One PIN. Invalid when there is neither a terminal nor a line.
Result<std::string> read_pin(const std::string& prompt, const std::optional<int>& pin_fd);
// A new one for that person, that people::pin_fault lets pass; typed twice on a terminal.
Result<std::string> read_new_pin(const std::string& person, const std::optional<int>& pin_fd);
// Signs the ledger's handle in with the PIN that is asked for.
Result<void> sign_in(Ledger& ledger, const std::string& person, const std::optional<int>& pin_fd);

}  // namespace trayproof::command
