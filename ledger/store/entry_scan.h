// Entries by ranges of seqs, for verify: each range is one short reading transaction, so that writers are not kept
// waiting, and few pages are kept, so that a ledger of any size is read in little memory. Each thread has its own.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"
#include "ledger/store/database.h"
#include "ledger/store/ledger_file.h"

namespace trayproof::store {

// Views live until the visitor returns.
struct EntryRow {
  std::int64_t seq = 0;
  std::string_view bytes;
  ByteView hash;
  // The columns of `all` only.
  ByteView sig;
  std::optional<std::string_view> slip;
  ByteView content;
};

class EntryScan {
 public:
  enum class Columns { chain, all };
  // Over a connection of its own, for reading only.
  static Result<EntryScan> open(const std::string& path, Columns columns);
  // Over a connection that somebody else holds, inside whatever transaction is open there.
  static Result<EntryScan> over(Database& database, Columns columns);

  // The lowest seq there is from `seq` on.
  Result<std::optional<std::int64_t>> first_from(std::int64_t seq);
  Result<void> range(std::int64_t from, std::int64_t until, const std::function<void(const EntryRow&)>& visit);

 private:
  EntryScan(std::optional<Database> own, Columns columns, Statement rows, Statement first);
  std::optional<Database> own_;
  Columns columns_;
  Statement rows_;
  Statement first_;
};

}  // namespace trayproof::store
