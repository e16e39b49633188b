// The pasts of one ledger as the register holds them. There is one line of entries, unless the ledger was restored from
// a backup or told two stories: then each goes on as a line of its own from where they part, and none is ever changed.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "ledger/text/json.h"
#include "report/parcel/arrived.h"
#include "report/register/postgres.h"

namespace trayproof::registry {

// Which past of each ledger answers are worked out from, as a query: its ledger, its line and how many entries it has.
// It is the newest line that is no fork.
extern const std::string present_pasts;

struct Line {
  std::int64_t line = 0;
  std::string why;  // first, restored, fork
  std::int64_t base_line = 0;
  std::int64_t base_size = 0;
  std::int64_t size = 0;  // entries, those of its base included
  bool present = false;   // answers are worked out from it
};

class Past {
 public:
  // Inside a transaction that nobody else can have for the same ledger until it ends.
  static Result<Past> lock(Connection& connection, const std::string& ledger);
  // The same, or nothing when somebody else has it now.
  static Result<std::optional<Past>> try_lock(Connection& connection, const std::string& ledger);
  // For reading only.
  static Result<Past> read(Connection& connection, const std::string& ledger);

  const std::string& ledger() const { return ledger_; }
  const std::vector<Line>& lines() const { return lines_; }  // by number
  const Line* find(std::int64_t line) const;
  // What answers are worked out from. Null: the ledger is not known.
  const Line* present() const;
  // Whether it tells what the ledger told beside its past, or goes on from such a line.
  bool is_fork(const Line& line) const;
  // The most entries that any line has.
  std::int64_t size_most() const;

  // Of a line's entry; zeros for seq 0, nothing behind its end.
  Result<std::optional<Digest>> hash_at(const Line& line, std::int64_t seq);
  // Of its entries from `from` on, at most `count`.
  Result<std::vector<Digest>> hashes(const Line& line, std::int64_t from, std::int64_t count);
  // What a parcel that begins behind `size` is held against.
  Result<parcel::Before> before(const Line& line, std::int64_t size);
  // Calls `visit` for the line's entries up to its end, in order.
  Result<void> scan(const Line& line, const std::function<Result<void>(std::int64_t seq, std::string_view entry,
                                                                       const Digest& hash, const Bytes& sig)>& visit);
  // The register's answer to the largest state of the first line: the note with the co-signature.
  Result<std::optional<std::string>> co_signed() const;

 private:
  Past(Connection& connection, std::string ledger) : connection_(&connection), ledger_(std::move(ledger)) {}
  Result<void> read_lines();
  // Which line has the entries from which seq to which, for all up to `until`.
  struct Stretch {
    std::int64_t line;
    std::int64_t from;
    std::int64_t until;
  };
  std::vector<Stretch> stretches(const Line& line, std::int64_t until) const;
  Result<parcel::PeakTree> tree_at(const Line& line, std::int64_t size);

  Connection* connection_;
  std::string ledger_;
  std::vector<Line> lines_;
};

}  // namespace trayproof::registry
