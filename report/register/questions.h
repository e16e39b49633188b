// Questions across facilities, answered from what the register holds and what is derived from it. docs/register.md
// tells each. Places are listed by name or by volume, never by how well they do; shares that rest on fewer than five
// are withheld.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ledger/base/time.h"
#include "ledger/text/json.h"
#include "report/register/postgres.h"

namespace trayproof::registry {

struct Answer {
  std::string question;
  std::vector<std::string> columns;  // ids; the headings of people stand under `district.head-<id>`
  std::vector<std::vector<json::Value>> rows;
  std::vector<std::string> notes;
  std::vector<std::string> behind = {};     // ledgers whose tables lack what was taken in
  json::Value more = json::Value::object();  // what stands beside the rows in JSON
};

// Counts below this are not shown of one place: so few are people somebody could know.
inline constexpr std::int64_t shown_from = 5;

// Says of an answer which ledgers' tables were behind what was taken in, before it was asked for.
void tell_behind(std::vector<std::string> ledgers, Answer& answer);

// Each ledger: its facility, how many entries, when it was heard of last, and what stands apart.
Result<Answer> facilities(Connection& connection);
// Where a lot of indicators, wraps, solutions or supplies went: facilities, loads, packs, procedures. What `recall
// --because lot-withdrawn` means in one ledger (docs/recall.md), for all at once. Missing: nobody names the lot, and no
// ledger's tables are behind; while some are, an empty answer says so.
Result<Answer> lot(Connection& connection, const std::string& lot);

struct CoverageAsked {
  std::string measure = "evidence";
  std::optional<Instant> from;
  std::optional<Instant> until;
};
// The measures: evidence, decided, load-known.
const std::vector<std::string>& measures();
// A share for each facility with its volume and the limits of a funnel plot. Invalid: no such measure.
Result<Answer> coverage(Connection& connection, const CoverageAsked& asked);

// What the gap rules say in the year before each facility's last event: of all together, rule by rule; of one rule, a
// share for each facility as in `coverage`. Invalid: no such rule.
Result<Answer> gap_shares(Connection& connection, const std::optional<std::string>& rule);

// Facilities of which nothing newer came for that many days.
Result<Answer> silent(Connection& connection, std::int64_t days, Instant now);
// The states that were co-signed, over time; of one ledger or all.
Result<Answer> sizes(Connection& connection, const std::optional<std::string>& ledger);
// What stands apart or was told wrong: forks, restores, rollbacks, other pasts.
Result<Answer> apart(Connection& connection);

}  // namespace trayproof::registry
