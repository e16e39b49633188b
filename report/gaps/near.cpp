#include "report/gaps/near.h"

#include <algorithm>

#include "ledger/links/kind_tables.h"
#include "ledger/links/statements.h"

namespace trayproof::gaps {
namespace {

using links::each_row;
using links::first_row;

// No time is coarser than a day; twice that, so that what is left out lies surely before or surely after.
constexpr std::int64_t coarse_ms = 2 * day_ms;
constexpr std::int64_t for_ever_ms = std::int64_t{1} << 60;

std::string kind_number(std::string_view name) {
  return std::to_string(events::find_kind(name) - events::kinds().data());
}

bool is_id(events::Type type) { return type == events::Type::id || type == events::Type::id_or_null; }

// What the condition holds of every edition, and of the one that judges instead.
template <typename Visit>
void each_sop(const Facts& facts, Visit visit) {
  for (const sop::Edition& one : facts.editions.all()) visit(one.sop);
  if (facts.what_if) visit(*facts.what_if);
}

class Gathering {
 public:
  Gathering(store::Database& tables, const Facts& facts, const Near& near)
      : tables_(tables), facts_(facts), near_(near) {}

  Result<void> gather() {
    TRY(
        run("DROP TABLE IF EXISTS temp.near_events; DROP TABLE IF EXISTS temp.near_packs; "
            "DROP TABLE IF EXISTS temp.near_core; DROP TABLE IF EXISTS temp.near_loads; "
            "DROP TABLE IF EXISTS temp.near_solutions; DROP TABLE IF EXISTS temp.near_uses; "
            "CREATE TEMP TABLE near_events (kind INTEGER, origin INTEGER, PRIMARY KEY (kind, origin)) WITHOUT ROWID; "
            "CREATE TEMP TABLE near_packs (pack TEXT PRIMARY KEY) WITHOUT ROWID; "
            "CREATE TEMP TABLE near_core (load TEXT PRIMARY KEY) WITHOUT ROWID; "
            "CREATE TEMP TABLE near_loads (load TEXT PRIMARY KEY) WITHOUT ROWID; "
            "CREATE TEMP TABLE near_solutions (solution TEXT PRIMARY KEY) WITHOUT ROWID; "
            // Uses of the period.
            "CREATE TEMP TABLE near_uses (origin INTEGER, pack TEXT, load TEXT, \"set\" TEXT, use_ms INTEGER)"));
    TRY(by_time());
    TRY(uses());
    TRY(named("pack", "near_packs"));
    TRY(named("load", "near_core"));
    TRY(named("solution", "near_solutions"));
    TRY(loads_of_the_period());
    TRY(insert("near_packs", "SELECT pack FROM load_packs WHERE load IN (SELECT load FROM near_core)"));
    TRY(shelf());
    TRY(sets_used());
    TRY(solutions());
    TRY(loads());
    TRY(events_of_packs());
    TRY(events_of_loads());
    TRY(sets_cleaned());
    TRY(lots());
    return persons_left();
  }

 private:
  // `{from}` and `{until}` stand for the period, `{coarse}` for the coarseness of times.
  std::string spelt(std::string sql) const {
    for (const auto& [token, value] : {std::pair<std::string_view, std::int64_t>{"{from}", near_.from().ms},
                                       {"{until}", near_.until().ms},
                                       {"{coarse}", coarse_ms}}) {
      for (std::size_t at = sql.find(token); at != std::string::npos; at = sql.find(token, at)) {
        sql.replace(at, token.size(), std::to_string(value));
      }
    }
    return sql;
  }
  Result<void> run(const std::string& sql) { return tables_.run(spelt(sql)); }
  Result<void> insert(const std::string& table, const std::string& select) {
    return run("INSERT OR IGNORE INTO " + table + " " + select);
  }
  Result<void> insert_events(std::string_view kind, const std::string& rest) {
    if (is_read_whole(*events::find_kind(kind))) return {};
    return insert("near_events", "SELECT " + kind_number(kind) + ", origin FROM " + rest);
  }

  Result<void> by_time() {
    for (const events::Kind& kind : events::kinds()) {
      const std::string table = links::table_of(kind.name);
      TRY(insert_events(kind.name, table + " WHERE at_ms BETWEEN {from} AND {until}"));
    }
    return insert_events("finding-answered", "finding_answered WHERE arose_ms BETWEEN {from} AND {until}");
  }

  Result<void> uses() {
    TRY(insert("near_uses",
               "SELECT origin, pack, load, \"set\", use_ms FROM uses WHERE use_ms BETWEEN {from} AND {until} UNION "
               "SELECT u.origin, u.pack, u.load, u.\"set\", u.use_ms FROM near_events e JOIN procedure_done p "
               "ON p.origin = e.origin JOIN uses u ON u.procedure = p.procedure AND u.origin = p.origin "
               "WHERE e.kind = " +
                   kind_number("procedure-done")));
    TRY(insert("near_packs", "SELECT pack FROM near_uses"));
    return insert("near_core", "SELECT load FROM near_uses WHERE load IS NOT NULL");
  }

  // What the events of the period name under that field.
  Result<void> named(std::string_view field, const std::string& table) {
    const std::string column(field);
    for (const events::Kind& kind : events::kinds()) {
      const events::Field* found = kind.field(field);
      if (found == nullptr || !is_id(found->type)) continue;
      TRY(insert(table, "SELECT " + column + " FROM " + links::table_of(kind.name) +
                            " WHERE at_ms BETWEEN {from} AND {until} AND " + column + " IS NOT NULL"));
    }
    return {};
  }

  Result<void> loads_of_the_period() {
    TRY(insert("near_core",
               "SELECT i.load FROM near_events e JOIN indicators i ON i.origin = e.origin WHERE e.kind = " +
                   kind_number("indicator-read") + " AND i.load IS NOT NULL"));
    TRY(insert("near_core", "SELECT load FROM curves WHERE from_ms BETWEEN {from} AND {until} AND load IS NOT NULL"));
    // Begun before it and not ended, or ended after it.
    return insert("near_core", "SELECT load FROM loads WHERE start_ms <= {until} AND end_ms >= {from}");
  }

  // On the shelf when the period ends.
  Result<void> shelf() {
    const std::string at = std::to_string(std::min(facts_.until, facts_.now).ms);
    return insert("near_packs",
                  "SELECT pack FROM pack_moves WHERE (kind = 'pack-stored' OR (kind = 'pack-returned' AND state = "
                  "'closed')) AND at_ms <= " +
                      at + " + {coarse} AND (left_ms IS NULL OR left_ms > " + at + " - {coarse})");
  }

  // Of each set that was used: its use before and its use after, and every load of the set between.
  Result<void> sets_used() {
    TRY_LET(auto sets, tables_.prepare("SELECT \"set\", min(use_ms), max(use_ms) FROM temp.near_uses WHERE \"set\" IS "
                                       "NOT NULL GROUP BY \"set\""));
    TRY_LET(auto before, tables_.prepare("SELECT max(use_ms) FROM uses WHERE \"set\" = ? AND use_ms < ?"));
    TRY_LET(auto after, tables_.prepare("SELECT min(use_ms) FROM uses WHERE \"set\" = ? AND use_ms > ?"));
    TRY_LET(auto used, tables_.prepare("INSERT OR IGNORE INTO temp.near_packs SELECT pack FROM uses WHERE \"set\" = ? "
                                       "AND use_ms BETWEEN ? AND ?"));
    TRY_LET(auto loaded, tables_.prepare("INSERT OR IGNORE INTO temp.near_packs SELECT pack FROM load_packs WHERE "
                                         "\"set\" = ? AND end_ms BETWEEN ? AND ?"));
    return each_row(sets, [&](store::Statement& row) -> Result<void> {
      const std::string set(row.text(0));
      std::int64_t first = row.integer(1);
      std::int64_t last = row.integer(2);
      before.bind(1, set).bind(2, first);
      TRY(first_row(before, [&](store::Statement& one) { first = one.maybe_integer(0).value_or(first); }));
      after.bind(1, set).bind(2, last);
      TRY(first_row(after, [&](store::Statement& one) { last = one.maybe_integer(0).value_or(last); }));
      TRY(used.bind(1, set).bind(2, first).bind(3, last).run());
      return loaded.bind(1, set).bind(2, first - coarse_ms).bind(3, last + coarse_ms).run();
    });
  }

  Result<void> solutions() {
    const std::string soaks = "soaks WHERE at_ms <= {until} AND coalesce(ended_ms, at_ms) >= {from}";
    TRY(insert_events("soaked", soaks));
    TRY(insert("near_solutions", "SELECT solution FROM " + soaks + " AND solution IS NOT NULL"));
    TRY(insert("near_solutions",
               "SELECT solution FROM loads WHERE load IN (SELECT load FROM near_core) AND solution IS NOT NULL"));
    TRY(insert("near_solutions",
               "SELECT solution FROM turns WHERE pack IN (SELECT pack FROM near_uses) AND solution IS NOT NULL"));
    TRY(insert_events("soaked", "soaks WHERE solution IN (SELECT solution FROM near_solutions)"));
    for (const char* kind : {"solution-prepared", "solution-tested", "solution-discarded"}) {
      TRY(insert_events(kind, links::table_of(kind) + " WHERE solution IN (SELECT solution FROM near_solutions)"));
    }
    return {};
  }

  Result<void> loads() {
    TRY(insert("near_loads", "SELECT load FROM near_core"));
    TRY(insert("near_loads", "SELECT load FROM load_packs WHERE pack IN (SELECT pack FROM near_packs)"));
    TRY(insert("near_loads",
               "SELECT load FROM indicators WHERE pack IN (SELECT pack FROM near_packs) AND load IS NOT NULL"));
    TRY(insert("near_loads", "SELECT load FROM loads WHERE solution IN (SELECT solution FROM near_solutions)"));
    // Whose curves are equal to those of the period in everything that was worked out of them.
    TRY(insert("near_loads",
               "SELECT d.load FROM curves c JOIN curve_judged j ON j.origin = c.judged_seq JOIN curve_judged k ON "
               "k.f0 IS j.f0 AND k.f0_low IS j.f0_low AND k.fh IS j.fh AND k.a0 IS j.a0 AND k.temperature_c IS "
               "j.temperature_c JOIN curves d ON d.curve = k.curve WHERE c.load IN (SELECT load FROM near_core) AND "
               "(j.f0 > 0 OR j.fh > 0 OR j.a0 > 0) AND d.load IS NOT NULL"));
    TRY_LET(auto machines,
            tables_.prepare("SELECT equipment, min(start_ms), max(start_ms) FROM loads WHERE load IN "
                            "(SELECT load FROM temp.near_core) AND equipment IS NOT NULL AND start_ms IS "
                            "NOT NULL GROUP BY equipment"));
    return each_row(machines, [&](store::Statement& row) {
      return biologicals(std::string(row.text(0)), std::min(row.integer(1), near_.from().ms),
                         std::max(row.integer(2), near_.until().ms));
    });
  }

  // The start of the last load before (the first one after) that has a biological which counts as a test under any
  // edition: there every stretch of `biological-overdue` ends. Nothing when there is none.
  Result<std::optional<std::int64_t>> tested(const std::string& equipment, const std::string& condition) {
    double hours = 0;
    each_sop(facts_, [&](const sop::Sop& sop) { hours = std::max(hours, sop.biological_hours.value_or(0)); });
    TRY_LET(auto rows, tables_.prepare("SELECT start_ms, method FROM biologicals WHERE equipment = ? AND result IS NOT "
                                       "NULL AND control = 'growth' AND (lot_expires IS NULL OR lot_expires > read_on) "
                                       "AND hours >= max(?, coalesce(lot_read_hours, "
                                       "0)) AND start_ms " +
                                       condition));
    rows.bind(1, equipment).bind(2, hours);
    while (true) {
      TRY_LET(const bool more, rows.step());
      if (!more) return std::optional<std::int64_t>();
      const sop::Sop& sop = facts_.sop_at(Instant{rows.integer(0)});
      const auto& methods = sop.biological_methods;
      const bool asked =
          sop.biological_days && methods && std::find(methods->begin(), methods->end(), rows.text(1)) != methods->end();
      if (asked) return std::optional(rows.integer(0));
    }
  }

  Result<void> biologicals(const std::string& equipment, std::int64_t first, std::int64_t last) {
    TRY_LET(const auto before, tested(equipment, "< " + std::to_string(first) + " ORDER BY start_ms DESC"));
    TRY_LET(const auto after, tested(equipment, "> " + std::to_string(last) + " ORDER BY start_ms"));
    for (const char* sql :
         {"INSERT OR IGNORE INTO temp.near_loads SELECT load FROM biologicals WHERE equipment = ? AND start_ms BETWEEN "
          "? AND ?",
          "INSERT OR IGNORE INTO temp.near_loads SELECT p.load FROM biological_placed p JOIN loads l ON l.load = "
          "p.load "
          "WHERE l.equipment = ? AND l.start_ms BETWEEN ? AND ?"}) {
      TRY_LET(auto add, tables_.prepare(sql));
      add.bind(1, equipment).bind(2, before.value_or(-for_ever_ms)).bind(3, after.value_or(for_ever_ms));
      TRY(add.run());
    }
    return {};
  }

  Result<void> events_of_packs() {
    const std::string near = " WHERE pack IN (SELECT pack FROM near_packs)";
    for (const char* kind : {"packed", "pack-received", "pack-stored", "pack-issued", "pack-opened", "pack-returned",
                             "pack-withdrawn", "indicator-read"}) {
      TRY(insert_events(kind, links::table_of(kind) + near));
    }
    TRY(insert_events("procedure-done", "uses" + near));
    for (const char* kind : {"soaked", "cleaned", "inspected"}) {
      TRY(insert_events(kind, "turns" + near + " AND kind = '" + kind + "'"));
    }
    return {};
  }

  Result<void> events_of_loads() {
    for (const char* kind : {"load-started", "load-changed", "load-ended", "load-released", "load-rejected",
                             "biological-placed", "biological-read"}) {
      TRY(insert_events(kind, links::table_of(kind) + " WHERE load IN (SELECT load FROM near_loads)"));
    }
    TRY(insert_events("indicator-read", "indicators WHERE load IN (SELECT load FROM near_core)"));
    return insert("near_events", "SELECT " + kind_number("curve-judged") + ", judged_seq FROM curves WHERE (" +
                                     near_.curves() + ") AND judged_seq IS NOT NULL");
  }

  // Of each set that came back or was cleaned: back to the cleaning before, and on to the next cleaning and packing.
  Result<void> sets_cleaned() {
    TRY_LET(
        auto sets,
        tables_.prepare(spelt(
            "SELECT \"set\", min(ms) FROM (SELECT \"set\", at_ms AS ms FROM set_returned WHERE at_ms BETWEEN {from} "
            "AND {until} UNION ALL SELECT \"set\", at_ms FROM cleaned WHERE at_ms BETWEEN {from} AND {until} UNION "
            "ALL SELECT \"set\", at_ms FROM turns WHERE pack IN (SELECT pack FROM temp.near_uses)) GROUP BY "
            "\"set\"")));
    TRY_LET(auto before, tables_.prepare("SELECT max(at_ms) FROM cleaned WHERE \"set\" = ? AND at_ms < ?"));
    TRY_LET(auto cleaned, tables_.prepare("SELECT min(at_ms) FROM cleaned WHERE \"set\" = ? AND at_ms > ?"));
    TRY_LET(auto packed, tables_.prepare("SELECT min(at_ms) FROM packed WHERE \"set\" = ? AND at_ms > ?"));
    const auto adding = [&](std::string_view kind) {
      return tables_.prepare("INSERT OR IGNORE INTO temp.near_events SELECT " + kind_number(kind) + ", origin FROM " +
                             links::table_of(kind) + " WHERE \"set\" = ? AND at_ms BETWEEN ? AND ?");
    };
    TRY_LET(auto add_returned, adding("set-returned"));
    TRY_LET(auto add_cleaned, adding("cleaned"));
    TRY_LET(auto add_packed, adding("packed"));
    return each_row(sets, [&](store::Statement& row) -> Result<void> {
      const std::string set(row.text(0));
      const auto ask = [&](store::Statement& of, std::int64_t bound, std::int64_t otherwise) -> Result<std::int64_t> {
        of.bind(1, set).bind(2, bound);
        TRY(first_row(of, [&](store::Statement& one) { otherwise = one.maybe_integer(0).value_or(otherwise); }));
        return otherwise;
      };
      const std::int64_t until = near_.until().ms + coarse_ms;
      TRY_LET(const auto from, ask(before, std::min(row.integer(1), near_.from().ms) - coarse_ms, -for_ever_ms));
      TRY_LET(const auto last_cleaned, ask(cleaned, until, until));
      TRY_LET(const auto last_packed, ask(packed, until, until));
      TRY(add_returned.bind(1, set).bind(2, from - coarse_ms).bind(3, near_.until().ms).run());
      TRY(add_cleaned.bind(1, set).bind(2, from - 2 * coarse_ms).bind(3, last_cleaned + coarse_ms).run());
      return add_packed.bind(1, set).bind(2, from - 2 * coarse_ms).bind(3, last_packed + coarse_ms).run();
    });
  }

  // Of each lot that is named, one naming before the period, if there is any: then it is not its first.
  Result<void> lots() {
    static constexpr std::pair<std::string_view, std::string_view> fields[] = {
        {"packed", "indicator_lot"},  {"packed", "wrap_lot"},       {"solution-prepared", "lot"},
        {"solution-tested", "lot"},   {"cleaned", "detergent_lot"}, {"indicator-read", "lot"},
        {"biological-placed", "lot"}, {"biological-read", "lot"},
    };
    std::string named;
    for (const auto& [kind, field] : fields) {
      named.append(named.empty() ? "" : " UNION ").append("SELECT ").append(field);
      named.append(" FROM ").append(links::table_of(kind));
      named.append(spelt(" WHERE at_ms BETWEEN {from} AND {until} AND ")).append(field).append(" IS NOT NULL");
    }
    TRY_LET(auto lots, tables_.prepare(named));
    TRY_LET(auto mentions,
            tables_.prepare("SELECT kind, field, origin FROM mentions WHERE thing = 'lot' AND id = ? AND "
                            "holds = 1 ORDER BY origin"));
    return each_row(lots, [&](store::Statement& lot) -> Result<void> {
      mentions.bind(1, lot.text(0));
      bool earlier = false;
      while (!earlier) {
        TRY_LET(const bool more, mentions.step());
        if (!more) return {};
        const std::pair<std::string_view, std::string_view> place{mentions.text(0), mentions.text(1)};
        if (std::find(std::begin(fields), std::end(fields), place) == std::end(fields)) continue;
        const std::int64_t origin = mentions.integer(2);
        TRY_LET(auto add,
                tables_.prepare(spelt("INSERT OR IGNORE INTO temp.near_events SELECT " + kind_number(place.first) +
                                      ", origin FROM " + links::table_of(place.first) +
                                      " WHERE origin = ? AND at_ms < {from}")));
        TRY(add.bind(1, origin).run());
        TRY_LET(auto there, tables_.prepare("SELECT 1 FROM " + links::table_of(place.first) +
                                            spelt(" WHERE origin = ? AND at_ms < {from}")));
        there.bind(1, origin);
        TRY_LET(earlier, first_row(there, [](store::Statement&) {}));
      }
      mentions.reset();
      return {};
    });
  }

  // The first events by somebody who had left, of each kind.
  Result<void> persons_left() {
    struct Left {
      std::string person;
      std::int64_t at_ms = 0;
    };
    std::vector<Left> all;
    TRY_LET(auto read, tables_.prepare("SELECT person, at_ms FROM person_left"));
    TRY(each_row(read, [&](store::Statement& row) { all.push_back({std::string(row.text(0)), row.integer(1)}); }));
    for (const events::Kind& kind : events::kinds()) {
      if (kind.group == events::Group::record_itself || is_read_whole(kind)) continue;
      const std::string table = links::table_of(kind.name);
      for (const Left& left : all) {
        std::int64_t until = left.at_ms + coarse_ms;
        TRY_LET(auto next, tables_.prepare("SELECT min(at_ms) FROM " + table + " WHERE \"by\" = ? AND at_ms > ?"));
        next.bind(1, left.person).bind(2, until);
        TRY(first_row(next, [&](store::Statement& row) { until = row.maybe_integer(0).value_or(until); }));
        TRY_LET(auto add, tables_.prepare("INSERT OR IGNORE INTO temp.near_events SELECT " + kind_number(kind.name) +
                                          ", origin FROM " + table + " WHERE \"by\" = ? AND at_ms BETWEEN ? AND ?"));
        add.bind(1, left.person).bind(2, left.at_ms - coarse_ms).bind(3, until + coarse_ms);
        TRY(add.run());
      }
    }
    return {};
  }

  store::Database& tables_;
  const Facts& facts_;
  const Near& near_;
};

// The longest time by which a deadline of any rule lies behind what it is counted from.
Result<std::int64_t> longest_deadline(store::Database& tables, const Facts& facts) {
  double hours = 0;
  each_sop(facts, [&](const sop::Sop& sop) {
    for (const auto& limit : {sop.records_unused_hours, sop.release_hours_max, sop.records_correct_alone_hours,
                              sop.recall_hours_max, sop.biological_hours}) {
      hours = std::max(hours, limit.value_or(0));
    }
  });
  TRY_LET(auto lots, tables.prepare("SELECT max(read_hours) FROM supply_received"));
  TRY(first_row(lots, [&](store::Statement& row) { hours = std::max(hours, row.maybe_real(0).value_or(0)); }));
  return whole_ms(hours + 24, hour_ms);
}

}  // namespace

bool is_read_whole(const events::Kind& kind) {
  static constexpr std::string_view whole[] = {
      "ledger-opened",     "key-added",         "key-retired",         "checkpoint-kept",      "backup-made",
      "ledger-restored",   "clock-noted",       "facility-described",  "sop-adopted",          "sop-confirmed",
      "person-enrolled",   "person-left",       "competence-recorded", "equipment-registered", "equipment-stopped",
      "equipment-resumed", "equipment-checked", "set-defined",         "supply-received",      "counted",
      "recall-opened",     "recall-answered",   "recall-closed"};
  return std::find(std::begin(whole), std::end(whole), kind.name) != std::end(whole);
}

Result<Near> Near::of_period(store::Database& tables, const Facts& facts, Instant from, std::optional<Instant> until) {
  TRY_LET(const std::int64_t deadline, longest_deadline(tables, facts));
  Near near(tables, {from.ms - deadline - coarse_ms}, {until ? until->ms + coarse_ms : for_ever_ms});
  // What is read here is read once: pages kept for another time would only take memory from the facts.
  TRY(tables.run("PRAGMA main.cache_size = -2048; PRAGMA shrink_memory"));
  TRY(Gathering(tables, facts, near).gather());
  return near;
}

Result<void> Near::forget() {
  if (all_) return {};
  return tables_->run(
      "PRAGMA main.cache_size = -65536; DROP TABLE temp.near_events; DROP TABLE temp.near_packs; DROP TABLE "
      "temp.near_core; DROP TABLE temp.near_loads; "
      "DROP TABLE temp.near_solutions; DROP TABLE temp.near_uses; PRAGMA shrink_memory");
}

std::string Near::events(std::string_view kind) const {
  if (all_) return {};
  return "origin IN (SELECT origin FROM temp.near_events WHERE kind = " + kind_number(kind) + ")";
}

std::string Near::curves() const {
  if (all_) return {};
  return loads() + " OR from_ms BETWEEN " + std::to_string(from_.ms) + " AND " + std::to_string(until_.ms);
}

}  // namespace trayproof::gaps
