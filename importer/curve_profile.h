// What one logger's exports leave open, answered once: choices under a name, beside the ledger. A profile holds the
// answers of a person, and the separator, decimal mark and date order that a file settled; never a unit that a file
// states, since the next file may state another. docs/import-reading.md, "Profiles", is the authority.
#pragma once

#include <span>
#include <string>

#include "importer/import.h"

namespace trayproof::importer {

std::string curve_profile_file(const std::string& ledger_path, const std::string& name);

// What was said goes before what the profile says. Missing, with the names that there are; invalid, naming the place,
// what stands there and what is allowed.
Result<Choices> with_curve_profile(const std::string& ledger_path, const std::string& name, Choices said);

// Of several files: what holds for all. `read` have no open question. Replaces a profile of that name.
Result<void> save_curve_profile(const std::string& ledger_path, const std::string& name, const Choices& choices,
                                std::span<const json::Value> readings);

// The choices as people read them: "decimal comma, CH1 in °C".
std::string told(const Choices& choices);

}  // namespace trayproof::importer
