// Many recorders, one writer: what waits is appended in one commit, so that many share one wait for the disk. Each is
// told when its own events are on the disk, and is refused alone, in its own language. From any thread; the ledger is
// nobody else's meanwhile.
#pragma once

#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <thread>
#include <vector>

#include "ledger/ledger.h"

namespace trayproof {

class SharedCommit {
 public:
  explicit SharedCommit(Ledger& ledger);
  // What waits still is appended before it ends.
  ~SharedCommit();
  SharedCommit(const SharedCommit&) = delete;
  SharedCommit& operator=(const SharedCommit&) = delete;

  // Returns when the events are durable or refused.
  Result<Appended> append(std::vector<GivenEvent> events, const AppendOptions& options);
  // What is no append (countersigning, keeping a file) has the ledger to itself between two commits, in its turn;
  // returns when it is done. `work` may not throw.
  void alone(const std::function<void(Ledger&)>& work);

 private:
  struct Waiting {
    Appending what;
    std::optional<Result<Appended>> outcome;
    const std::function<void(Ledger&)>* alone = nullptr;
    bool done = false;
  };
  void wait_for(Waiting& mine);
  void run();
  void append_all(const std::vector<Waiting*>& taken);

  Ledger& ledger_;
  std::mutex mutex_;
  std::condition_variable work_;
  std::condition_variable done_;
  std::deque<Waiting*> waiting_;
  bool ended_ = false;
  std::thread thread_;
};

}  // namespace trayproof
