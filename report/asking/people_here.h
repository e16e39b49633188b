// Who is enrolled and has not left, with their names: for lists to choose from, and for badges.
#pragma once

#include <string>
#include <vector>

#include "ledger/ledger.h"

namespace trayproof {

struct PersonHere {
  std::string id;
  std::string name;  // empty where its text was removed
  std::vector<std::string> roles;
  bool has_pin = false;
};
// By id.
Result<std::vector<PersonHere>> people_here(const Ledger& ledger);

// "Ana Invented (ana)"; the id alone where there is no name.
std::string shown(const PersonHere& person);

// Whom a badge or a hand means: by id, else by the one name that is spelled so, else by the one id that is but for
// capitals. Null where it is nobody, or not certain who.
const PersonHere* find_person(const std::vector<PersonHere>& here, std::string_view given);

}  // namespace trayproof
