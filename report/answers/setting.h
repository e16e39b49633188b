// What stands beside the derived tables while a question is asked, in temporary tables of the same connection:
//
//   limits       key ("steam.program[1].band_k"), plain (the same without [1]), value, edition (seq), from_ms, until_ms
//                (when the edition judges, both included), stated (0: nothing in the text, the key's default)
//   sop_keys     place, key, usual: every key of the SOP file, and its default
//   months, weeks, days   name, weekday (1 Monday to 7, of days), from_ms, until_ms: the period in the facility's zone
//   drawn        id: what a random sample drew
//   recall_work  recall, state, packs_to_find, packs_answered, procedures, procedures_answered: the work on each recall
//   as
//                it stands now (docs/recall.md, "As work"); numbers are NULL where its list is gone
//   every_event  a view over all kinds: origin, seq, kind, given (0: the program wrote it), at_ms, recorded_ms,
//                entered_ms, by, paper, files
//   release_wanted a view: load: those of methods that the SOP wants released (`release.methods` at their end)
//   procedure_sorts a view: every procedure, and whether it is surely a birth or an operation (report/asking)
//   named_events a view: thing, id, origin, seq, kind, at_ms, by, paper, files: which entries that hold name what
//
// As SQL text, so that the plain sqlite3 shell can be given the same.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "ledger/base/zone.h"
#include "ledger/links/links.h"
#include "ledger/sop/sop.h"
#include "ledger/store/database.h"

namespace trayproof::answers {

struct Period {
  Instant from;
  Instant until;  // included
};

// The text of an edition and when it judges.
struct Judging {
  std::int64_t edition = 0;  // seq of its sop-adopted; 0 for one that is only tried
  std::string toml;
  Instant from{INT64_MIN};
  Instant until{INT64_MAX};
};
// Every edition with the spans in which it judges; one that never judges is left out.
Result<std::vector<Judging>> judging(store::Database& tables, const sop::Editions& editions);

Result<std::string> limits_sql(const std::vector<Judging>& editions);
std::string calendar_sql(const Period& period, const Zone& zone);
Result<std::string> recall_work_sql(links::Links& tables, const sop::Editions& editions);
std::string drawn_sql(const std::vector<std::string>& ids);
// A key of the SOP file as `limits` has it, or what several begin with.
bool is_limit(std::string_view name);

// Over `limits`.
std::string release_wanted_sql();
std::string every_event_sql();
std::string named_events_sql();

// The ids with the smallest SHA-256 of "<seed>:<id>", in the order of these: anybody can draw the same with sha256sum,
// and what is entered later moves nobody else in or out but by its own number.
std::vector<std::string> draw(const std::vector<std::string>& from, std::size_t count, std::string_view seed);

// A text in SQL's quotes.
std::string quoted(std::string_view text);

}  // namespace trayproof::answers
