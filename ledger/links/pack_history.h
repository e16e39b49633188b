// One pack: where it came from, which loads held it, and what was done with it, each tied to its relevant load.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "ledger/links/became.h"
#include "ledger/links/relevant_load.h"
#include "ledger/links/statements.h"

namespace trayproof::links {

// Definitions of sets, read once while they are needed.
class SetDefinitions {
 public:
  struct Definition {
    std::int64_t seq = 0;
    std::int64_t at_ms = 0;
    std::optional<std::string> contact;
    std::optional<std::int64_t> implant;
    std::optional<std::int64_t> told_apart;
  };
  explicit SetDefinitions(Statements& statements) : statements_(statements) {}
  // The last definition not later than `at_ms`, else the first; nothing when the set was never defined.
  Result<std::optional<Definition>> at(const std::string& set, std::int64_t at_ms);

 private:
  Statements& statements_;
  std::map<std::string, std::vector<Definition>> kept_;
};

class PackHistory {
 public:
  PackHistory(Statements& statements, const std::string& pack) : statements_(statements), pack_(pack) {}

  Result<void> read(SetDefinitions& sets);
  // Writes what differs from what stands there, and adds loads whose indicators changed.
  Result<void> write(std::set<std::string>& loads_touched);

 private:
  // A row that ties an event of this pack to a load: of uses, pack_moves or indicators.
  struct Tied {
    PackEvent event;
    Span span;
    std::vector<std::int64_t> rows;                 // their rowids
    std::vector<std::optional<std::string>> loads;  // as the rows have it
    std::vector<std::optional<std::string>> found;  // as it is
  };
  struct Packing {
    std::optional<std::string> set, wrap, indicator_lot, wrap_lot, outside_lot, at, by;
    bool outside = false;
    std::optional<std::int64_t> seq, ms, earliest_ms, latest_ms, use_by_ms;
    std::optional<SetDefinitions::Definition> definition;
  };
  struct Held {
    std::string load;
    bool good = false;  // complete and not rejected
    std::optional<Span> end;
    std::optional<std::string> set;
    std::optional<std::int64_t> packed_ms, told_apart, implant;
    Became became;
    bool good_later = false;
  };

  Result<void> read_packing(SetDefinitions& sets);
  Result<void> read_loads();
  Result<void> read_tied(const char* sql, std::vector<Tied>& out);
  void find_loads(std::vector<Tied>& events) const;
  // Its uses and moves by relevant load.
  std::map<std::string_view, std::vector<const PackEvent*>> events_by_load() const;
  // The earliest end of the last load that is complete and not rejected.
  std::optional<Instant> last_good_end() const;

  Result<void> write_packing();
  Result<void> write_loads();
  Result<void> write_set();
  Result<void> write_shelf();
  // How the rows of one table are changed.
  struct RowWriting {
    const char* change;  // load, rowid
    const char* copy;    // load, rowid of the row to copy
    const char* drop;    // rowid
  };
  Result<void> write_tied(std::vector<Tied>& events, const RowWriting& writing, std::set<std::string>* loads_touched);

  Statements& statements_;
  const std::string& pack_;
  Packing packing_;
  std::vector<Held> held_;
  RelevantLoads relevant_{{}};
  std::vector<Tied> uses_;
  std::vector<Tied> moves_;
  std::vector<Tied> indicators_;
};

}  // namespace trayproof::links
