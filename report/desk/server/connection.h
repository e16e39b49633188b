// One connection between two requests or in the middle of one. Who may touch it is told by its state: the thread that
// gathers, or, while it is answered, one worker. Its mutex is held only where it changes hands.
#pragma once

#include <cstddef>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include "report/desk/server/request.h"
#include "report/desk/server/wire.h"

namespace trayproof::desk {

struct Connection {
  enum class State {
    greeting,   // TLS handshake
    gathering,  // between requests, or until one is whole
    answering,  // a worker's
    writing,    // the answer goes out as fast as the other side takes it
    lingering,  // everything is said; what still comes is thrown away, so that the answer is not lost with a reset
  };

  std::unique_ptr<Wire> wire;
  std::string peer;

  std::mutex hands;
  State state = State::gathering;

  std::string in;
  std::size_t searched = 0;  // no end of a head before here
  std::optional<Head> head;
  std::size_t head_bytes = 0;
  Lane lane = Lane::quick;
  std::int64_t reserved = 0;  // bytes of the body promised, counted against all connections

  std::string out;
  std::size_t written = 0;
  bool close_after = false;
  int answered = 0;
  std::size_t thrown_away = 0;

  double since = 0;  // seconds of the clock: when the present wait began
  double deadline = 0;

  // Nothing of a request is there yet.
  bool idle() const { return state == State::gathering && in.empty() && !head; }
};

}  // namespace trayproof::desk
