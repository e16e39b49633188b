// The edition that a new ledger adopts when none is given: the bytes of samples/sop/labour-room.toml, put into the
// program when it is built.
#pragma once

#include <string_view>

namespace trayproof::sop {

std::string_view default_sop();

}  // namespace trayproof::sop
