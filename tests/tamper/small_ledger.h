// A ledger as small as can be with a row of every sort in every table: corrections, texts, patients, attachments,
// checkpoints, ids introduced, a recall that was opened, signatures that cover several events, and a mark of an earlier
// verification. Made anew each time, with new keys and salts; what it tells is always the same.
#pragma once

#include "tests/support/ward_ledger.h"

namespace trayproof::tests {

enum class Curve {
  small,      // a few lines
  two_parts,  // more than an attachment's row holds
};

void fill_small(WardLedger& ward, Curve curve);

}  // namespace trayproof::tests
