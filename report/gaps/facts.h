// What the rules look at: loads, packs, uses, solutions and the rest as plain structs, tied together. Read once from
// the derived tables (docs/tables.md); a rule then sees nothing but these facts and an SOP edition.
//
// Times are intervals (when.h). Where coarse times leave open which load is the relevant one of a use, the use names
// each that could be.
#pragma once

#include <deque>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/base/zone.h"
#include "ledger/sop/sop.h"
#include "ledger/store/database.h"
#include "report/gaps/by_origin.h"
#include "report/gaps/seconds.h"

namespace trayproof::gaps {

struct Load;
struct Pack;
struct Solution;
struct Use;

using Records = std::vector<const Record*>;

// A curve that was placed on a load, with the judgement that holds.
struct Curve {
  std::int64_t seq = 0;
  std::string logger;
  Instant from;
  const Record* judged = nullptr;
  std::string verdict;  // empty: not judged under the edition in force
};

// A reading of an indicator, and the loads it speaks of: the one named, else what could be the relevant one of its
// pack.
struct Indicator {
  const Record* record = nullptr;
  std::string pack;
  std::string result;
  std::vector<const Load*> loads;
};

struct Biological {
  const Record* record = nullptr;
  const Load* load = nullptr;
  std::string lot;
  std::optional<std::int64_t> lot_seq;
  std::optional<double> hours_wanted_by_lot;
  std::string lot_expires;
};

struct Load {
  std::string id;
  const Record* started = nullptr;  // null: other events name it, nothing tells when it ran
  const Record* ended = nullptr;
  Records changes;
  std::string method;
  std::string equipment;
  const Solution* solution = nullptr;
  std::vector<const Pack*> packs;
  Records decisions;  // released and rejected, by at, then seq
  std::vector<const Curve*> curves;
  std::vector<const Indicator*> indicators;
  Records placed;  // biological-placed
  std::vector<const Biological*> biologicals;

  // The end that counts: the end's, else the start's. Only of a load that has one of them.
  bool has_time() const { return started != nullptr || ended != nullptr; }
  const When& end() const { return ended != nullptr ? ended->at : started->at; }
  const When& start() const { return started != nullptr ? started->at : ended->at; }
  // Its packs were marked as not known: it may hold any pack.
  bool packs_unknown() const { return started != nullptr && started->mark("packs") == Mark::not_known; }
  // The decision in force at that time: released (yes), rejected or none (no).
  Told released_by(const When& time) const;
  // The latest decision is a rejection.
  Told rejected() const;
  // Yes, no, or not to be told: no end recorded, or marked unknown.
  Told complete() const;
  std::vector<std::int64_t> seqs() const;  // of start and end
};

// pack-stored, -issued, -opened, -returned, -withdrawn; by at, then seq.
struct Move {
  const Record* record = nullptr;
  std::vector<const Load*> loads;  // what could be the relevant load; empty: none
  std::optional<Instant> use_by;
  bool is(std::string_view kind) const { return record->kind->name == kind; }
};

// A soak, cleaning or inspection in the turn of a pack.
struct TurnStep {
  const Record* record = nullptr;
  bool certain = true;  // false: with coarse times it could as well belong to another turn
};

struct Pack {
  std::string id;
  const Record* packed = nullptr;    // packed here
  const Record* received = nullptr;  // made elsewhere
  std::string set;
  std::string wrap;                        // empty: unknown, which counts as wrapped
  const Record* set_definition = nullptr;  // at its packing
  bool told_apart = true;
  std::optional<Instant> use_by;   // as received
  std::vector<const Load*> loads;  // that hold it, by end
  std::vector<Move> moves;
  std::vector<const Use*> uses;              // by time
  std::vector<TurnStep> turn;                // by time
  std::vector<const Indicator*> indicators;  // read for it

  bool is_drum() const { return wrap == "drum"; }
  std::string_view counted_wrap() const { return wrap.empty() ? std::string_view("wrapped") : std::string_view(wrap); }
  const Record* made() const { return packed != nullptr ? packed : received; }
};

struct Use {
  const Record* procedure = nullptr;
  std::string procedure_id;
  const Pack* pack = nullptr;
  When time;                       // `until` if given, else `at`
  std::vector<const Load*> loads;  // its relevant load, or each that could be; empty: none
};

struct Soak {
  const Record* record = nullptr;
  const Solution* solution = nullptr;
  std::optional<When> end;
  std::optional<std::int64_t> end_seq;
};

struct Solution {
  std::string id;
  const Record* prepared = nullptr;
  const Record* discarded = nullptr;
  Records tests;                   // by at, then seq
  std::vector<const Soak*> soaks;  // by start
  std::vector<const Load*> loads;  // by start
  std::string_view agent() const { return prepared == nullptr ? std::string_view() : prepared->text("agent"); }
  std::string_view use() const { return prepared == nullptr ? std::string_view() : prepared->text("use"); }
};

// A load that was started on a machine, as far as rules want it that follow a machine through its whole history.
struct Run {
  std::string load;
  std::string method;
  When start;
  When end;  // the start where no end is recorded
  std::int64_t start_seq = 0;
  std::optional<std::int64_t> end_seq;
  std::optional<std::int64_t> cycle;
  bool cycle_unknown = false;                                         // marked so
  std::optional<double> temperature_c, pressure_kpa_gauge, hold_min;  // as the operator read them at the end

  std::vector<std::int64_t> seqs() const;
  bool has_readings() const { return temperature_c || pressure_kpa_gauge || hold_min; }
};

// One machine with what ran on it and what was checked, each by time.
struct Equipment {
  std::string id;
  std::string sort;                // as registered last; empty: never registered
  std::vector<const Load*> loads;  // those at hand
  std::vector<const Run*> runs;    // every one, whatever the period
  Records checks;
  Records stops;                     // stopped and resumed
  std::vector<const Curve*> curves;  // it is the logger of; those at hand
  struct Measured {
    Instant from;
    std::int64_t seq = 0;
  };
  std::vector<Measured> measured;  // of every curve that it is the logger of
};

// Of a what-if: curves at hand whose recorded verdict stands because they could not be judged by the edition that is
// tried, and the editions that judged them.
struct AsRecorded {
  std::int64_t judged_again = 0;
  std::int64_t curves = 0;
  std::set<std::int64_t> editions;
};

// What a recall asks for as its list is now.
struct RecallAsks {
  bool open_again = false;            // it was closed, and something unanswered came on the list after that
  std::vector<std::int64_t> to_find;  // of each pack not yet found, the entry that put it on the list; 0: the opening
};

// A recall that was opened.
struct Recall {
  const Record* opened = nullptr;
  const Record* closed = nullptr;
  bool drill = false;
  bool answer_read = false;                  // its list of packs is at hand
  std::set<std::string, std::less<>> packs;  // as the opening lists them
  std::optional<RecallAsks> asks;            // nothing where it cannot be worked out
};

// When somebody entered an event (`entered`, else `recorded`), and when it happened.
struct Entered {
  std::string_view by;
  Instant entered;
  Instant earliest;
  Instant latest;
  std::int64_t seq = 0;
};

// What the corrections after the opening of a recall did to its list: for each that changed it one with its seq, else
// one with none; open where the lists cannot be worked out.
struct RecallChange {
  std::string recall;
  const Record* correction = nullptr;
  Told changed = Told::no;
};

// Which entry first names a thing.
struct Mention {
  std::string thing;
  std::string id;
  std::int64_t seq = 0;
  Instant at;  // of that entry
};

template <typename T>
using ById = std::map<std::string, T, std::less<>>;

struct Facts {
  Zone zone = Zone::utc();
  sop::Editions editions;
  std::optional<sop::Sop> what_if;  // judges everything instead
  std::string ledger;               // its id
  Instant created;
  Instant now;
  Instant until;  // end of the period asked about; now when none was given

  // Where a period begins, what stands here is what that period touches, and everything that it hangs together with
  // (near.h): what the rules say of the period is what they would say over the whole record.
  Names names;
  std::map<std::string_view, std::vector<Record>> records;  // by kind, each by at, then seq
  std::deque<Curve> curves;
  std::deque<Record> what_if_judgements;  // of curves, by the edition that is tried; each cites the measurement
  AsRecorded as_recorded;
  std::deque<Indicator> indicators;
  std::deque<Biological> biologicals;
  std::deque<Soak> soaks;
  std::deque<Use> uses;  // by time, procedure, pack
  ById<Load> loads;
  ById<Pack> packs;
  ById<Solution> solutions;
  ById<Equipment> equipment;
  ById<Recall> recalls;
  std::vector<const Load*> loads_by_start;  // those that have a time
  std::deque<Run> runs;
  std::vector<When> blind_procedures;         // of the whole record, whose packs were marked as not known
  std::vector<When> unseen_loads;             // ends of loads whose packs were marked as not known, of the whole record
  std::set<std::string, std::less<>> people;  // who entered something
  std::vector<Entered> entered;               // by person, then entered, then seq
  std::int64_t back_records = 0;  // events older than 30 days before the ledger's creation, in the whole record
  std::vector<RecallChange> recall_changes;
  std::vector<Mention> first_mentions;  // by thing, id
  ById<std::vector<const Record*>> by_set_defined;
  ById<std::vector<const Record*>> by_lot_received;
  ByOrigin by_origin;
  Seconds seconds;

  const std::vector<Record>& of(std::string_view kind) const;
  // The edition in force then. Never null: a ledger without an edition is not asked.
  const sop::Sop& sop_at(Instant instant) const;
  const sop::Sop& sop_at(const When& time) const { return sop_at(time.at); }
  // The definition in force at that time: the last one not later, else the first; null when there is none.
  const Record* set_definition(std::string_view set, Instant at) const;
  const Record* lot(std::string_view lot, Instant at) const;
  std::optional<double> altitude_m(Instant at) const;
  const Load* load(std::string_view id) const;
  const Pack* pack(std::string_view id) const;
  bool is_person(std::string_view id) const;
  CivilDate day(Instant at) const { return zone.civil(at).date; }
  // The last moment of a day of the facility.
  Instant end_of(const CivilDate& date) const;
};

// The answer that opened a recall, by its SHA-256; nothing when it is not at hand.
using RecallAnswers = std::function<std::optional<json::Value>(std::string_view sha256)>;

// The lists of a recall that was opened, worked out again as they were known at that seq; nothing when they cannot be.
using RecallAgain = std::function<std::optional<json::Value>(const Record& opened, std::int64_t known_at)>;

// What the recall of that id asks for now; nothing when it cannot be worked out.
using RecallWork = std::function<std::optional<RecallAsks>(const std::string& recall)>;

// What a curve-judged of that measured curve would say under the edition that is tried; nothing when it cannot be
// judged again.
using CurveJudge = std::function<Result<std::optional<json::Value>>(std::int64_t curve)>;

struct Surroundings {
  sop::Editions editions;
  std::optional<sop::Sop> what_if;
  Instant now;
  std::optional<Instant> from;  // where the period begins that is asked about; without it everything is read
  std::optional<Instant> until;
  RecallAnswers recall_answers = {};  // may be empty: rules that need the lists say then that they cannot tell
  RecallAgain recall_again = {};      // likewise
  RecallWork recall_work = {};        // likewise
  CurveJudge curve_judge = {};        // asked with `what_if` only; empty: every verdict stands as recorded
};

Result<Facts> read_facts(store::Database& tables, Surroundings around);

}  // namespace trayproof::gaps
