#include <map>
#include <optional>
#include <string>
#include <vector>

#include "ledger/links/resolve.h"
#include "ledger/text/json.h"

namespace trayproof::links {
namespace {

struct Start {
  std::int64_t seq = 0;
  std::string at;
  Times times;
  std::string method;
  std::optional<std::string> equipment;
  std::optional<std::string> solution;
  std::optional<std::int64_t> cycle;
  std::optional<double> temperature_c;
  std::optional<double> hold_min;
  std::optional<std::string> operator_id;
  std::string packs;
  bool packs_unknown = false;
};

struct End {
  std::int64_t seq = 0;
  std::string at;
  Times times;
  std::optional<std::int64_t> complete;
  std::optional<std::int64_t> dry;
  std::optional<double> temperature_c;
  std::optional<double> pressure_kpa_gauge;
  std::optional<double> hold_min;
};

struct Decision {
  const char* what = nullptr;
  std::int64_t origin = 0;
  std::int64_t seq = 0;
  std::string at;
  std::int64_t ms = 0;
  std::optional<std::string> by;
};

struct Load {
  std::optional<Start> start;
  std::optional<End> end;
  std::optional<Decision> decision;
  std::map<std::string, std::int64_t> packs;  // pack → the entry that put it in
  std::optional<Times> ends;                  // the end that counts
};

std::optional<std::string> text_or_null(const store::Statement& row, int column) { return row.maybe_text(column); }

Result<void> read_start(Statements& statements, const std::string& id, Load& load) {
  TRY_LET(
      auto* const read,
      statements.at("SELECT seq, at, at_ms, earliest_ms, latest_ms, method, equipment, solution, cycle, temperature_c,"
                    " hold_min, by, packs, unknown FROM load_started WHERE load = ? ORDER BY origin LIMIT 1"));
  read->bind(1, id);
  TRY(first_row(*read, [&](store::Statement& row) {
    Start start;
    start.seq = row.integer(0);
    start.at = row.text(1);
    start.times = {row.integer(2), row.integer(3), row.integer(4)};
    start.method = row.text(5);
    start.equipment = text_or_null(row, 6);
    start.solution = text_or_null(row, 7);
    start.cycle = row.maybe_integer(8);
    start.temperature_c = row.maybe_real(9);
    start.hold_min = row.maybe_real(10);
    start.operator_id = text_or_null(row, 11);
    start.packs = row.text(12);
    if (!row.is_null(13)) {
      const auto unknown = json::parse(row.text(13));
      start.packs_unknown = unknown.ok() && unknown.value().find("packs") != nullptr;
    }
    load.start = std::move(start);
  }));
  return {};
}

Result<void> read_end(Statements& statements, const std::string& id, Load& load) {
  TRY_LET(
      auto* const read,
      statements.at(
          "SELECT seq, at, at_ms, earliest_ms, latest_ms, complete, dry, temperature_c, pressure_kpa_gauge, hold_min"
          " FROM load_ended WHERE load = ? ORDER BY origin LIMIT 1"));
  read->bind(1, id);
  TRY(first_row(*read, [&](store::Statement& row) {
    load.end = End{row.integer(0),       std::string(row.text(1)), {row.integer(2), row.integer(3), row.integer(4)},
                   row.maybe_integer(5), row.maybe_integer(6),     row.maybe_real(7),
                   row.maybe_real(8),    row.maybe_real(9)};
  }));
  return {};
}

// Of two decisions the latest holds: by their time, then by their place in the record.
Result<void> read_decision(Statements& statements, const std::string& id, Load& load) {
  const auto look = [&](const char* sql, const char* what) -> Result<void> {
    TRY_LET(auto* const read, statements.at(sql));
    read->bind(1, id);
    TRY(first_row(*read, [&](store::Statement& row) {
      Decision found{what,           row.integer(0),      row.integer(1), std::string(row.text(2)),
                     row.integer(3), text_or_null(row, 4)};
      const bool later =
          !load.decision || std::pair(found.ms, found.origin) > std::pair(load.decision->ms, load.decision->origin);
      if (later) load.decision = std::move(found);
    }));
    return {};
  };
  TRY(look(
      "SELECT origin, seq, at, at_ms, by FROM load_released WHERE load = ? ORDER BY at_ms DESC, origin DESC LIMIT 1",
      "released"));
  return look(
      "SELECT origin, seq, at, at_ms, by FROM load_rejected WHERE load = ? ORDER BY at_ms DESC, origin DESC LIMIT 1",
      "rejected");
}

void each_id(std::string_view list, const auto& visit) {
  if (list.empty()) return;
  const auto parsed = json::parse(list);
  if (!parsed.ok() || !parsed.value().is_list()) return;
  for (const json::Value& one : parsed.value().items()) {
    if (one.is_text()) visit(one.text());
  }
}

// The packs of its start with all its changes applied, in order of their time, then of the record. Within one change
// what is added is in, even if it is named as removed too.
Result<void> read_packs(Statements& statements, const std::string& id, Load& load) {
  if (load.start)
    each_id(load.start->packs, [&](const std::string& pack) { load.packs.emplace(pack, load.start->seq); });
  TRY_LET(auto* const changes,
          statements.at("SELECT seq, added, removed FROM load_changed WHERE load = ? ORDER BY at_ms, origin"));
  changes->bind(1, id);
  return each_row(*changes, [&](store::Statement& row) {
    const std::int64_t seq = row.integer(0);
    each_id(row.text(2), [&](const std::string& pack) { load.packs.erase(pack); });
    each_id(row.text(1), [&](const std::string& pack) { load.packs.emplace(pack, seq); });
  });
}

Result<void> write_load(Statements& statements, const std::string& id, const Load& load) {
  TRY_LET(
      auto* const row,
      statements.at("INSERT OR REPLACE INTO loads VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?,"
                    " ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 'missing', 0, 0, NULL, 0, 0, 0, 0, 0, 0)"));
  row->bind(1, id);
  for (int parameter = 2; parameter <= 30; ++parameter) row->bind_null(parameter);
  row->bind(9, static_cast<std::int64_t>(load.packs.size())).bind(10, load.start && load.start->packs_unknown ? 1 : 0);
  if (const auto& start = load.start) {
    row->bind(2, start->method).bind(3, start->equipment).bind(4, start->solution).bind(5, start->cycle);
    row->bind(6, start->temperature_c).bind(7, start->hold_min).bind(8, start->operator_id);
    row->bind(11, start->seq).bind(12, start->at).bind(13, start->times.ms);
    row->bind(14, start->times.earliest_ms).bind(15, start->times.latest_ms);
  }
  if (load.ends) row->bind(18, load.ends->ms).bind(19, load.ends->earliest_ms).bind(20, load.ends->latest_ms);
  if (const auto& end = load.end) {
    row->bind(16, end->seq).bind(17, end->at).bind(21, end->complete).bind(22, end->dry);
    row->bind(23, end->temperature_c).bind(24, end->pressure_kpa_gauge).bind(25, end->hold_min);
  }
  if (const auto& decision = load.decision) {
    row->bind(26, decision->what)
        .bind(27, decision->seq)
        .bind(28, decision->at)
        .bind(29, decision->ms)
        .bind(30, decision->by);
  }
  return row->run();
}

Result<void> write_packs(Statements& statements, const std::string& id, const Load& load, Touched& touched) {
  std::map<std::string, std::int64_t> held;
  bool same_end = true;
  const Times none;
  TRY_LET(auto* const old,
          statements.at("SELECT pack, seq, end_ms, end_earliest_ms, end_latest_ms FROM load_packs WHERE load = ?"));
  old->bind(1, id);
  TRY(each_row(*old, [&](store::Statement& row) {
    held.emplace(row.text(0), row.integer(1));
    const Times& ends = load.ends ? *load.ends : none;
    same_end = same_end && row.is_null(2) != load.ends.has_value() && row.integer(2) == ends.ms &&
               row.integer(3) == ends.earliest_ms && row.integer(4) == ends.latest_ms;
  }));
  for (const auto& [pack, seq] : held) {
    touched.packs.insert(pack);
    if (same_end && load.packs.contains(pack) && load.packs.at(pack) == seq) continue;
    TRY_LET(auto* const drop, statements.at("DELETE FROM load_packs WHERE load = ? AND pack = ?"));
    TRY(drop->bind(1, id).bind(2, pack).run());
  }
  for (const auto& [pack, seq] : load.packs) {
    touched.packs.insert(pack);
    const auto there = held.find(pack);
    if (same_end && there != held.end() && there->second == seq) continue;
    TRY_LET(
        auto* const row,
        statements.at(
            "INSERT INTO load_packs VALUES (?, ?, ?, ?, ?, ?, NULL, NULL, NULL, NULL, 'held', NULL, NULL, NULL, 0)"));
    row->bind(1, id).bind(2, pack).bind(3, seq);
    if (load.ends) {
      row->bind(4, load.ends->ms).bind(5, load.ends->earliest_ms).bind(6, load.ends->latest_ms);
    } else {
      row->bind_null(4).bind_null(5).bind_null(6);
    }
    TRY(row->run());
  }
  return {};
}

}  // namespace

Result<void> resolve_loads(Statements& statements, Touched& touched) {
  for (const std::string& id : touched.loads) {
    Load load;
    TRY_LET(const bool named, is_named(statements, "load", id));
    if (!named) {
      TRY(write_packs(statements, id, load, touched));
      TRY_LET(auto* const drop, statements.at("DELETE FROM loads WHERE load = ?"));
      TRY(drop->bind(1, id).run());
      continue;
    }
    TRY(read_start(statements, id, load));
    TRY(read_end(statements, id, load));
    TRY(read_decision(statements, id, load));
    TRY(read_packs(statements, id, load));
    if (load.start) load.ends = load.start->times;
    if (load.end) load.ends = load.end->times;
    TRY(write_load(statements, id, load));
    TRY(write_packs(statements, id, load, touched));
  }
  return {};
}

}  // namespace trayproof::links
