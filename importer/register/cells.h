// One cell of a register as the value of its field, times apart (times.h): lists in a cell, yes and no, the trade's
// words for allowed values, numbers with their units. What it does not know it gives on as it stands, so that the
// ledger refuses it in its own words; it never guesses. docs/registers.md, "Cells", is the authority.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "importer/reading/numbers.h"
#include "importer/register/amounts.h"
#include "ledger/events/kinds.h"
#include "ledger/text/json.h"

namespace trayproof::registers {

struct CellRules {
  reading::Decimal decimal = reading::Decimal::point;
  std::map<std::string, std::string> words;  // said by the person: heading_key of what stands there -> what is meant
};

struct CellRead {
  std::optional<json::Value> value;    // absent where the cell says nothing
  std::string unknown;                 // "not-recorded" …: the cell says that nothing is known
  std::string why;                     // refused: what is allowed
  std::optional<std::string> as_read;  // as written, where it was turned into another unit
  std::string understood;              // the allowed value that a word of the trade was taken for
};

CellRead read_cell(const events::Field& field, std::string_view cell, const std::optional<AmountUnit>& unit,
                   const CellRules& rules);

// A dash and its like: nothing is written there.
bool says_nothing(std::string_view cell);
// "not recorded" and its like: the reason for `unknown`, else empty.
std::string_view unknown_reason(std::string_view cell);

}  // namespace trayproof::registers
