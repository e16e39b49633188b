// A ledger's entries, out of the register into an SQLite file of the facility's own form, for reading only: so that
// what is worked out beside a ledger is worked out here by the same code. It is no ledger: it has no keys, nothing
// beside the chain, and goes with the folder that it was made in.
#pragma once

#include <memory>
#include <string>

#include "ledger/base/clock.h"
#include "ledger/ledger.h"
#include "report/register/past.h"

namespace trayproof::registry {

class Replica {
 public:
  // In a new folder beside the machine's other temporary files.
  static Result<Replica> make(Past& past, const Line& line, Clock& clock);
  Replica(Replica&& other) noexcept;
  Replica& operator=(Replica&&) = delete;
  ~Replica();

  const Ledger& ledger() const { return *ledger_; }

 private:
  struct Folder;
  explicit Replica(std::unique_ptr<Folder> folder);
  std::unique_ptr<Folder> folder_;  // outlives the ledger in it
  std::unique_ptr<Ledger> ledger_;
};

}  // namespace trayproof::registry
