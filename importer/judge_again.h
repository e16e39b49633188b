// Kept curves judged again: as part of a load that a person names, or as another reading of the logger's scale says.
// What was measured is never touched; each judgement is an event of its own.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "importer/evidence.h"
#include "importer/judging/measured.h"

namespace trayproof::importer {

// A measured curve with the place and the judgement that hold.
struct StandingCurve {
  std::int64_t seq = 0;
  std::string equipment;
  std::optional<std::string> logger;
  Digest file{};
  std::int64_t part = 0;  // 0: the whole of a file without a cycle
  Instant from;
  Instant until;
  std::optional<std::string> load;
  std::optional<std::int64_t> judged;  // seq of the curve-judged
  std::optional<std::string> verdict;
};

// Missing where `seq` is no measured curve.
Result<StandingCurve> standing_curve(links::Links& tables, std::int64_t seq);
struct Period {
  std::optional<Instant> from;
  std::optional<Instant> until;  // included; both by the beginning of a curve
};
// In order of time.
Result<std::vector<StandingCurve>> curves_of_logger(links::Links& tables, const std::string& logger,
                                                    const Period& period);
// Every one that is a cycle.
Result<std::vector<StandingCurve>> all_curves(links::Links& tables);
// Those with a cycle that are placed nowhere, in order of time.
Result<std::vector<StandingCurve>> waiting_curves(links::Links& tables);

// The cycles of its export as they are kept; none where the export was removed.
Result<CodedCurves> parts_of_export(const Ledger& ledger, links::Links& tables, const StandingCurve& curve);

// Judges kept curves one after the other. From the bytes beside the chain where this station vouches for them, else
// from the export, read once for all of its curves that come one after the other.
class Rejudge {
 public:
  // All must outlive it. `keep`: what an export gave is kept beside the chain, so that the next time is faster.
  enum class Keep { no, yes };
  Rejudge(Ledger& ledger, links::Links& tables, const sop::Editions& editions, Keep keep)
      : ledger_(ledger),
        keeps_in_(keep == Keep::yes ? &ledger : nullptr),
        tables_(tables),
        editions_(editions),
        parts_(ledger.path()) {}
  // Keeps nothing.
  Rejudge(const Ledger& ledger, links::Links& tables, const sop::Editions& editions)
      : ledger_(ledger), keeps_in_(nullptr), tables_(tables), editions_(editions), parts_(ledger.path()) {}

  // As part of that load (null: of none). Nothing where this program finds no such cycle in the export, or where the
  // export was removed and nothing is kept.
  Result<std::optional<Cycle>> judge(const StandingCurve& curve, const KnownLoad* load, std::optional<double> error_k);
  // As it is placed and by the error of the judgement that holds: what a curve-judged would say. Nothing as above.
  Result<std::optional<json::Value>> judgement(const StandingCurve& curve);
  Result<std::optional<judging::Measured>> measured(const StandingCurve& curve, double error_k);
  // What the ledger knows of that equipment, and the load of that id (null: none such): of that equipment, or of the
  // one that a person placed the curve on.
  Result<const Surroundings*> around(const StandingCurve& curve);
  Result<const KnownLoad*> load_of(const StandingCurve& curve, const std::string& load);

  std::int64_t exports_read() const { return exports_read_; }

 private:
  Result<std::optional<judging::Measured>> from_export(const StandingCurve& curve, const judging::Around& around);
  Result<void> keep_parts();

  const Ledger& ledger_;
  Ledger* keeps_in_;  // null: keeps nothing
  links::Links& tables_;
  const sop::Editions& editions_;
  std::map<std::pair<std::string, std::string>, Surroundings> around_;  // by equipment and logger
  std::map<std::string, std::optional<KnownLoad>> elsewhere_;           // loads on other equipment
  Digest export_{};                                                     // that was read last
  CodedCurves parts_;                                                   // and its cycles
  std::int64_t exports_read_ = 0;
};

// Places a waiting curve by hand and judges it as part of that load, by the logger's error that it was last judged by.
// Missing where the load is none of its equipment, unless `equipment` says where it was measured in truth.
struct PlacedByHand {
  Kept kept;
  std::optional<Cycle> cycle;  // nothing when it could not be judged
};
Result<PlacedByHand> place_by_hand(Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                                   std::int64_t curve, const std::string& load,
                                   const std::optional<std::string>& equipment = {});

struct JudgedAgain {
  StandingCurve curve;
  std::optional<Cycle> cycle;   // nothing when it could not be judged
  bool reached_before = false;  // by a judgement that stands or stood
  bool fresh = false;           // says something else than what stands: a new judgement
};
struct Rejudgement {
  std::vector<JudgedAgain> curves;
  std::int64_t exports_read = 0;
  Kept kept;
};
// Every curve of that logger with `error_k` taken off its readings. `write` records the judgements that are new.
Result<Rejudgement> judge_again(Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                                const std::string& logger, const Period& period, double error_k, bool write);

}  // namespace trayproof::importer
