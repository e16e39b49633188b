// What `gaps` and `report` are asked in common: a period and an SOP to try instead.
#pragma once

#include <optional>
#include <string>

#include "report/command/context.h"

namespace trayproof::command {

struct AskedPeriod {
  std::optional<Instant> from;
  std::optional<Instant> until;       // included
  std::optional<std::string> misuse;  // what is wrong with the options
};
AskedPeriod period_of(const std::optional<std::string>& from, const std::optional<std::string>& to, const Zone& zone);

// The text of an SOP file, read as far as to know that it is one.
Result<std::string> sop_text(const std::string& file);

// "2026-10-14 08:10"
std::string short_time(const Zone& zone, Instant at);

}  // namespace trayproof::command
