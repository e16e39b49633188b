// Standing exposure as a table.
#pragma once

#include "ledger/recall/exposure.h"
#include "report/markup/markup.h"

namespace trayproof::desk {

markup::Markup exposure_table(const recall::Exposure& found);

}  // namespace trayproof::desk
