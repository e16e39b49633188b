// Patients' numbers in what is given for one append: a text or id that holds one is refused, also when it stands in a
// line before. Numbers are settled as the vocabulary settles them; one that would be refused is passed over here.
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "ledger/base/result.h"
#include "ledger/identities.h"
#include "ledger/text/json.h"

namespace trayproof {

void know_numbers_of(const json::Value& given, KnownNumbers& numbers);

// Those of a file of events, one JSON object a line. A line with escapes could spell its members in other ways, and
// inside `unknown` and `as_read` the names of the fields mean no numbers: such lines are parsed whole; a plain one, and
// that is nearly every one, is only looked over.
void know_numbers_in(std::string_view lines, KnownNumbers& numbers);

class Ledger;
// For what is to be shown: the numbers that the ledger knows, those in lines of events that were given, and more.
// Denied without the ledger's keys; the ledger must outlive them.
Result<KnownNumbers> numbers_with(const Ledger& ledger, std::string_view lines, std::span<const std::string> more);

}  // namespace trayproof
