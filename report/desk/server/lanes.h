// Workers in lanes, each with a queue that has an end. Of those that are idle the one that worked last is woken first:
// its memory is warm, and the others sleep until there is work for more.
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
  struct Worker {
    std::condition_variable woken;
    Connection* next = nullptr;
  };
  struct Queue {
    std::mutex mutex;
    std::deque<Connection*> waiting;  // none where somebody is idle
    std::vector<Worker*> idle;        // who worked last at the end
    bool ended = false;
  };
  void run(Queue& queue, Lane lane);

  std::function<void(Connection&)> work_;
  std::array<Queue, lanes> queues_;
  std::vector<std::thread> threads_;
};

}  // namespace trayproof::desk
