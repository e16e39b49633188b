// Who gave a person the key that they sign with. Whoever gave it may know its PIN, and so could be both persons where
// two are needed (docs/threat-model.md).
#pragma once

#include <string>
#include <string_view>

#include "ledger/people/key_book.h"

namespace trayproof::people {

// The owner of the key that signed its key-added; of a key that its owner made with the one before, whoever gave that
// one, for they could have made the next too. Empty when the record does not know it.
std::string giver_of(const KeyBook& keys, const KnownKey& key);
// Whether the key in force of `second` was given by `asker`. False when they have none.
bool has_key_from(const KeyBook& keys, std::string_view second, std::string_view asker);

}  // namespace trayproof::people
