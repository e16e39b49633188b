// Workers in lanes, each with a queue that has an end.
#pragma once

#include <array>
#include <condition_variable>
#include <cstddef>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

#include "report/desk/server/request.h"

namespace trayproof::desk {

struct Connection;

class Lanes {
 public:
  explicit Lanes(std::function<void(Connection&)> work);
  // What waits is worked off first.
  ~Lanes();
  Lanes(const Lanes&) = delete;
  Lanes& operator=(const Lanes&) = delete;

  // False when the lane is full.
  bool put(Lane lane, Connection& connection);

 private:
  struct Queue {
    std::mutex mutex;
    std::condition_variable filled;
    std::deque<Connection*> waiting;
    bool ended = false;
  };
  void run(Queue& queue, Lane lane);

  std::function<void(Connection&)> work_;
  std::array<Queue, lanes> queues_;
  std::vector<std::thread> threads_;
};

}  // namespace trayproof::desk
