// Puts finished entries into the file, on a thread of its own when there are many: reading and hashing the next entries
// goes on while the last ones are inserted. Inside the caller's transaction; nobody else may use the file between a
// `put` and the next `drain` or `finish`. What stands beside the chain is kept back and inserted sorted at the end,
// because rows that lie together are written together.
#pragma once

#include <condition_variable>
#include <deque>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "ledger/store/ledger_file.h"

namespace trayproof {

struct WrittenEntry {
  std::int64_t seq = 0;
  std::string bytes;
  Digest hash{};
  Bytes sig;
  std::vector<store::KeptPatient> patients;
  // What the batch holds; it stays there until `finish`.
  const std::string* slip = nullptr;
  const std::vector<store::KeptText>* texts = nullptr;
  crypto::Token content{};
  std::string_view landmark;  // its kind, where it must be found again without reading all
};

class EntryWriter {
 public:
  enum class Thread { own, none };
  EntryWriter(store::LedgerFile& file, Thread thread);
  ~EntryWriter();
  EntryWriter(const EntryWriter&) = delete;
  EntryWriter& operator=(const EntryWriter&) = delete;

  // An error of an earlier entry may come with a later one.
  Result<void> put(WrittenEntry entry);
  // Returns when everything that was put is inserted.
  void drain();
  Result<void> finish();

 private:
  Result<void> insert(const WrittenEntry& entry);
  void run();
  void hand_over();

  store::LedgerFile& file_;
  bool threaded_;
  std::vector<WrittenEntry> filling_;
  std::vector<store::KeptPatient> patients_;
  std::vector<const store::KeptText*> texts_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<std::vector<WrittenEntry>> waiting_;
  bool ended_ = false;
  bool busy_ = false;
  Result<void> outcome_;
  std::thread thread_;
};

}  // namespace trayproof
