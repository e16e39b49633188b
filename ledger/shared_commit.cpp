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
  std::unique_lock lock(mutex_);
  waiting_.push_back(&mine);
  work_.notify_one();
  done_.wait(lock, [&] { return mine.outcome.has_value(); });
  return std::move(*mine.outcome);
}

void SharedCommit::run() {
  std::vector<Waiting*> taken;
  std::vector<Appending> together;
  std::unique_lock lock(mutex_);
  while (true) {
    work_.wait(lock, [this] { return ended_ || !waiting_.empty(); });
    if (waiting_.empty()) return;
    const auto count = static_cast<std::ptrdiff_t>(std::min(waiting_.size(), together_max));
    taken.assign(waiting_.begin(), waiting_.begin() + count);
    waiting_.erase(waiting_.begin(), waiting_.begin() + count);
    lock.unlock();
    together.clear();
    for (Waiting* one : taken) together.push_back(std::move(one->what));
    std::vector<Result<Appended>> outcomes = ledger_.append_together(together);
    lock.lock();
    for (std::size_t i = 0; i < taken.size(); ++i) taken[i]->outcome.emplace(std::move(outcomes[i]));
    done_.notify_all();
  }
}

}  // namespace trayproof
