// Opening a person's sealed key where the caller slows down guesses itself.
#pragma once

#include <memory>
#include <string_view>

#include "ledger/ledger.h"

namespace trayproof {

// Whose business it is that guesses of a PIN are slowed down: of whoever keeps the key file, or of the caller, who knows
// where they come from. Wrong ones are counted in the key file either way.
enum class Waits { key_file, caller };

// As `Ledger::unlock`, which waits as the key file says.
Result<std::shared_ptr<const people::Signer>> unlock(const Ledger& ledger, std::string_view person, std::string_view pin,
                                                     Waits waits);

}  // namespace trayproof
