// The catalogues beside the English one, from ledger/words/languages/*.po as msgfmt compiled them into this program.
// The only include of Boost.Locale.
#pragma once

#include <string_view>

#include "ledger/words/language.h"

namespace trayproof {

// The text of `key` in that language; empty when there is none for the English text of now.
std::string_view translated(Language language, std::string_view key);

}  // namespace trayproof
