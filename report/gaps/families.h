// The families of rules, each in a file of its own, in the order of docs/gap-rules.md.
#pragma once

#include <span>

#include "report/gaps/rule.h"

namespace trayproof::gaps {

std::span<const Rule> use_rules();
std::span<const Rule> pack_rules();
std::span<const Rule> solution_rules();
std::span<const Rule> disinfection_rules();
std::span<const Rule> cleaning_rules();
std::span<const Rule> cycle_rules();
std::span<const Rule> load_rules();
std::span<const Rule> indicator_rules();
std::span<const Rule> equipment_rules();
std::span<const Rule> record_rules();
std::span<const Rule> ledger_rules();

}  // namespace trayproof::gaps
