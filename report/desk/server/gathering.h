// The loop of the server (server.h): who is connected, what each waits for, and until when.
#pragma once

#include <atomic>
#include <unordered_map>
#include <vector>

#include "report/desk/server/answering.h"
#include "report/desk/server/connection.h"
#include "report/desk/server/lanes.h"
#include "report/desk/server/listening.h"
#include "report/desk/server/server.h"

namespace trayproof::desk {

class Gathering final : public Server {
 public:
  Gathering(Descriptor listening, int port, std::shared_ptr<Tls> tls, Application& application, Clock& clock);
  ~Gathering() override;

  Result<void> prepare();
  int port() const override { return port_; }
  void run(int stop) override;
  Count count() const override;

 private:
  using Connections = std::unordered_map<Connection*, std::unique_ptr<Connection>>;

  // On the thread that gathers.
  void accept_all();
  void make_room();
  void turn(Connection& one);
  void greet(Connection& one);
  void gather(Connection& one);
  bool advance(Connection& one);
  bool take_head(Connection& one);
  void linger(Connection& one);
  void sweep();
  void drop(Connection& one);
  void take_back_all();
  void close_what_waits();

  // On whichever thread has the connection.
  void refuse(Connection& one, Refusal refusal);
  void put_out(Connection& one);
  void said(Connection& one);
  void arm(Connection& one, Moved what);
  void wait(Connection& one, Connection::State state, double seconds);
  // On a worker.
  void work(Connection& one);

  Descriptor listening_;
  int port_;
  std::shared_ptr<Tls> tls_;
  Application& application_;
  Clock& clock_;
  Answering answering_;
  Descriptor epoll_;
  Descriptor wake_;
  Connections connections_;
  std::mutex back_mutex_;
  std::vector<Connection*> back_;  // have bytes in memory that no socket will tell of
  std::atomic<bool> stopping_ = false;
  std::atomic<std::int64_t> promised_ = 0, connected_ = 0, answered_ = 0, refused_ = 0, dropped_ = 0;
  // Last: its workers end before anything that they use.
  std::unique_ptr<Lanes> lanes_;
};

}  // namespace trayproof::desk
