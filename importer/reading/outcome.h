// What reading a file leaves beside its values: questions, refused rows. Plain data, never an error.
#pragma once

#include <cstdint>
#include <string>

#include "ledger/text/json.h"

namespace trayproof::reading {

// A choice that the file leaves open and that would change what it says.
struct Ask {
  std::string what;    // "date-order", "pressure", "unit", "decimal", "delimiter", "zone"
  json::List choices;  // each {"value", and what the file would then say}
  std::string option;  // the option that answers it
};

struct RefusedRow {
  std::int64_t line = 0;
  std::string text;
  std::string why;
};

}  // namespace trayproof::reading
