// Makes entries of prepared events and puts them into the file, on a thread of its own when there are many: reading and
// hashing the next events goes on while the last ones are inserted. Inside the caller's transaction; nobody else may use
// the file between a `put` and the next `drain` or `finish`. What stands beside the chain is kept back and inserted
// sorted at the end, because rows that lie together are written together.
#pragma once

#include <condition_variable>
#include <deque>
#include <mutex>
#include <thread>
#include <utility>
#include <vector>

#include "ledger/entry_maker.h"
#include "ledger/people/key_file.h"
#include "ledger/prepared.h"
#include "ledger/store/ledger_file.h"

namespace trayproof {

class EntryWriter {
 public:
  enum class Thread { own, none };
  EntryWriter(store::LedgerFile& file, const people::KeyFile& keys, EntryMaker maker, Thread thread);
  ~EntryWriter();
  EntryWriter(const EntryWriter&) = delete;
  EntryWriter& operator=(const EntryWriter&) = delete;

  // The event stays where it is, unchanged, until `finish`. An error of an earlier one may come with a later one.
  Result<void> put(const Prepared& prepared, const Signing& signing);
  // Returns when everything that was put is inserted.
  void drain();
  Result<void> finish();
  // The chain's end, with everything that was put.
  const store::ChainHead& head() const { return maker_.head(); }

 private:
  struct Ready {
    MadeEntry entry;
    const Prepared* prepared = nullptr;
  };
  Result<void> insert(const MadeEntry& entry, const Prepared& prepared);
  void run();
  void hand_over();

  store::LedgerFile& file_;
  const people::KeyFile& keys_;
  EntryMaker maker_;
  bool threaded_;
  std::vector<Ready> filling_;
  std::vector<store::KeptPatient> patients_;
  std::vector<const store::KeptText*> texts_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<std::vector<Ready>> waiting_;
  bool ended_ = false;
  bool busy_ = false;
  Result<void> outcome_;
  std::thread thread_;
};

}  // namespace trayproof
