#include "report/desk/record.h"

#include "ledger/base/desk_limits.h"
#include "ledger/base/drive.h"
#include "ledger/store/ledger_file.h"

namespace trayproof::desk {

Result<std::unique_ptr<Record>> Record::open(const std::string& path, Clock& clock, Drives drives) {
  TRY_LET(auto writing, Ledger::open(path, clock, store::Access::write, drives));
  TRY(writing.may_write());
  return std::unique_ptr<Record>(new Record(path, std::move(writing), clock, drives));
}

Record::Record(std::string path, Ledger ledger, Clock& clock, Drives drives)
    : path_(std::move(path)),
      clock_(clock),
      drives_(drives),
      on_network_(network_drive(path_).has_value()),
      writing_(std::move(ledger)),
      commit_(writing_) {}

Result<Appended> Record::append(std::vector<GivenEvent> events, const AppendOptions& options) {
  auto done = commit_.append(std::move(events), options);
  if (!done.ok() && done.error().code() == ErrorCode::uncertain) uncertain_ = true;
  return done;
}

Result<void> Record::alone(const std::function<Result<void>(Ledger&)>& work) {
  Result<void> outcome;
  commit_.alone([&](Ledger& ledger) { outcome = work(ledger); });
  if (!outcome.ok() && outcome.error().code() == ErrorCode::uncertain) uncertain_ = true;
  return outcome;
}

Result<Record::Reader> Record::reader() {
  {
    const std::lock_guard lock(idle_mutex_);
    if (!idle_.empty()) {
      Idle idle = std::move(idle_.back());
      idle_.pop_back();
      return Reader(*this, std::move(idle.ledger), std::move(idle.links));
    }
  }
  TRY_LET(auto ledger, Ledger::open(path_, clock_, store::Access::read, drives_));
  return Reader(*this, std::make_unique<Ledger>(std::move(ledger)), nullptr);
}

// With its mutex held.
Result<Ledger*> Record::ledger_of(Watch& watch) {
  if (!watch.ledger) {
    TRY_LET(auto ledger, Ledger::open(path_, clock_, store::Access::read, drives_));
    watch.ledger = std::make_unique<Ledger>(std::move(ledger));
  }
  return watch.ledger.get();
}

Result<std::uint32_t> Record::state() {
  const std::lock_guard lock(watch_.mutex);
  TRY_LET(const auto* ledger, ledger_of(watch_));
  return ledger->file().changes();
}

Result<std::uint32_t> Record::state_at_a_glance() {
  // A drive on the network shows what another machine wrote only to who takes the lock.
  if (on_network_) return state();
  const std::lock_guard lock(glance_.mutex);
  TRY_LET(const auto* ledger, ledger_of(glance_));
  return ledger->file().changes_at_a_glance();
}

void Record::give_back(Idle idle) {
  const std::lock_guard lock(idle_mutex_);
  if (idle_.size() < limits::desk_readers_kept) idle_.push_back(std::move(idle));
}

Record::Reader::~Reader() {
  if (ledger_) from_->give_back({std::move(ledger_), std::move(links_)});
}

Result<links::Links*> Record::Reader::tables() {
  if (!links_) {
    TRY_LET(auto opened, links::Links::open(*ledger_));
    links_ = std::make_unique<links::Links>(std::move(opened));
  }
  TRY(links_->catch_up());
  return links_.get();
}

}  // namespace trayproof::desk
