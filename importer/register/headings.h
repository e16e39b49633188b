// What the heading of a column may mean in a register of one kind: by the field's own name, by the words that wards
// write there (a small table, several languages), and for times by what they say of beginning and end. Proposes only;
// the matching is printed and can be said otherwise. docs/registers.md is the authority.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "ledger/events/kinds.h"

namespace trayproof::registers {

// The words of a heading without case, accents, marks and line breaks.
std::vector<std::string> heading_words(std::string_view heading);
// The same as one text, by which headings are compared.
std::string heading_key(std::string_view heading);

// Fields of that kind, or of the envelope, that a column under that heading may hold; several where it could be either.
std::vector<const events::Field*> meanings(std::string_view heading, const events::Kind& kind);

// The kind's field or one that a register may give of the envelope; null for another name.
const events::Field* register_field(const events::Kind& kind, std::string_view name);
bool is_time(const events::Field& field);
bool is_list(const events::Field& field);
bool is_number(const events::Field& field);
bool is_patient(const events::Field& field);

}  // namespace trayproof::registers
