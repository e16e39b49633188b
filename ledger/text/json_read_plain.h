// Private to json_read.cpp: the fast way for plain texts.
#pragma once

#include <string_view>

#include "ledger/text/json.h"

namespace trayproof::json {

// False: not plain, `out` is undefined and says nothing. True: `out` is what the careful reader gives.
bool read_plain(std::string_view text, std::size_t depth, Value& out);

}  // namespace trayproof::json
