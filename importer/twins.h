// The same curve again: a cycle that repeats one which was kept before, for another load. Sketches of all kept curves
// are compared first, then the nearest curves themselves. docs/import-reading.md, "The same curve again", is the
// authority.
#pragma once

#include <deque>
#include <map>
#include <optional>
#include <vector>

#include "importer/judge_again.h"
#include "importer/judging/likeness.h"
#include "importer/judging/sketch.h"

namespace trayproof::importer {

struct Twin {
  std::int64_t curve = 0;           // seq of the earlier; 0: an earlier cycle of the same file
  std::int64_t part = 0;            // its number in its file
  std::optional<std::string> load;  // where it is placed
  judging::Likeness likeness;
};

// What is asked about.
struct NewCurve {
  std::optional<std::string> load;
  std::string equipment;
  std::optional<Instant> from;
  std::optional<Instant> until;
};

class Twins {
 public:
  // All must outlive it.
  static Result<Twins> of(Ledger& ledger, links::Links& tables, const sop::Editions& editions);

  // The earlier curve that this one repeats; it counts as an earlier one from then on.
  Result<std::optional<Twin>> find(const judging::Measured& curve, const NewCurve& about);

 private:
  struct Known {
    judging::Sketch sketch;
    std::optional<StandingCurve> standing;  // nothing for a cycle of the file in hand
    NewCurve about;
    std::int64_t part = 0;
    Bytes coded;  // of a cycle of the file in hand
  };
  Twins(Ledger& ledger, links::Links& tables, const sop::Editions& editions)
      : rejudge_(ledger, tables, editions, Rejudge::Keep::no) {}
  Result<std::optional<judging::Measured>> measured(const Known& known);
  void add(const judging::Sketch& sketch, const judging::Measured& curve, const NewCurve& about);

  Rejudge rejudge_;
  std::deque<Known> known_;
  std::int64_t parts_ = 0;
  std::size_t coded_bytes_ = 0;
};

// The finding of a cycle that has one.
Finding repeats(const Twin& twin);

// Looks at each cycle of an import that was read from memory, and adds the finding where it repeats another.
Result<void> find_twins(Ledger& ledger, links::Links& tables, const sop::Editions& editions, const Source& source,
                        Import& import);

}  // namespace trayproof::importer
