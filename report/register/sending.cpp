#include "report/register/sending.h"

#include <libpq-fe.h>

#include <utility>

namespace trayproof::registry {

Sending::Sending(pg_conn* connection) : connection_(connection), thread_(&Sending::send_all, this) {}

Sending::~Sending() {
  {
    const std::lock_guard lock(mutex_);
    ended_ = true;
  }
  changed_.notify_all();
  thread_.join();
}

bool Sending::put(std::string& piece) {
  {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return failed_ || waiting_.size() < waiting_most; });
    if (failed_) return false;
    waiting_.push_back(std::move(piece));
    piece = std::move(spare_);
    spare_.clear();
  }
  piece.clear();
  changed_.notify_all();
  return true;
}

bool Sending::finish() {
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return failed_ || (waiting_.empty() && !sending_); });
  return !failed_;
}

void Sending::send_all() {
  std::unique_lock lock(mutex_);
  while (true) {
    changed_.wait(lock, [this] { return ended_ || !waiting_.empty(); });
    if (ended_) return;
    std::string piece = std::move(waiting_.front());
    waiting_.pop_front();
    sending_ = true;
    lock.unlock();
    const bool taken = PQputCopyData(connection_, piece.data(), static_cast<int>(piece.size())) == 1;
    lock.lock();
    sending_ = false;
    failed_ = !taken;
    spare_ = std::move(piece);
    changed_.notify_all();
    if (failed_) return;
  }
}

}  // namespace trayproof::registry
