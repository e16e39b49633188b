#include "report/desk/server/listening.h"

#include <arpa/inet.h>
#include <netdb.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <memory>

#include "ledger/base/desk_limits.h"
#include "ledger/words/words.h"

namespace trayproof::desk {
namespace {

void switch_on(int socket, int level, int option) {
  const int on = 1;
  // What the kernel refuses costs speed or a minute after a restart, nothing else.
  static_cast<void>(::setsockopt(socket, level, option, &on, sizeof on));
}

Error cannot(const std::string& address, int port, int why) {
  const std::string where = address + ":" + std::to_string(port);
  if (why == EADDRINUSE) return {ErrorCode::unavailable, say("desk.port-taken", {{"where", where}})};
  return {ErrorCode::unavailable, say("desk.cannot-listen", {{"where", where}, {"why", std::strerror(why)}})};
}

std::string address_of(const sockaddr_storage& from) {
  char text[INET6_ADDRSTRLEN] = "";
  if (from.ss_family == AF_INET) {
    sockaddr_in four{};
    std::memcpy(&four, &from, sizeof four);
    ::inet_ntop(AF_INET, &four.sin_addr, text, sizeof text);
  } else {
    sockaddr_in6 six{};
    std::memcpy(&six, &from, sizeof six);
    ::inet_ntop(AF_INET6, &six.sin6_addr, text, sizeof text);
  }
  return text;
}

}  // namespace

Descriptor::~Descriptor() { close(); }

void Descriptor::close() {
  if (number_ >= 0) ::close(number_);
  number_ = -1;
}

Result<Descriptor> listen_at(const std::string& address, int port) {
  addrinfo wanted{};
  wanted.ai_flags = AI_NUMERICHOST | AI_NUMERICSERV | AI_PASSIVE;
  wanted.ai_socktype = SOCK_STREAM;
  addrinfo* found = nullptr;
  if (::getaddrinfo(address.c_str(), std::to_string(port).c_str(), &wanted, &found) != 0) {
    return Error(ErrorCode::invalid, say("desk.no-address", {{"found", address}}));
  }
  const std::unique_ptr<addrinfo, void (*)(addrinfo*)> owned(found, ::freeaddrinfo);
  Descriptor socket(::socket(found->ai_family, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0));
  if (socket.number() < 0) return cannot(address, port, errno);
  switch_on(socket.number(), SOL_SOCKET, SO_REUSEADDR);
  if (::bind(socket.number(), found->ai_addr, found->ai_addrlen) != 0) return cannot(address, port, errno);
  if (::listen(socket.number(), limits::desk_backlog) != 0) return cannot(address, port, errno);
  return socket;
}

Result<int> port_of(const Descriptor& listening) {
  sockaddr_storage where{};
  socklen_t size = sizeof where;
  if (::getsockname(listening.number(), reinterpret_cast<sockaddr*>(&where), &size) != 0) {
    return Error(ErrorCode::unavailable, std::strerror(errno));
  }
  sockaddr_in6 six{};
  std::memcpy(&six, &where, sizeof six);
  return ntohs(six.sin6_port);  // at the same place for both families
}

int accept_from(const Descriptor& listening, std::string& peer) {
  sockaddr_storage from{};
  socklen_t size = sizeof from;
  const int socket =
      ::accept4(listening.number(), reinterpret_cast<sockaddr*>(&from), &size, SOCK_NONBLOCK | SOCK_CLOEXEC);
  if (socket < 0) return -1;
  switch_on(socket, IPPROTO_TCP, TCP_NODELAY);
  peer = address_of(from);
  return socket;
}

}  // namespace trayproof::desk
