// The ledger as the desk uses it: one handle that writes, behind the shared commit, and readers that are lent out, each
// with its own view of the file and its own derived tables. From any thread.
#pragma once

#include <atomic>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/links/links.h"
#include "ledger/shared_commit.h"

namespace trayproof::desk {

class Record {
 public:
  static Result<std::unique_ptr<Record>> open(const std::string& path, Clock& clock, Drives drives);

  // Durable or refused when it returns; shares its commit with whoever else appends now.
  Result<Appended> append(std::vector<GivenEvent> events, const AppendOptions& options);
  // Has the writing handle to itself.
  Result<void> alone(const std::function<Result<void>(Ledger&)>& work);
  // Whether a commit's outcome was unknown: nothing is taken any more until the ledger is opened and verified again.
  bool is_uncertain() const { return uncertain_; }

  // A reader, for as long as it is held.
  class Reader {
   public:
    Reader(Record& from, std::unique_ptr<Ledger> ledger, std::unique_ptr<links::Links> links)
        : from_(&from), ledger_(std::move(ledger)), links_(std::move(links)) {}
    Reader(Reader&&) noexcept = default;
    Reader& operator=(Reader&&) = delete;
    ~Reader();

    Ledger& ledger() { return *ledger_; }
    // The derived tables, with everything that was recorded until now.
    Result<links::Links*> tables();

   private:
    Record* from_;
    std::unique_ptr<Ledger> ledger_;
    std::unique_ptr<links::Links> links_;
  };
  Result<Reader> reader();

  // Which state the record is in, as the file counts its changes; without lending a reader. No two states have the
  // same.
  Result<std::uint32_t> state();
  // The same without waiting for whoever writes. A state that `state` told of is told of here as long as it lasts, and
  // never again.
  Result<std::uint32_t> state_at_a_glance();

  const std::string& path() const { return path_; }

 private:
  struct Idle {
    std::unique_ptr<Ledger> ledger;
    std::unique_ptr<links::Links> links;
  };
  Record(std::string path, Ledger ledger, Clock& clock, Drives drives);
  void give_back(Idle idle);
  // A handle that tells the state of the record and nothing else.
  struct Watch {
    std::mutex mutex;
    std::unique_ptr<Ledger> ledger;
  };
  Result<Ledger*> ledger_of(Watch& watch);

  std::string path_;
  Clock& clock_;
  Drives drives_;
  bool on_network_;
  Ledger writing_;
  SharedCommit commit_;
  std::atomic<bool> uncertain_ = false;
  Watch watch_;
  Watch glance_;  // of its own: whoever waits for a lock is not waited for
  std::mutex idle_mutex_;
  std::vector<Idle> idle_;  // the one used last is lent first: its pages are warm
};

}  // namespace trayproof::desk
