#include "report/desk/server/lanes.h"

#include <sys/resource.h>
#include <unistd.h>

#include <utility>

#include "ledger/base/desk_limits.h"

namespace trayproof::desk {
namespace {

int workers(Lane lane) {
  switch (lane) {
    case Lane::quick:
      return limits::desk_quick_workers;
    case Lane::slow:
      return limits::desk_slow_workers;
    case Lane::pin:
      return limits::desk_pin_workers;
    case Lane::photo:
      return limits::desk_photo_workers;
  }
  return 1;
}

// On Linux a thread has a niceness of its own: an answer over ten years gives way to who records.
void give_way() {
  constexpr int nicer = 10;
  // What cannot be set costs speed only.
  static_cast<void>(::setpriority(PRIO_PROCESS, static_cast<id_t>(::gettid()), nicer));
}

}  // namespace

Lanes::Lanes(std::function<void(Connection&)> work) : work_(std::move(work)) {
  for (const Lane lane : {Lane::quick, Lane::slow, Lane::pin, Lane::photo}) {
    Queue& queue = queues_[static_cast<std::size_t>(lane)];
    for (int i = 0; i < workers(lane); ++i) threads_.emplace_back([this, &queue, lane] { run(queue, lane); });
  }
}

Lanes::~Lanes() {
  for (Queue& queue : queues_) {
    const std::lock_guard lock(queue.mutex);
    queue.ended = true;
    for (Worker* one : queue.idle) one->woken.notify_one();
  }
  for (std::thread& thread : threads_) thread.join();
}

bool Lanes::put(Lane lane, Connection& connection) {
  Queue& queue = queues_[static_cast<std::size_t>(lane)];
  std::unique_lock lock(queue.mutex);
  if (queue.idle.empty()) {
    if (queue.waiting.size() >= limits::desk_waiting) return false;
    queue.waiting.push_back(&connection);
    return true;
  }
  Worker& worker = *queue.idle.back();
  queue.idle.pop_back();
  worker.next = &connection;
  lock.unlock();
  worker.woken.notify_one();  // it is still there: who has work does not end
  return true;
}

void Lanes::run(Queue& queue, Lane lane) {
  if (lane != Lane::quick) give_way();
  Worker self;
  std::unique_lock lock(queue.mutex);
  while (true) {
    if (!queue.waiting.empty()) {
      self.next = queue.waiting.front();
      queue.waiting.pop_front();
    } else if (!queue.ended) {
      queue.idle.push_back(&self);
      self.woken.wait(lock, [&] { return queue.ended || self.next != nullptr; });
      if (self.next == nullptr) std::erase(queue.idle, &self);
    }
    if (self.next == nullptr) return;
    Connection& next = *std::exchange(self.next, nullptr);
    lock.unlock();
    work_(next);
    lock.lock();
  }
}

}  // namespace trayproof::desk
