// An edition as it stands in a ledger. A newer program may have adopted it, with keys and values that this one does not
// know: they are left out and named, and what this program knows of the edition judges (docs/sop-format.md). An edition
// that is adopted now is read strictly (`read`).
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "ledger/sop/sop.h"

namespace trayproof::sop {

struct Kept {
  Sop sop;
  std::vector<std::string> unknown;  // "[steam] warm_up_minutes"; the whole text where it is no TOML
};
Kept read_kept(std::string_view toml);

}  // namespace trayproof::sop
