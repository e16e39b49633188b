// The socket that new connections come from.
#pragma once

#include <string>

#include "ledger/base/result.h"

namespace trayproof::desk {

// A file descriptor that closes itself.
class Descriptor {
 public:
  explicit Descriptor(int number) : number_(number) {}
  ~Descriptor();
  Descriptor(Descriptor&& other) noexcept : number_(other.number_) { other.number_ = -1; }
  Descriptor& operator=(Descriptor&&) = delete;
  int number() const { return number_; }
  void close();

 private:
  int number_;
};

// SO_REUSEADDR only: with SO_REUSEPORT a second desk would take half of the first one's browsers in silence.
Result<Descriptor> listen_at(const std::string& address, int port);
Result<int> port_of(const Descriptor& listening);
// The next connection, ready for use without waiting, and whose it is; -1 when there is none or it could not be taken.
int accept_from(const Descriptor& listening, std::string& peer);

}  // namespace trayproof::desk
