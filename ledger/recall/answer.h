// The answer to a recall as values, its one JSON shape (docs/recall.md, "The answer"), and its rows for those who
// phone. Patients stand as pseudonyms everywhere; who may see numbers puts them in place afterwards.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "ledger/base/zone.h"
#include "ledger/recall/request.h"
#include "ledger/sop/sop.h"
#include "ledger/text/json.h"

namespace trayproof::recall {

enum class Standing { used, opened, withdrawn, reprocessed, issued, shelf, held, handled };
inline constexpr std::size_t standings = 8;
std::string_view name_of(Standing standing);
// Whether packs so standing are still to be fetched.
bool is_to_be_fetched(Standing standing);

// What bounds a window: a load with a valid negative, or a passed check.
struct Bound {
  std::optional<std::string> load;
  Instant at;
  std::vector<std::int64_t> seqs;  // entries it rests on
};

struct AffectedLoad {
  std::string load;
  std::optional<std::string> equipment;
  std::optional<std::int64_t> started_ms, ended_ms, released_ms;
  bool evidence_missing = false;
  bool may_wait = false;  // under repeat-first
  std::optional<std::int64_t> start_seq, end_seq, decision_seq;
};

struct AffectedPack {
  std::string pack;
  std::optional<std::string> set;
  std::optional<std::string> load;  // the latest affected load that holds it
  Standing standing = Standing::held;
  std::optional<std::string> place;
  bool told_apart = true;
  bool implant = false;
  bool may_wait = true;  // unless an affected load that holds it may not
  std::optional<std::int64_t> packed_ms;
  std::optional<std::int64_t> standing_seq;
};

struct AffectedUse {
  std::string pack;
  std::optional<std::string> load;
};

struct AffectedProcedure {
  std::string procedure;
  std::int64_t origin = 0;
  std::int64_t seq = 0;
  std::int64_t at_ms = 0;
  std::optional<std::string> sort, place, patient;
  std::vector<std::string> newborns;
  std::int64_t newborns_without_number = 0;
  bool implant = false;
  bool may_wait = true;
  std::vector<AffectedUse> uses;
};

struct PolicyCounts {
  std::int64_t packs = 0;
  std::int64_t procedures = 0;
  std::int64_t patients = 0;
};

struct Counts {
  std::array<std::int64_t, standings> by_standing{};
  std::int64_t loads = 0, packs = 0, procedures = 0, patients = 0, patients_unknown = 0, handled_procedures = 0;
  std::int64_t evidence_missing = 0, newborns_without_number = 0;
};

struct Answer {
  Request request;
  Zone zone = Zone::utc();
  Instant as_of;
  std::int64_t known_at = 0;
  std::optional<Bound> after, before;
  std::vector<AffectedLoad> loads;
  std::vector<AffectedPack> packs;
  std::vector<AffectedProcedure> procedures;
  std::vector<AffectedProcedure> handled_procedures;
  Counts counts;
  sop::RecallPolicy in_force = sop::RecallPolicy::at_once;
  PolicyCounts at_once, repeat_first;
  std::int64_t unknown_events = 0;  // entries that this program cannot read; shown when there are any
  double seconds = 0;
  double reread_seconds = 0;
  std::vector<std::int64_t> cited;  // every entry that the answer rests on, in order

  std::int64_t still_to_fetch() const;
};

enum class Timing { shown, left_out };
json::Value to_json(const Answer& answer, Timing timing = Timing::shown);
// Without the seconds: what recall-opened names by its SHA-256.
std::string canonical(const Answer& answer);

// One row a procedure, in the answer's order, for the people who phone. Times in the facility's zone.
struct Call {
  std::string procedure, at, place, patient, newborns, packs;
};
std::vector<Call> call_list(const Answer& answer);

}  // namespace trayproof::recall
