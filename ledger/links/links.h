// Tables derived from the events, in a file of their own beside the ledger, with a watermark. docs/tables.md is the
// authority. The file may be deleted, and a damaged, foreign or older one is derived again; where it cannot be written
// the tables stand in memory. Nothing here is evidence.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "ledger/base/zone.h"
#include "ledger/ledger.h"
#include "ledger/links/derivation.h"
#include "ledger/links/statements.h"

namespace trayproof::links {

// Where tables differ from what the events give.
struct Difference {
  std::string table;
  std::string row;     // the first row that only one of the two has
  bool fresh = false;  // whether that is the freshly derived one
};

class Links {
 public:
  // Beside the ledger, derived as far as they were. The ledger must outlive them.
  static Result<Links> open(const Ledger& ledger);
  // In memory, of a part of the ledger.
  static Result<Links> derive_in_memory(const Ledger& ledger, const Cut& cut);

  // Takes in what the ledger has more than the tables, in one transaction; before each answer.
  Result<void> catch_up();
  // Everything again, into a new file; fails where there can be none.
  Result<void> rebuild();
  // Derives afresh in memory and compares every table row by row, whatever their order. Nothing when all are equal.
  Result<std::optional<Difference>> same_as_fresh();

  const Ledger& ledger() const { return *ledger_; }
  store::Database& database() { return *database_; }
  Statements& statements() { return *statements_; }
  const Cut& cut() const { return cut_; }
  // The last entry that the tables know.
  std::int64_t known_at() const { return known_at_; }
  // No event stands with a later `at`.
  Instant last_at() const { return last_at_; }
  // The facility's zone.
  const Zone& zone() const { return zone_; }
  bool in_memory() const { return in_memory_; }

 private:
  Links(const Ledger& ledger, store::Database database, bool in_memory, Cut cut);
  struct Watermark;
  static Result<Links> open_file_of(const Ledger& ledger);
  Result<std::optional<Watermark>> watermark();
  Result<bool> take_over(const Watermark& mark);
  Result<void> has_every_page();
  Result<bool> has_every_table();
  Result<void> put_watermark(std::int64_t seq, Instant last_at);
  Result<void> derive_again();
  Result<void> derive_all(std::int64_t until);
  Result<void> make_tables();
  Result<std::optional<Zone>> zone_likely(std::int64_t until);
  Result<std::optional<Zone>> zone_described();

  const Ledger* ledger_;
  std::unique_ptr<store::Database> database_;  // its address is kept by the statements
  std::unique_ptr<Statements> statements_;
  Cut cut_;
  Zone zone_ = Zone::utc();
  std::int64_t known_at_ = 0;
  Instant last_at_{INT64_MIN};
  bool in_memory_ = false;
  bool empty_ = false;  // every table and index is there and holds nothing
};

}  // namespace trayproof::links
