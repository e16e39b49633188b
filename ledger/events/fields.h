// One field's value: is it of its type, and what is its one spelling in the hashed bytes?
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "ledger/events/kinds.h"
#include "ledger/events/refusal.h"
#include "ledger/text/json.h"

namespace trayproof::events {

// Inside a correction, {"pseudonym": hex} and {"sha256": hex} may stand for a number or text that is to stay as it is.
enum class StandIns { refused, taken };

// Changes `value` to its one spelling (NFC, times rewritten, CR LF to LF, outer blanks of patient numbers cut) and adds
// a refusal for everything that does not fit. `path` is the field's name as the recorder sees it.
void settle(json::Value& value, const Field& field, const std::string& path, Refusals& refusals, StandIns stand_ins);

// Whether `text` is an id (docs/ledger-format.md, "Ids").
bool is_id(std::string_view text);

// A value as it may be shown in a refusal: short, quoted, patient numbers masked.
std::string shown(const json::Value& value);
std::string masked(const json::Value& value);

// What a field of that type takes, in words.
std::string allowed(const Field& field);

}  // namespace trayproof::events
