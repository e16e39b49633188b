// JSON Pointer (RFC 6901): "/replacement/note", "/items/2/note", with ~1 for "/" and ~0 for "~".
#pragma once

#include <string_view>

#include "ledger/text/json.h"

namespace trayproof::json {

// What stands there, or null: nothing stands there, or it is no pointer.
const Value* at_pointer(const Value& value, std::string_view pointer);

}  // namespace trayproof::json
