// The rows of an export that could not be read, kept beside it as a file of their own: where each stands, what it says,
// why it was refused and what a person can do. docs/import-reading.md, "Refused rows", is the authority on its shape.
#pragma once

#include <optional>
#include <string>

#include "importer/import.h"
#include "ledger/ledger.h"

namespace trayproof::importer {

// Nothing where no row was refused. The same import gives the same bytes.
std::optional<std::string> refusals_file(const Import& import);

struct KeptRefusals {
  Digest export_file{};
  Digest file{};                          // of the list itself
  std::int64_t refused = 0;               // all
  std::vector<reading::RefusedRow> rows;  // the first of them
  bool removed = false;                   // the list was destroyed on request; `rows` is empty
};
// What `files` of a curve-measured names. Nothing where no row of its export was refused.
Result<std::optional<KeptRefusals>> kept_refusals(const Ledger& ledger, const json::Value& measured);

}  // namespace trayproof::importer
