// `serve`: the desk over a ledger until it is told to stop.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>

#include "ledger/base/result.h"
#include "report/desk/desk.h"
#include "report/desk/server/server.h"

namespace trayproof::desk {

struct Serving {
  std::string ledger;
  Drives drives = Drives::own;
  Listening listening;
  Premises premises;
  // Told once it listens: the address.
  std::function<void(const std::string& address, Desk& desk)> ready;
  std::function<void(std::string_view)> log;
};

// Invalid when the address would be open to a network without TLS. Returns after SIGTERM or SIGINT.
Result<void> serve(Serving serving, Clock& clock);

}  // namespace trayproof::desk
