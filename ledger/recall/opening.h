// Opening a recall: the answer becomes part of the record. The entry holds the subject, both times, the counts and the
// SHA-256 of the answer without its seconds; the answer itself is kept as an attachment.
#pragma once

#include <optional>
#include <string>

#include "ledger/ledger.h"
#include "ledger/recall/answer.h"

namespace trayproof::recall {

enum class Purpose { real, drill };

struct Opening {
  std::string recall;  // its id
  Purpose purpose = Purpose::real;
  std::optional<std::string> by;  // the station when absent
};

// The refusals are the ledger's: an id that is there already, a text that names a patient's number.
Result<Appended> open_recall(Ledger& ledger, const Answer& answer, const Opening& opening);

}  // namespace trayproof::recall
