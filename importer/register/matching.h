// Which column holds which field: proposed by the headings, said by the person, or kept in a profile.
// docs/registers.md, "Matching", is the authority.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "importer/register/amounts.h"
#include "importer/register/headings.h"
#include "importer/register/sheet.h"

namespace trayproof::registers {

struct MatchedColumn {
  std::size_t cell = 0;
  std::string heading;  // as the file writes it; empty without a row of headings
  const events::Field* field = nullptr;
  std::optional<AmountUnit> unit;  // that the heading names
  bool said = false;               // by the person or a profile
  bool dotted = false;             // clocks as "8.05", told by its heading and its cells
};

// A field that several columns could hold, of which none was said.
struct Contested {
  const events::Field* field = nullptr;
  std::vector<MatchedColumn> columns;
};

struct UnreadColumn {
  std::size_t cell = 0;
  std::string heading;
  std::vector<const events::Field*> could_be;  // several: it was not told which
};

struct Matching {
  std::int64_t header_row = 0;  // 0 without one
  std::vector<std::string> headings;
  std::vector<MatchedColumn> columns;  // in the order of the file
  std::vector<Contested> contested;    // times apart in a date and a clock may turn out to be none
  std::vector<UnreadColumn> unread;
  std::vector<std::string> not_found;  // headings said that no column has

  bool holds(std::string_view field) const;
};

// FIELD and the heading of its column, or "#3" for the third; the field "-" leaves a column unread.
using SaidColumns = std::vector<std::pair<std::string, std::string>>;

// The row of headings is the one of the first rows whose words say most, alone or together with the row above it
// (headings merged over several columns); the first of equals. Nothing where none says anything.
std::optional<Matching> match_columns(const std::vector<KeptRow>& rows, const events::Kind& kind,
                                      const SaidColumns& said, std::optional<std::int64_t> header_row);

}  // namespace trayproof::registers
