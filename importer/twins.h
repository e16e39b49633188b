// The same curve again: a cycle that repeats one which was kept before, for another load. Sketches of all kept curves
// are compared first, then the nearest curves themselves. docs/import-reading.md, "The same curve again", is the
// authority.
#pragma once

#include <deque>
#include <functional>
#include <map>
#include <optional>
#include <vector>

#include "importer/judge_again.h"
#include "importer/judging/likeness.h"
#include "importer/judging/search.h"

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

  // The earlier curve that the next cycle of the file in hand repeats; it counts as an earlier one from then on.
  Result<std::optional<Twin>> find(const CodedCurves& curves, std::size_t next, const NewCurve& about);

 private:
  struct Known {
    judging::Sketch sketch;
    std::optional<StandingCurve> standing;  // nothing for a cycle of the file in hand
    NewCurve about;
    std::int64_t part = 0;
    bool read = false;
    std::optional<std::size_t> outline = {};   // its piece of `outlines_`, once it was read and has one
    std::optional<judging::Trace> trace = {};  // made when it is first looked for
  };
  class Others;
  Twins(Ledger& ledger, links::Links& tables, const sop::Editions& editions)
      : rejudge_(ledger, tables, editions, Rejudge::Keep::no), outlines_(ledger.path()) {}
  Result<std::optional<judging::Outline>> outline(Known& known);
  Result<void> put_outline(Known& known, const judging::Outline& outline);

  Rejudge rejudge_;
  std::deque<Known> known_;
  Spool outlines_;  // each kept curve is read once for all cycles of the file
};

// The finding of a cycle that has one.
Finding repeats(const Twin& twin);

// Looks at each cycle of an import, and adds the finding where it repeats another. `looked` is told how many are done.
Result<void> find_twins(Ledger& ledger, links::Links& tables, const sop::Editions& editions, const Source& source,
                        const CodedCurves& curves, Import& import,
                        const std::function<void(std::size_t cycles)>& looked = {});

// Of an import that was read from memory.
Result<void> find_twins(Ledger& ledger, links::Links& tables, const sop::Editions& editions, const Source& source,
                        Import& import);

}  // namespace trayproof::importer
