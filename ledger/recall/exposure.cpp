#include "ledger/recall/exposure.h"

#include <limits>
#include <set>

#include "ledger/recall/reach.h"
#include "ledger/recall/window.h"

namespace trayproof::recall {
namespace {

constexpr Instant end_of_time{std::numeric_limits<std::int64_t>::max()};

// Registered as one; or never registered, and sterilizing loads ran in it.
Result<std::set<std::string>> sterilizers(links::Links& links) {
  std::set<std::string> ids;
  for (const char* sql :
       {"SELECT equipment FROM equipment_registered WHERE sort IN ('steam-sterilizer', 'dry-heat-sterilizer')",
        "SELECT DISTINCT equipment FROM loads WHERE method IN ('steam-gravity', 'steam-prevacuum', 'dry-heat')"
        " AND equipment IS NOT NULL AND equipment NOT IN (SELECT equipment FROM equipment_registered)"}) {
    TRY_LET(auto* const read, links.statements().at(sql));
    TRY(links::each_row(*read, [&](store::Statement& row) { ids.emplace(row.text(0)); }));
  }
  return ids;
}

// The next test is taken to run by the method of the latest load.
Result<std::optional<std::string>> latest_method(const std::string& equipment, links::Links& links) {
  std::optional<std::string> method;
  TRY_LET(auto* const read,
          links.statements().at("SELECT method FROM loads WHERE equipment = ? AND start_earliest_ms IS NOT NULL"
                                " ORDER BY start_earliest_ms DESC, load DESC LIMIT 1"));
  read->bind(1, equipment);
  TRY(links::first_row(*read, [&](store::Statement& row) { method = row.maybe_text(0); }));
  return method;
}

}  // namespace

Result<Exposure> exposure(links::Links& links, const sop::Editions& editions) {
  TRY_LET(const links::Snapshot snapshot, links::Snapshot::begin(links.statements()));
  Exposure out;
  out.zone = links.zone();
  out.as_of = links.cut().as_of.value_or(std::max(links.ledger().clock().now(), links.last_at()));
  TRY_LET(const std::set<std::string> ids, sterilizers(links));
  for (const std::string& id : ids) {
    Exposed exposed{id, std::nullopt};
    TRY_LET(const auto method, latest_method(id, links));
    if (method) {
      Window window{id, {}, {}, {}, {}};
      const Trigger imagined{id, *method, {}, {end_of_time, end_of_time}};
      TRY_LET(window.after, nearest_valid_negative(imagined, Side::before, links, editions));
      Affected affected;
      TRY_LET(affected.in_window, loads_between(window, links));
      Answer reached;
      TRY(Reach(links, reached).follow(affected));
      if (window.after) exposed.last_valid_negative = window.after->bound;
      exposed.loads = reached.counts.loads;
      exposed.packs = reached.counts.packs;
      exposed.procedures = reached.counts.procedures;
      exposed.patients = reached.counts.patients;
    }
    out.sterilizers.push_back(std::move(exposed));
  }
  return out;
}

json::Value to_json(const Exposure& exposure) {
  json::Value list = json::Value::list();
  for (const Exposed& one : exposure.sterilizers) {
    json::Value negative;
    if (one.last_valid_negative) {
      negative = json::Value::object()
                     .set("load", one.last_valid_negative->load.value_or(""))
                     .set("at", format_date_time(exposure.zone.local(one.last_valid_negative->at)));
    }
    list.push(json::Value::object()
                  .set("equipment", one.equipment)
                  .set("last_valid_negative", std::move(negative))
                  .set("loads", one.loads)
                  .set("packs", one.packs)
                  .set("procedures", one.procedures)
                  .set("patients", one.patients));
  }
  return json::Value::object()
      .set("as_of", format_date_time(exposure.zone.local(exposure.as_of)))
      .set("sterilizers", std::move(list));
}

}  // namespace trayproof::recall
