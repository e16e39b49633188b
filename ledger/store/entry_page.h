// Entries of one look at the file, copied, so that the look is over before anybody works on them: a reader of the whole
// record keeps no writer waiting.
#pragma once

#include <string>
#include <vector>

#include "ledger/store/ledger_file.h"

namespace trayproof::store {

class EntryPage {
 public:
  static constexpr int rows_max = 256;

  // Takes the rows (seq, entry, hash, sig) until there are no more. After an error those before it are there.
  Result<void> fill(Statement& read);
  std::size_t size() const { return rows_.size(); }
  // Lives until the next `fill`.
  EntryView at(std::size_t index) const;

 private:
  struct Row {
    std::int64_t seq = 0;
    std::size_t at = 0;  // where its bytes begin; those of hash and sig follow
    std::size_t entry = 0;
    std::size_t hash = 0;
    std::size_t sig = 0;
  };
  std::vector<Row> rows_;
  std::string bytes_;
};

}  // namespace trayproof::store
