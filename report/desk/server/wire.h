// Bytes to and from one connection, without ever waiting.
#pragma once

#include <cstddef>
#include <memory>

namespace trayproof::desk {

enum class Moved {
  some,             // at least one byte
  nothing_to_read,  // go on when the socket can be read
  nowhere_to_put,   // go on when the socket can be written
  ended,            // the other side sends no more
  broken,
};

class Wire {
 public:
  virtual ~Wire() = default;
  virtual int socket() const = 0;
  // The handshake: `some` when it is done.
  virtual Moved greet() = 0;
  virtual Moved read(char* into, std::size_t size, std::size_t& moved) = 0;
  virtual Moved write(const char* bytes, std::size_t size, std::size_t& moved) = 0;
  // Bytes that were taken off the socket already and wait in memory.
  virtual bool holds_more() const = 0;
  // Tells the other side that nothing follows; reading goes on.
  virtual void end_writing() = 0;
};

// Closes the socket when it goes.
std::unique_ptr<Wire> plain_wire(int socket);

}  // namespace trayproof::desk
