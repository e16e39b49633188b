// Putting a backup in place of a ledger. The backup is copied beside its final name, verified whole, made to forget
// again what was erased after it was made, and noted as `ledger-restored` with what is known to be lost; only then does
// it get the name. The file that had the name is kept aside, never deleted. docs/operations.md, "Restoring", is the
// authority.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "ledger/erasure_list.h"
#include "ledger/ledger.h"
#include "ledger/log/tree.h"

namespace trayproof {

struct RestoreRequest {
  std::string ledger;                    // the name that it gets
  std::string backup;                    // the file to put in place
  std::vector<std::string> checkpoints;  // signed notes of this ledger that were kept elsewhere
  std::vector<ErasureProof> erasures;    // known from elsewhere (a newer backup, a list)
  Drives drives = Drives::own;
};

// The erasures that a file tells of: a list as it stands beside a ledger, or a ledger or backup itself.
Result<std::vector<ErasureProof>> erasures_in(const std::string& file, Clock& clock);

class Restore {
 public:
  // Copies and verifies. Invalid when the file is no backup of the ledger that stands there, or of its key file, or
  // tells another history than what is known; corrupt when it does not verify. Nothing is left behind.
  static Result<Restore> begin(const RestoreRequest& request, Clock& clock);
  Restore(Restore&&) noexcept;
  ~Restore();

  // The copy as it will stand there; for signing in. Without the key file for reading only.
  Ledger& ledger();
  std::int64_t size() const;                           // events in the backup
  const std::optional<log::Head>& lost_after() const;  // a later state that is known
  std::int64_t erasures_to_repeat() const;

  struct Done {
    std::int64_t seq = 0;              // of the ledger-restored; 0 without the key file
    std::int64_t repeated = 0;         // erasures done again
    std::optional<std::string> aside;  // where the file that stood there is now
  };
  // `second` is to countersign. Without a signer the station signs.
  Result<Done> finish(std::shared_ptr<const people::Signer> signer, const std::string& second, const std::string& at);

 private:
  struct State;
  explicit Restore(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

}  // namespace trayproof
