// The server of the desk. One thread gathers: it accepts, holds idle and slow connections at the cost of their bytes,
// and reads each request into a bounded buffer until it is whole or its time is up. Only whole requests go to workers,
// so that nobody who is slow holds one. Answers are written without waiting; who does not take theirs is dropped.
// docs/desk.md and docs/decisions/0040 are the authority; every limit stands in ledger/base/limits.h.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "ledger/base/clock.h"
#include "ledger/base/result.h"
#include "report/desk/server/request.h"
#include "report/desk/server/tls.h"

namespace trayproof::desk {

struct Listening {
  std::string bind = "127.0.0.1";  // a numeric address
  int port = 0;                    // 0: any that is free
  std::optional<TlsFiles> tls = {};
};

class Server {
 public:
  // Unavailable when the address is taken or is none of this machine's; invalid when it is no address.
  static Result<std::unique_ptr<Server>> listen(const Listening& where, Application& application, Clock& clock);
  virtual ~Server() = default;

  virtual int port() const = 0;
  // Returns after `stop` could be read: nothing new is accepted, what is whole is answered, and no longer than
  // limits::desk_stop_seconds; at once when it can be read a second time.
  virtual void run(int stop) = 0;
  // For pages and tests that tell how it goes.
  struct Count {
    std::int64_t connections = 0;  // now
    std::int64_t answered = 0;     // since the start
    std::int64_t refused = 0;
    std::int64_t dropped = 0;  // too slow, or in the way of new ones
  };
  virtual Count count() const = 0;
};

}  // namespace trayproof::desk
