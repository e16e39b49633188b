// Gives an evidence pack: the entries of a case with their bytes, proofs against one signed state, what stands beside
// the chain, the raw files, and a page that a person can read. docs/evidence-pack.md is the authority on the format.
//
// The same record, subject and program give the same bytes. Patients stand as pseudonyms, unless who gives it may read
// their numbers and asks for them: then the page, and only the page, shows those. Private keys and the names of persons
// never go into a pack.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/links/links.h"
#include "report/evidence/belonging.h"

namespace trayproof::evidence {

struct Giving {
  Subject subject;
  bool whole = false;  // every entry of the record goes in
  std::string output;
  // The cautions for methods of loads and agents of solutions.
  std::function<std::vector<std::string>(const std::vector<std::string>&)> cautions;
  // A patient's number; empty: the page shows pseudonyms. A pack with numbers is readable by its owner only.
  std::function<Result<std::optional<std::string>>(std::string_view)> number_of = {};
};

struct Given {
  std::string sha256;
  std::uint64_t bytes = 0;
  std::int64_t size = 0;  // of the state that it is proved against
  std::size_t entries = 0;
  std::size_t attachments = 0;
  std::size_t absent = 0;                // texts and files that entries name and the pack does not hold
  std::optional<std::int64_t> recorded;  // seq of its evidence-given; nothing where nothing can be written
};

// Conflict when the output is there already. Missing: no event names the subject. Unavailable: the ledger is open for
// reading only and no signed state covers all of it.
Result<Given> give(Ledger& ledger, links::Links& tables, const Giving& giving);

}  // namespace trayproof::evidence
