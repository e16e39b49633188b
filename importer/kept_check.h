// Kept curves held against their exports: for verify, which tells what differs, and for rebuilding, which makes all
// again.
#pragma once

#include <string>
#include <vector>

#include "importer/judge_again.h"

namespace trayproof::importer {

struct KeptFault {
  std::int64_t curve = 0;  // seq
  std::string what;
};
// Every kept curve that is not what this program reads in its export. One that is not kept is no fault.
Result<std::vector<KeptFault>> check_kept(Ledger& ledger, links::Links& tables);

// Makes the kept curves of every export again; how many.
Result<std::int64_t> keep_again(Ledger& ledger, links::Links& tables);

}  // namespace trayproof::importer
