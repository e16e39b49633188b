// Patients' numbers in what is given for one append: a text or id that holds one is refused, also when it stands in a
// line before. Numbers are settled as the vocabulary settles them; one that would be refused is passed over here.
#pragma once

#include <string_view>

#include "ledger/identities.h"
#include "ledger/text/json.h"

namespace trayproof {

void know_numbers_of(const json::Value& given, KnownNumbers& numbers);

// Those of a file of events, one JSON object a line. A line with escapes could spell its members in other ways, and
// inside `unknown` and `as_read` the names of the fields mean no numbers: such lines are parsed whole; a plain one, and
// that is nearly every one, is only looked over.
void know_numbers_in(std::string_view lines, KnownNumbers& numbers);

}  // namespace trayproof
