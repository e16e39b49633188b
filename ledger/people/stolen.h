// Entries that a thief may have signed. One answer for verify, traces and evidence packs.
#pragma once

#include "ledger/people/key_book.h"
#include "ledger/text/json.h"

namespace trayproof::people {

// The key of an entry, where it is reported stolen as of a time not after the entry was recorded; null where it is not.
const KnownKey* stolen_for(const KeyBook& keys, const json::Value& entry);

}  // namespace trayproof::people
