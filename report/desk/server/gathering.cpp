#include "report/desk/server/gathering.h"

#include <sys/epoll.h>
#include <sys/eventfd.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>

#include "ledger/base/desk_limits.h"

namespace trayproof::desk {
namespace {

constexpr int sweep_ms = 200;
constexpr std::size_t read_bytes = 16 * 1024;

double seconds_for(std::int64_t bytes) {
  return static_cast<double>(bytes) / static_cast<double>(limits::desk_bytes_a_second);
}

bool watch(int epoll, int what, void* known_as) {
  epoll_event event{};
  event.events = EPOLLIN;
  event.data.ptr = known_as;
  return ::epoll_ctl(epoll, EPOLL_CTL_ADD, what, &event) == 0;
}

}  // namespace

Gathering::Gathering(Descriptor listening, int port, std::shared_ptr<Tls> tls, Application& application, Clock& clock)
    : listening_(std::move(listening)),
      port_(port),
      tls_(std::move(tls)),
      application_(application),
      clock_(clock),
      answering_(application),
      epoll_(::epoll_create1(EPOLL_CLOEXEC)),
      wake_(::eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK)) {}

Gathering::~Gathering() = default;

Result<void> Gathering::prepare() {
  if (epoll_.number() < 0 || wake_.number() < 0 || !watch(epoll_.number(), listening_.number(), &listening_) ||
      !watch(epoll_.number(), wake_.number(), &wake_)) {
    return Error(ErrorCode::unavailable, std::strerror(errno));
  }
  lanes_ = std::make_unique<Lanes>([this](Connection& one) { work(one); });
  return {};
}

Server::Count Gathering::count() const {
  return {.connections = connected_, .answered = answered_, .refused = refused_, .dropped = dropped_};
}

void Gathering::run(int stop) {
  int stop_mark = 0;
  if (!watch(epoll_.number(), stop, &stop_mark)) return;
  std::array<epoll_event, 256> events{};
  double swept = clock_.seconds();
  double stop_by = 0;
  while (!stopping_ || (!connections_.empty() && clock_.seconds() < stop_by)) {
    bool new_ones = false;
    const int count = ::epoll_wait(epoll_.number(), events.data(), static_cast<int>(events.size()), sweep_ms);
    for (int i = 0; i < count; ++i) {
      void* who = events[static_cast<std::size_t>(i)].data.ptr;
      if (who == &listening_) {
        new_ones = true;
      } else if (who == &wake_) {
        std::uint64_t times = 0;
        static_cast<void>(::read(wake_.number(), &times, sizeof times));
      } else if (who == &stop_mark) {
        std::array<char, 128> told{};  // one signal, as signalfd tells it: taken, so that it ends nothing later
        static_cast<void>(::read(stop, told.data(), told.size()));
        stop_by = stopping_ ? 0 : clock_.seconds() + limits::desk_stop_seconds;
        if (!stopping_) {
          stopping_ = true;
          ::epoll_ctl(epoll_.number(), EPOLL_CTL_DEL, listening_.number(), nullptr);
          listening_.close();
        }
      } else {
        turn(*static_cast<Connection*>(who));
      }
    }
    // Not before all that was told is heard: making room may end a connection that something was told of.
    if (new_ones && !stopping_) accept_all();
    take_back_all();
    if (stopping_) close_what_waits();
    const double now = clock_.seconds();
    if (now - swept < sweep_ms / 1000.0) continue;
    swept = now;
    sweep();
  }
  lanes_.reset();
  connections_.clear();
}

void Gathering::accept_all() {
  // A flood of new connections must not keep those that are there waiting.
  constexpr int at_once = 64;
  for (int i = 0; i < at_once; ++i) {
    if (connections_.size() >= limits::desk_connections) make_room();
    std::string peer;
    const int socket = accept_from(listening_, peer);
    if (socket < 0) {
      // Too many files are open: somebody has to go, or the listening socket would tell of this one for ever.
      if (errno == EMFILE || errno == ENFILE) make_room();
      return;
    }
    auto made = std::make_unique<Connection>();
    made->wire = tls_ ? tls_->wire(socket) : plain_wire(socket);
    if (!made->wire) continue;
    made->peer = std::move(peer);
    made->state = tls_ ? Connection::State::greeting : Connection::State::gathering;
    wait(*made, made->state, limits::desk_head_seconds);
    Connection& one = *made;
    connections_.emplace(&one, std::move(made));
    connected_ = static_cast<std::int64_t>(connections_.size());
    epoll_event event{};
    event.events = EPOLLIN | EPOLLONESHOT;
    event.data.ptr = &one;
    if (::epoll_ctl(epoll_.number(), EPOLL_CTL_ADD, socket, &event) != 0) drop(one);
  }
}

// Who waits longest with nothing asked goes first, then who has not finished asking.
void Gathering::make_room() {
  Connection* goes = nullptr;
  bool goes_idle = false;
  for (const auto& [one, owned] : connections_) {
    const std::lock_guard lock(one->hands);
    if (one->state == Connection::State::answering || one->state == Connection::State::writing) continue;
    const bool idle = one->idle() || one->state == Connection::State::lingering;
    if (goes != nullptr && (goes_idle && !idle)) continue;
    if (goes != nullptr && goes_idle == idle && goes->since <= one->since) continue;
    goes = one;
    goes_idle = idle;
  }
  if (goes == nullptr) return;
  ++dropped_;
  drop(*goes);
}

void Gathering::turn(Connection& one) {
  // A worker that has just given it back may still hold it; a connection that is a worker's has nothing to tell.
  std::unique_lock lock(one.hands);
  switch (one.state) {
    case Connection::State::greeting:
      lock.unlock();
      greet(one);
      return;
    case Connection::State::gathering:
      lock.unlock();
      gather(one);
      return;
    case Connection::State::writing:
      put_out(one);
      return;
    case Connection::State::lingering:
      lock.unlock();
      linger(one);
      return;
    case Connection::State::answering:
      return;
  }
}

void Gathering::greet(Connection& one) {
  const Moved moved = one.wire->greet();
  if (moved == Moved::broken || moved == Moved::ended) return drop(one);
  if (moved != Moved::some) return arm(one, moved);
  one.state = Connection::State::gathering;
  gather(one);
}

void Gathering::gather(Connection& one) {
  const bool was_idle = one.idle();
  std::array<char, read_bytes> bytes;
  // A fast sender must not keep others waiting: some reads a turn, and the loop tells of the rest.
  constexpr int at_once = 16;
  Moved moved = Moved::some;
  for (int i = 0; i < at_once && moved == Moved::some; ++i) {
    std::size_t count = 0;
    moved = one.wire->read(bytes.data(), bytes.size(), count);
    if (moved == Moved::some) one.in.append(bytes.data(), count);
    if (moved == Moved::some && count < bytes.size() && !one.wire->holds_more()) moved = Moved::nothing_to_read;
  }
  if (moved == Moved::broken || (moved == Moved::ended && one.in.empty())) return drop(one);
  if (was_idle && !one.in.empty() && one.answered > 0) wait(one, one.state, limits::desk_head_seconds);
  if (!advance(one)) return;
  if (moved == Moved::ended) return drop(one);
  // Bytes that the TLS layer holds wake nobody.
  if (one.wire->holds_more()) {
    const std::lock_guard lock(back_mutex_);
    back_.push_back(&one);
  }
}

// Goes as far as the bytes that are there allow. False when it waits for bytes no more: a worker has it, or it was
// refused.
bool Gathering::advance(Connection& one) {
  if (!one.head && !take_head(one)) return one.state == Connection::State::gathering;
  const std::size_t whole = one.head_bytes + static_cast<std::size_t>(one.head->body_bytes);
  if (one.in.size() < whole) {
    arm(one, Moved::nothing_to_read);
    return true;
  }
  one.state = Connection::State::answering;
  if (!lanes_->put(one.lane, one)) refuse(one, Refusal::busy);
  return false;
}

// False when it is not whole, or was refused.
bool Gathering::take_head(Connection& one) {
  if (one.in.starts_with("\r\n")) one.in.erase(0, 2);  // RFC 9112, 2.2
  const std::size_t end = one.in.find("\r\n\r\n", one.searched < 3 ? 0 : one.searched - 3);
  one.searched = one.in.size();
  if (end == std::string::npos) {
    if (one.in.size() <= limits::desk_head_bytes) {
      arm(one, Moved::nothing_to_read);
      return false;
    }
    const bool in_first_line = one.in.find('\n') == std::string::npos;
    refuse(one, in_first_line ? Refusal::target_long : Refusal::head_long);
    return false;
  }
  one.head_bytes = end + 4;
  const auto refuse_it = [&](Refusal refusal) {
    refuse(one, refusal);
    return false;
  };
  if (one.head_bytes > limits::desk_head_bytes) return refuse_it(Refusal::head_long);
  auto read = read_head(std::string_view(one.in).substr(0, one.head_bytes));
  if (const auto* refused = std::get_if<Refusal>(&read)) return refuse_it(*refused);
  one.head = std::move(std::get<Head>(read));
  const auto admitted = application_.admit(*one.head, one.peer);
  if (const auto* refused = std::get_if<Refusal>(&admitted)) return refuse_it(*refused);
  const auto& admission = std::get<Application::Admission>(admitted);
  if (one.head->body_bytes > admission.body_bytes_max) return refuse_it(Refusal::body_long);
  one.lane = admission.lane;
  one.reserved = one.head->body_bytes;
  if (promised_.fetch_add(one.reserved) + one.reserved > limits::desk_promised_bytes) return refuse_it(Refusal::busy);
  if (one.head->body_bytes > 0) {
    one.deadline = clock_.seconds() + limits::desk_body_seconds + seconds_for(one.head->body_bytes);
    constexpr std::string_view go_ahead = "HTTP/1.1 100 Continue\r\n\r\n";
    std::size_t moved = 0;
    // Who is not told goes ahead by itself after a second.
    if (one.head->awaits_go_ahead && one.in.size() == one.head_bytes)
      static_cast<void>(one.wire->write(go_ahead.data(), go_ahead.size(), moved));
  }
  return true;
}

void Gathering::linger(Connection& one) {
  std::array<char, read_bytes> bytes;
  for (;;) {
    std::size_t count = 0;
    const Moved moved = one.wire->read(bytes.data(), bytes.size(), count);
    one.thrown_away += count;
    if (moved == Moved::ended || moved == Moved::broken || one.thrown_away > limits::desk_linger_bytes)
      return drop(one);
    if (moved != Moved::some) return arm(one, moved);
  }
}

void Gathering::sweep() {
  const double now = clock_.seconds();
  std::vector<Connection*> late;
  for (const auto& [one, owned] : connections_) {
    const std::lock_guard lock(one->hands);
    if (one->state != Connection::State::answering && now > one->deadline) late.push_back(one);
  }
  for (Connection* one : late) {
    const bool asked = one->state == Connection::State::gathering && !one->in.empty();
    if (one->state == Connection::State::writing || asked) ++dropped_;
    if (asked) {
      refuse(*one, Refusal::late);
    } else {
      drop(*one);
    }
  }
}

void Gathering::drop(Connection& one) {
  promised_ -= one.reserved;
  {
    const std::lock_guard lock(back_mutex_);
    std::erase(back_, &one);
  }
  connections_.erase(&one);
  connected_ = static_cast<std::int64_t>(connections_.size());
}

void Gathering::take_back_all() {
  std::vector<Connection*> back;
  {
    const std::lock_guard lock(back_mutex_);
    back.swap(back_);
  }
  std::sort(back.begin(), back.end());
  back.erase(std::unique(back.begin(), back.end()), back.end());
  for (Connection* one : back) {
    // Handed over under its mutex: whoever put it here has let go of it.
    std::unique_lock lock(one->hands);
    if (one->state != Connection::State::gathering) continue;
    lock.unlock();
    if (one->wire->holds_more()) {
      gather(*one);
    } else {
      advance(*one);
    }
  }
}

void Gathering::close_what_waits() {
  std::vector<Connection*> waiting;
  for (const auto& [one, owned] : connections_) {
    const std::lock_guard lock(one->hands);
    if (one->state == Connection::State::greeting || one->state == Connection::State::gathering) waiting.push_back(one);
  }
  for (Connection* one : waiting) drop(*one);
}

void Gathering::refuse(Connection& one, Refusal refusal) {
  ++refused_;
  const std::lock_guard lock(one.hands);
  one.out = refusal_bytes(refusal);
  one.written = 0;
  one.close_after = true;
  put_out(one);
}

void Gathering::work(Connection& one) {
  Request request{.head = std::move(*one.head),
                  .body = one.in.substr(one.head_bytes, static_cast<std::size_t>(one.head->body_bytes)),
                  .parts = {},
                  .peer = one.peer,
                  .secure = tls_ != nullptr};
  one.in.erase(0, one.head_bytes + request.body.size());
  if (one.in.empty()) one.in.shrink_to_fit();
  one.head.reset();
  ++one.answered;
  const bool keep = request.head.keep_alive && one.answered < limits::desk_requests_a_connection && !stopping_;
  auto answer = answering_.answer(std::move(request), keep);
  ++answered_;
  const std::lock_guard lock(one.hands);
  one.out = std::move(answer.bytes);
  one.written = 0;
  one.close_after = answer.close || stopping_;
  put_out(one);
}

// With the mutex of the connection held.
void Gathering::put_out(Connection& one) {
  if (one.state != Connection::State::writing) {
    const double allowed = limits::desk_body_seconds + seconds_for(static_cast<std::int64_t>(one.out.size()));
    wait(one, Connection::State::writing, allowed);
  }
  while (one.written < one.out.size()) {
    std::size_t moved = 0;
    const Moved what = one.wire->write(one.out.data() + one.written, one.out.size() - one.written, moved);
    if (what != Moved::some && what != Moved::nothing_to_read && what != Moved::nowhere_to_put) {
      // Only the thread that gathers may drop it: it is told by the next sweep.
      one.deadline = 0;
      return;
    }
    one.written += moved;
    if (what != Moved::some) return arm(one, what);
  }
  said(one);
}

// The answer is out. With the mutex held.
void Gathering::said(Connection& one) {
  promised_ -= one.reserved;
  one.reserved = 0;
  one.out = {};
  one.searched = 0;
  one.head.reset();
  if (one.close_after) {
    one.wire->end_writing();
    one.in = {};
    wait(one, Connection::State::lingering, limits::desk_linger_seconds);
    return arm(one, Moved::nothing_to_read);
  }
  const bool more = !one.in.empty() || one.wire->holds_more();
  wait(one, Connection::State::gathering, more ? limits::desk_head_seconds : limits::desk_idle_seconds);
  if (!more) return arm(one, Moved::nothing_to_read);
  {
    const std::lock_guard lock(back_mutex_);
    back_.push_back(&one);
  }
  const std::uint64_t once = 1;
  static_cast<void>(::write(wake_.number(), &once, sizeof once));
}

void Gathering::arm(Connection& one, Moved what) {
  epoll_event event{};
  event.events = (what == Moved::nowhere_to_put ? EPOLLOUT : EPOLLIN) | EPOLLONESHOT;
  event.data.ptr = &one;
  if (::epoll_ctl(epoll_.number(), EPOLL_CTL_MOD, one.wire->socket(), &event) != 0) one.deadline = 0;
}

void Gathering::wait(Connection& one, Connection::State state, double seconds) {
  one.state = state;
  one.since = clock_.seconds();
  one.deadline = one.since + seconds;
}

Result<std::unique_ptr<Server>> Server::listen(const Listening& where, Application& application, Clock& clock) {
  std::shared_ptr<Tls> tls;
  if (where.tls) {
    TRY_LET(tls, Tls::open(*where.tls));
  }
  TRY_LET(auto listening, listen_at(where.bind, where.port));
  TRY_LET(const int port, port_of(listening));
  auto server = std::make_unique<Gathering>(std::move(listening), port, std::move(tls), application, clock);
  TRY(server->prepare());
  return std::unique_ptr<Server>(std::move(server));
}

}  // namespace trayproof::desk
