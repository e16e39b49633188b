// What the record answers to those who ask: the export, recalls of several kinds, gaps, a trace, and the numbers, texts
// and files that stand beside the chain.
#pragma once

#include <map>
#include <string>

#include "ledger/ledger.h"

namespace trayproof::tests {

struct Answer {
  bool given = false;  // else refused, and `text` says why
  std::string text;
  bool operator==(const Answer&) const = default;
};
using Answers = std::map<std::string, Answer>;

// Read without working anything out: each entry by the walk and by its seq, and everything beside the chain. Recall,
// trace and gaps are worked out from these alone.
Answers kept_answers(Ledger& ledger);
// Through the verbs of the command line, as JSON. The tables are derived first when no `.links` stands beside.
Answers verb_answers(const std::string& path, Clock& clock);

// The names of the answers that were given and are not what they were; refused ones are no different answers.
std::string different(const Answers& before, const Answers& after);
// The names of the answers that were given before and are refused now.
std::string refused(const Answers& before, const Answers& after);

}  // namespace trayproof::tests
