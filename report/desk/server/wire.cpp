#include "report/desk/server/wire.h"

#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>

namespace trayproof::desk {
namespace {

class Plain final : public Wire {
 public:
  explicit Plain(int socket) : socket_(socket) {}
  ~Plain() override { ::close(socket_); }
  Plain(const Plain&) = delete;
  Plain& operator=(const Plain&) = delete;

  int socket() const override { return socket_; }
  Moved greet() override { return Moved::some; }

  Moved read(char* into, std::size_t size, std::size_t& moved) override {
    const ssize_t count = ::recv(socket_, into, size, 0);
    if (count == 0) return Moved::ended;
    return outcome(count, moved, Moved::nothing_to_read);
  }

  Moved write(const char* bytes, std::size_t size, std::size_t& moved) override {
    return outcome(::send(socket_, bytes, size, MSG_NOSIGNAL), moved, Moved::nowhere_to_put);
  }

  bool holds_more() const override { return false; }
  void end_writing() override { ::shutdown(socket_, SHUT_WR); }

 private:
  static Moved outcome(ssize_t count, std::size_t& moved, Moved later) {
    moved = count > 0 ? static_cast<std::size_t>(count) : 0;
    if (count > 0) return Moved::some;
    return errno == EAGAIN || errno == EINTR ? later : Moved::broken;
  }

  int socket_;
};

}  // namespace

std::unique_ptr<Wire> plain_wire(int socket) { return std::make_unique<Plain>(socket); }

}  // namespace trayproof::desk
