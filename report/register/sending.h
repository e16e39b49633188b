// Hands the pieces of a COPY to PostgreSQL's library on a thread of its own, in order, while more are made.
//
// The server takes a thousand rows in at once and reads nothing meanwhile, and a socket holds a few hundred: whoever
// makes rows and sends them by turns waits for the server, and the server waits for the rows.
#pragma once

#include <condition_variable>
#include <cstddef>
#include <deque>
#include <mutex>
#include <string>
#include <thread>

struct pg_conn;

namespace trayproof::registry {

class Sending {
 public:
  // Until this is gone nobody else may use the connection.
  explicit Sending(pg_conn* connection);
  // Drops what was not sent yet.
  ~Sending();
  Sending(const Sending&) = delete;
  Sending& operator=(const Sending&) = delete;

  // Takes the piece and leaves an empty one. Waits while `waiting_most` others wait. False: the library did not take
  // one of those before, and takes no more; the connection says why.
  bool put(std::string& piece);
  // Waits until all is sent; false as above.
  bool finish();

 private:
  static constexpr std::size_t waiting_most = 32;
  void send_all();

  pg_conn* connection_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<std::string> waiting_;
  std::string spare_;  // memory of a piece that was sent
  bool sending_ = false;
  bool ended_ = false;
  bool failed_ = false;
  std::thread thread_;  // last: it uses the others
};

}  // namespace trayproof::registry
