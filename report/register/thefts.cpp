#include "report/register/thefts.h"

#include <algorithm>
#include <utility>

#include "ledger/base/time.h"
#include "ledger/text/json.h"

namespace trayproof::registry {
namespace {

// Ledger and key, and since when the key must not be trusted: the earliest time that is told. Without a time, ever.
using Thefts = std::map<std::pair<std::string, std::string>, Instant>;

Result<Thefts> thefts(Connection& connection) {
  Thefts found;
  TRY(connection.each(
      "SELECT ledger, entry FROM register.entries WHERE kind = 'key-retired'", {},
      [&](const Rows& rows, int row) -> Result<void> {
        TRY_LET(const auto event, json::parse(rows.text(row, 1)));
        if (event.text_at("cause") != "stolen") return {};
        const auto told = parse_date_time(event.text_at("since").value_or(""));
        const Instant since = told ? told->instant : Instant{};
        std::pair key(std::string(rows.text(row, 0)), std::string(event.text_at("public").value_or("")));
        const auto [there, fresh] = found.try_emplace(std::move(key), since);
        if (!fresh) there->second = std::min(there->second, since, [](Instant a, Instant b) { return a.ms < b.ms; });
        return {};
      }));
  return found;
}

}  // namespace

Result<std::map<std::string, std::int64_t>> signed_after_theft(Connection& connection) {
  TRY_LET(const auto stolen, thefts(connection));
  std::map<std::string, std::int64_t> counts;
  for (const auto& [place, since] : stolen) {
    const auto& [ledger, key] = place;
    // Looked for as text first: few entries are worth reading as JSON.
    TRY_LET(const Rows rows,
            connection.ask("SELECT count(*) FROM register.entries WHERE ledger = $1 AND recorded >= $2 AND CASE WHEN "
                           "strpos(entry, $3) > 0 THEN (entry::jsonb)->>'key' = $3 ELSE false END",
                           Parameters().add(ledger).add(since).add(key)));
    if (rows.integer(0, 0) > 0) counts[ledger] += rows.integer(0, 0);
  }
  return counts;
}

}  // namespace trayproof::registry
