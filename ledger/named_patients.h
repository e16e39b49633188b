// Texts, ids and member names that hold a known patient's number: they would keep it in the hashed bytes for ever.
#pragma once

#include <cstdint>
#include <string_view>

#include "ledger/events/refusal.h"
#include "ledger/identities.h"
#include "ledger/text/json.h"

namespace trayproof {

// One refusal for each place in a settled event that holds a known number as a whole word. The event's own patients are
// kept beside the chain and are no fault.
events::Refusals named_patients(const json::Value& event, std::string_view kind, std::int64_t line,
                                const KnownNumbers& numbers);

}  // namespace trayproof
