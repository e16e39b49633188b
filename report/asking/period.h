// A period as people give it.
#pragma once

#include <optional>
#include <string>

#include "report/asking/facility.h"

namespace trayproof {

struct AskedPeriod {
  std::optional<Instant> from;
  std::optional<Instant> until;       // included
  std::optional<std::string> misuse;  // what is wrong with what was given
};
AskedPeriod period_of(const std::optional<std::string>& from, const std::optional<std::string>& to, const Zone& zone);

}  // namespace trayproof
