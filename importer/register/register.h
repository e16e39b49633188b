// Rows of an existing spreadsheet as events of one kind: bytes and choices in, lines of events out. Pure: no ledger, no
// disk, no clock; the ledger judges the events. The spreadsheet itself is kept nowhere, because it holds patients'
// numbers; what is told of a row never shows a cell of a patient's column. docs/registers.md is the authority.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "importer/reading/outcome.h"
#include "importer/register/matching.h"
#include "ledger/base/bytes.h"
#include "ledger/base/zone.h"
#include "ledger/events/kinds.h"
#include "ledger/text/json.h"

namespace trayproof::registers {

// What was said on the command line or kept in a profile. Each absent = decided from the file, or asked.
struct Choices {
  std::optional<std::string> encoding;    // "utf-8", "utf-16le", "utf-16be", "windows-1252"
  std::optional<std::string> delimiter;   // ",", ";", "tab", "|"
  std::optional<std::string> decimal;     // "point", "comma"
  std::optional<std::string> date_order;  // "dmy", "mdy", "ymd"
  std::optional<std::string> zone;        // IANA name; default the facility's
  std::optional<std::string> at;          // of rows that tell no time
  std::optional<std::int64_t> header_row;
  std::optional<std::int64_t> from_row;
  SaidColumns columns;
  std::vector<std::pair<std::string, std::string>> fixed;  // field, the same value in every row
  std::vector<std::pair<std::string, std::string>> words;  // what stands there, what is meant
  bool empty_not_recorded = false;                         // needed fields whose cell is empty are marked so
  std::optional<std::string> profile;
};
// The first choice that names nothing known, as a sentence.
std::optional<std::string> unknown_choice(const Choices& choices, const events::Kind& kind);

struct RefusedCell {
  std::int64_t row = 0;
  std::string column;  // its heading; empty where it is the whole row
  std::string field;
  std::string why;  // what was found and what is allowed
};

struct Register {
  std::vector<reading::Ask> asks;    // not empty: nothing may be taken
  std::vector<std::string> missing;  // needed fields that no column holds; not empty: nothing may be taken
  Digest file{};
  std::int64_t bytes = 0;
  std::string sort = "spreadsheet";  // or "fhir-bundle"
  json::Value reading;               // the choices made
  Matching matching;
  std::map<std::string, std::int64_t> understood;  // "field: word -> value", and how often
  std::int64_t rows = 0;                           // of data
  std::int64_t skipped = 0;                        // headings again, notes between, totals
  std::vector<std::int64_t> skipped_rows;          // the first of them
  std::vector<RefusedCell> refused;                // in the order of their rows
  std::vector<std::string> notes;
  std::vector<std::string> patients;  // numbers of rows that became no event, so that nothing shows them; never printed
  // One event a row as JSON; the line's number is the row's, lines between are blank.
  std::string lines;
  std::int64_t events = 0;
  std::int64_t events_lines = 0;  // line breaks in `lines`

  bool open() const { return !asks.empty() || !missing.empty(); }
  // The heading under which a field of a row stands.
  std::string heading_of(std::string_view field) const;
};

Register read_register(ByteView bytes, const events::Kind& kind, const Choices& choices, const Zone& facility);

}  // namespace trayproof::registers
