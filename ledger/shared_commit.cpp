#include "ledger/shared_commit.h"

#include <algorithm>

namespace trayproof {
namespace {

constexpr std::size_t together_max = 256;

}  // namespace

SharedCommit::SharedCommit(Ledger& ledger) : ledger_(ledger), thread_([this] { run(); }) {}

SharedCommit::~SharedCommit() {
  {
    const std::lock_guard lock(mutex_);
    ended_ = true;
  }
  work_.notify_all();
  thread_.join();
}

Result<Appended> SharedCommit::append(std::vector<GivenEvent> events, const AppendOptions& options) {
  Waiting mine{.what = {.events = std::move(events), .options = options}, .outcome = {}};
  wait_for(mine);
  return std::move(*mine.outcome);
}

void SharedCommit::alone(const std::function<void(Ledger&)>& work) {
  const std::function<void(Ledger&)> handed = handed_over(std::cref(work));
  Waiting mine{.what = {}, .outcome = {}, .alone = &handed};
  wait_for(mine);
}

void SharedCommit::wait_for(Waiting& mine) {
  std::unique_lock lock(mutex_);
  waiting_.push_back(&mine);
  work_.notify_one();
  done_.wait(lock, [&] { return mine.done; });
}

void SharedCommit::run() {
  std::vector<Waiting*> taken;
  std::unique_lock lock(mutex_);
  while (true) {
    work_.wait(lock, [this] { return ended_ || !waiting_.empty(); });
    if (waiting_.empty()) return;
    taken.clear();
    // Appends up to the next that wants the ledger alone; that one by itself.
    while (!waiting_.empty() && taken.size() < together_max) {
      const bool is_alone = waiting_.front()->alone != nullptr;
      if (is_alone && !taken.empty()) break;
      taken.push_back(waiting_.front());
      waiting_.pop_front();
      if (is_alone) break;
    }
    lock.unlock();
    if (taken.front()->alone != nullptr) {
      (*taken.front()->alone)(ledger_);
    } else {
      append_all(taken);
    }
    lock.lock();
    for (Waiting* one : taken) one->done = true;
    done_.notify_all();
  }
}

void SharedCommit::append_all(const std::vector<Waiting*>& taken) {
  std::vector<Appending> together;
  for (Waiting* one : taken) together.push_back(std::move(one->what));
  std::vector<Result<Appended>> outcomes = ledger_.append_together(together);
  for (std::size_t i = 0; i < taken.size(); ++i) taken[i]->outcome.emplace(std::move(outcomes[i]));
}

}  // namespace trayproof
