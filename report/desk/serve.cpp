#include "report/desk/serve.h"

#include <sys/resource.h>
#include <sys/signalfd.h>

#include <cerrno>
#include <csignal>
#include <cstring>

#include "ledger/base/desk_limits.h"
#include "ledger/words/words.h"
#include "report/desk/server/listening.h"

namespace trayproof::desk {
namespace {

bool is_loopback(std::string_view address) { return address.starts_with("127.") || address == "::1"; }

// A file descriptor that can be read once the program is asked to stop. Before any thread: they inherit the mask.
Descriptor told_to_stop() {
  sigset_t stops;
  sigemptyset(&stops);
  sigaddset(&stops, SIGTERM);
  sigaddset(&stops, SIGINT);
  ::pthread_sigmask(SIG_BLOCK, &stops, nullptr);
  return Descriptor(::signalfd(-1, &stops, SFD_CLOEXEC | SFD_NONBLOCK));
}

// Each connection is an open file.
void allow_open_files() {
  constexpr rlim_t besides = 512;
  rlimit limit{};
  if (::getrlimit(RLIMIT_NOFILE, &limit) != 0) return;
  const rlim_t wanted = limits::desk_connections + besides;
  if (limit.rlim_cur >= wanted) return;
  limit.rlim_cur = std::min(wanted, limit.rlim_max);
  // With fewer, connections go earlier.
  static_cast<void>(::setrlimit(RLIMIT_NOFILE, &limit));
}

std::string address_of(const Listening& where, int port, bool secure) {
  const bool six = where.bind.find(':') != std::string::npos;
  return std::string(secure ? "https" : "http") + "://" + (six ? "[" + where.bind + "]" : where.bind) + ":" +
         std::to_string(port) + "/";
}

}  // namespace

Result<void> serve(Serving serving, Clock& clock) {
  const bool own_tls = serving.listening.tls.has_value();
  if (!is_loopback(serving.listening.bind) && !own_tls && !serving.premises.behind_proxy)
    return Error(ErrorCode::invalid, say("desk.bind-open", {{"found", serving.listening.bind}}));
  serving.premises.secure = own_tls || serving.premises.behind_proxy;
  serving.premises.bind = serving.listening.bind;
  allow_open_files();
  const Descriptor stop = told_to_stop();
  if (stop.number() < 0) return Error(ErrorCode::unavailable, std::strerror(errno));
  TRY_LET(auto record, Record::open(serving.ledger, clock, serving.drives));
  Desk desk(std::move(record), clock, serving.premises, serving.log);
  TRY_LET(const auto server, Server::listen(serving.listening, desk, clock));
  serving.ready(address_of(serving.listening, server->port(), own_tls), desk);
  server->run(stop.number());
  desk.stop();
  if (desk.record().is_uncertain()) return Error(ErrorCode::uncertain, say("desk.uncertain"));
  return {};
}

}  // namespace trayproof::desk
