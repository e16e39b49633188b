// Runs the catalogue over the facts of a ledger and answers with findings, what was looked at and what could not be
// told. The JSON is that of `gaps --json`; docs/gap-rules.md and docs/json-shapes.md are the authorities.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "ledger/text/json.h"
#include "report/gaps/rule.h"

namespace trayproof::gaps {

struct Question {
  std::optional<Instant> from;
  std::optional<Instant> until;      // included
  std::optional<std::string> rule;   // that rule only
  std::optional<Severity> severity;  // findings of that severity only
  std::optional<sop::Sop> what_if;   // judged under this edition instead, and marked so
  bool name_open = false;            // which things could not be told, too
};

enum class State { open, explained, accepted, action };
std::string_view word(State state);

struct Finding {
  const Rule* rule = nullptr;
  Severity severity = Severity::information;
  std::string subject_kind;
  std::string subject_id;
  Instant at;
  json::Value found;
  json::Value limit;
  std::string says;
  Seqs seqs;
  std::string closes;
  std::int64_t first_seen = 0;
  State state = State::open;
  std::optional<std::int64_t> answered_by;              // seq of the finding-answered that gave the state
  people::Second second = people::Second::none_needed;  // of that answer; of a critical finding never none_needed

  // Not answered, or critical and answered by one person alone.
  bool is_open() const;
};

// An answer to what the record does not show as a gap: it never did, or does no longer.
struct AnswersNothing {
  std::int64_t seq = 0;
  std::string rule;
  bool rule_known = false;
};

// A thing of which a rule could not tell.
struct NotTold {
  const Rule* rule = nullptr;
  std::string subject_kind;
  std::string subject_id;
  Instant at;
};

struct Count {
  const Rule* rule = nullptr;
  std::int64_t subjects = 0;
  std::int64_t gaps = 0;
  std::int64_t cannot_tell = 0;
  bool limit_not_stated = false;  // for at least one thing that it would have looked at
};

struct Findings {
  std::optional<Instant> from;
  std::optional<Instant> until;
  Zone zone = Zone::utc();
  std::vector<std::int64_t> editions;  // seqs of the editions that judged in the period
  // Where something in the period happened before any edition judged: when the first one, which covers all time before
  // it too, began.
  std::optional<Instant> before_editions;
  std::optional<std::string> what_if;            // title of the edition that judged instead
  AsRecorded as_recorded;                        // then: verdicts of curves that it could not judge
  std::vector<Count> looked_at;                  // in the order of the catalogue
  std::vector<Finding> gaps;                     // by at, rule, subject
  std::optional<std::vector<NotTold>> not_told;  // by rule in the order of the catalogue, at, subject; where asked for
  std::vector<AnswersNothing> answers_nothing;   // of the period and the rules asked about, by seq; none of a what-if
  std::int64_t back_records = 0;  // events older than 30 days before the ledger's creation, not judged for lateness

  std::int64_t open() const;
};

// `now` is the clock's; what lies behind a deadline is told by it.
Result<Findings> find_gaps(store::Database& tables, sop::Editions editions, Instant now, const Question& question,
                           RecallAnswers recall_answers = {}, RecallAgain recall_again = {},
                           RecallWork recall_work = {}, CurveJudge curve_judge = {});
// Over facts that were read already.
Findings find_gaps(const Facts& facts, const Question& question);

// The same, and beside it what arose whenever, of one look.
struct FoundEver {
  Findings in_period;
  std::vector<Finding> ever;  // those of the period among them, in the same order
};
FoundEver find_gaps_ever(const Facts& facts, const Question& question);

json::Value to_json(const Findings& findings);

// Of a what-if: which verdicts of curves stand as recorded, in a sentence. Empty: none.
std::string as_recorded_note(const AsRecorded& as_recorded);

}  // namespace trayproof::gaps
