// Which derivation the tables come from. Changes with every change of what is derived: tables of another version are
// derived again, beside a ledger and in a register.
#pragma once

#include <string_view>

namespace trayproof::links {

inline constexpr std::string_view derivation_version = "1.3";

}  // namespace trayproof::links
