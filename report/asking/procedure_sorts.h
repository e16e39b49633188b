// Which procedures are births and which are operations. Sorts are free text in any language: what is not surely one is
// not counted as one (docs/answers.md, "Births and operations").
#pragma once

#include <string_view>

namespace trayproof {

// procedure, at_ms, sort ("?" where none is recorded), kit (1: disposable), n (packs), birth, operation; of every
// procedure, in SQL over the derived tables.
std::string_view procedure_sorts_sql();

}  // namespace trayproof
