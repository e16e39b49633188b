// A register's matching under a name: a small JSON file in `<ledger>.profiles/`, that people may read and mend. Holds
// headings and words, never a cell. docs/registers.md, "Profiles", is the authority.
#pragma once

#include <string>

#include "importer/register/register.h"
#include "ledger/base/result.h"

namespace trayproof::registers {

std::string profile_file(const std::string& ledger_path, const std::string& name);

// Invalid where the name is none; replaces a profile of that name.
Result<void> save_profile(const std::string& ledger_path, const std::string& name, const events::Kind& kind,
                          const Choices& choices, const Register& settled);

// What was said goes before what the profile says. Missing, with the names that there are; invalid for another kind.
Result<Choices> with_profile(const std::string& ledger_path, const std::string& name, const events::Kind& kind,
                             Choices said);

}  // namespace trayproof::registers
