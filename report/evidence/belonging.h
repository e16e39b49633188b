// Which entries belong to a case: what trace and recall cite, what those rest on (curves, lots, machines and their
// checks, set definitions, people, the SOP in force), the corrections of any of them, and what a stranger needs to
// check them: the ledger's first entries, its keys, and the later entries whose signatures cover earlier ones.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "ledger/links/links.h"
#include "ledger/recall/answer.h"

namespace trayproof::evidence {

struct Subject {
  std::string kind;  // procedure, load, recall, pack, set, solution
  std::string id;
};

bool is_subject_kind(std::string_view kind);

// Why an entry is in the pack; of several reasons the first.
enum class Why { story, ground, rules, record, cover };

struct RecallStory {
  recall::Answer answer;        // worked out again, as of the opening
  bool same_as_opened = false;  // byte for byte the answer that opened the recall
  std::string answer_sha256;    // of the answer that opened it
};

struct Belonging {
  Subject subject;
  std::int64_t size = 0;  // of the state: no entry is later
  std::map<std::int64_t, Why> entries;
  std::set<std::string> loads, packs, procedures, solutions, sets, equipment, lots, persons;
  std::vector<std::int64_t> curves;  // seqs of curve-measured, of the loads
  std::optional<RecallStory> recall;

  bool is_in_story(std::int64_t seq) const;
};

// `tables` are caught up. Missing: no event names the subject. Invalid: packs are not made about that kind.
Result<Belonging> belonging(links::Links& tables, const Subject& subject, const sop::Editions& editions);

}  // namespace trayproof::evidence
