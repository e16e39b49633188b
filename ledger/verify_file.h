// The part of verify that looks at the file as a whole: nothing is built into it that format 1 does not have, its pages
// and indexes are in order, no row stands outside the record's numbers, and the key file beside it is this ledger's.
// Private to verify.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>

#include "ledger/ledger.h"

namespace trayproof {

enum class Depth;
using ReportProblem = std::function<void(std::optional<std::int64_t> seq, std::string what)>;

Result<void> check_file(Ledger& ledger, Depth depth, const ReportProblem& problem);

}  // namespace trayproof
