// What is told of a register without a patient's number: those of the row itself wherever they stand in it, those of
// the other rows and those that the ledger knows where they stand as words. docs/registers.md, "Patients' numbers".
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "importer/register/register.h"
#include "ledger/identities.h"
#include "ledger/text/json.h"

namespace trayproof::registers {

// The patients' numbers in one event: mother's and newborns'.
std::vector<std::string> numbers_in(const json::Value& event);
// The text with each of the numbers masked, also inside of words.
std::string without_numbers(std::string text, const std::vector<std::string>& numbers);

// An event as it may be shown.
json::Value shown_event(json::Value event);
json::Value shown_event(json::Value event, const KnownNumbers& known);

// Masks in what the reader says of the rows. Headings are left: they name columns.
void mask(Register& read, const KnownNumbers& known);

}  // namespace trayproof::registers
