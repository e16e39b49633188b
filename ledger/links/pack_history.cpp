#include "ledger/links/pack_history.h"

#include <algorithm>

namespace trayproof::links {

Result<std::optional<SetDefinitions::Definition>> SetDefinitions::at(const std::string& set, std::int64_t at_ms) {
  auto place = kept_.find(set);
  if (place == kept_.end()) {
    std::vector<Definition> definitions;
    TRY_LET(auto* const read, statements_.at("SELECT seq, at_ms, contact, implant, told_apart FROM set_defined WHERE "
                                             "\"set\" = ? ORDER BY at_ms, origin"));
    read->bind(1, set);
    TRY(each_row(*read, [&](store::Statement& row) {
      definitions.push_back(
          {row.integer(0), row.integer(1), row.maybe_text(2), row.maybe_integer(3), row.maybe_integer(4)});
    }));
    place = kept_.emplace(set, std::move(definitions)).first;
  }
  const std::vector<Definition>& definitions = place->second;
  if (definitions.empty()) return std::optional<Definition>();
  const auto after = std::ranges::upper_bound(definitions, at_ms, {}, &Definition::at_ms);
  return std::optional(after == definitions.begin() ? definitions.front() : *(after - 1));
}

Result<void> PackHistory::read(SetDefinitions& sets) {
  TRY(read_packing(sets));
  TRY(read_loads());
  TRY(
      read_tied("SELECT u.rowid, u.origin, u.seq, u.use_ms, u.use_earliest_ms, u.use_latest_ms, u.load, "
                "'procedure-done', NULL, p.place"
                " FROM uses u LEFT JOIN procedure_done p ON p.origin = u.origin WHERE u.pack = ? ORDER BY u.origin",
                uses_));
  TRY(
      read_tied("SELECT rowid, origin, seq, at_ms, earliest_ms, latest_ms, load, kind, state, place FROM pack_moves "
                "WHERE pack = ? ORDER BY origin",
                moves_));
  TRY(
      read_tied("SELECT rowid, origin, seq, at_ms, earliest_ms, latest_ms, load, NULL, NULL, NULL FROM indicators"
                " WHERE pack = ? AND found = 1 ORDER BY origin",
                indicators_));
  find_loads(uses_);
  find_loads(moves_);
  find_loads(indicators_);
  return {};
}

Result<void> PackHistory::read_packing(SetDefinitions& sets) {
  TRY_LET(auto* const packed,
          statements_.at("SELECT seq, at, at_ms, earliest_ms, latest_ms, by, \"set\", wrap, indicator_lot, wrap_lot"
                         " FROM packed WHERE pack = ? ORDER BY origin LIMIT 1"));
  packed->bind(1, pack_);
  const auto read_common = [&](store::Statement& row) {
    packing_.seq = row.integer(0);
    packing_.at = row.maybe_text(1);
    packing_.ms = row.integer(2);
    packing_.earliest_ms = row.integer(3);
    packing_.latest_ms = row.integer(4);
    packing_.by = row.maybe_text(5);
  };
  TRY_LET(const bool made_here, first_row(*packed, [&](store::Statement& row) {
            read_common(row);
            packing_.set = row.maybe_text(6);
            packing_.wrap = row.maybe_text(7);
            packing_.indicator_lot = row.maybe_text(8);
            packing_.wrap_lot = row.maybe_text(9);
          }));
  if (made_here) {
    if (packing_.set) {
      TRY_LET(packing_.definition, sets.at(*packing_.set, *packing_.ms));
    }
    return {};
  }
  TRY_LET(auto* const received, statements_.at("SELECT seq, at, at_ms, earliest_ms, latest_ms, by, lot, use_by_ms"
                                               " FROM pack_received WHERE pack = ? ORDER BY origin LIMIT 1"));
  received->bind(1, pack_);
  TRY(first_row(*received, [&](store::Statement& row) {
    read_common(row);
    packing_.outside = true;
    packing_.outside_lot = row.maybe_text(6);
    packing_.use_by_ms = row.maybe_integer(7);
  }));
  return {};
}

Result<void> PackHistory::read_loads() {
  TRY_LET(
      auto* const read,
      statements_.at(
          "SELECT h.load, h.end_ms, h.end_earliest_ms, h.end_latest_ms, l.complete, l.decision, h.\"set\", h.packed_ms,"
          " h.told_apart, h.implant, h.standing, h.standing_seq, h.standing_ms, h.place, h.good_later"
          " FROM load_packs h JOIN loads l ON l.load = h.load WHERE h.pack = ?"));
  read->bind(1, pack_);
  std::vector<HoldingLoad> holding;
  TRY(each_row(*read, [&](store::Statement& row) {
    Held held;
    held.load = row.text(0);
    if (!row.is_null(1)) {
      held.end = Span{{row.integer(2)}, {row.integer(3)}};
      holding.push_back({held.load, *held.end});
    }
    held.good = row.integer(4) == 1 && row.text(5) != "rejected";
    held.set = row.maybe_text(6);
    held.packed_ms = row.maybe_integer(7);
    held.told_apart = row.maybe_integer(8);
    held.implant = row.maybe_integer(9);
    held.became = {std::string(row.text(10)), row.maybe_integer(11), row.maybe_integer(12), row.maybe_text(13)};
    held.good_later = row.integer(14) == 1;
    held_.push_back(std::move(held));
  }));
  relevant_ = RelevantLoads(std::move(holding));
  return {};
}

Result<void> PackHistory::read_tied(const char* sql, std::vector<Tied>& out) {
  TRY_LET(auto* const read, statements_.at(sql));
  read->bind(1, pack_);
  return each_row(*read, [&](store::Statement& row) {
    if (out.empty() || out.back().event.origin != row.integer(1)) {
      PackEvent event{std::string(row.text(7)), row.integer(1),    row.integer(2),
                      row.integer(3),           row.maybe_text(8), row.maybe_text(9)};
      out.push_back({std::move(event), {{row.integer(4)}, {row.integer(5)}}, {}, {}, {}});
    }
    out.back().rows.push_back(row.integer(0));
    out.back().loads.push_back(row.maybe_text(6));
  });
}

void PackHistory::find_loads(std::vector<Tied>& events) const {
  for (Tied& event : events) {
    for (const std::size_t place : relevant_.at(event.span)) event.found.emplace_back(relevant_.loads()[place].load);
    if (event.found.empty()) event.found.emplace_back();
  }
}

std::map<std::string_view, std::vector<const PackEvent*>> PackHistory::events_by_load() const {
  std::map<std::string_view, std::vector<const PackEvent*>> events;
  for (const std::vector<Tied>* kept : {&uses_, &moves_}) {
    for (const Tied& one : *kept) {
      for (const auto& load : one.found) {
        if (load) events[*load].push_back(&one.event);
      }
    }
  }
  return events;
}

std::optional<Instant> PackHistory::last_good_end() const {
  std::optional<Instant> last;
  for (const Held& held : held_) {
    if (held.good && held.end && (!last || *last < held.end->earliest)) last = held.end->earliest;
  }
  return last;
}

}  // namespace trayproof::links
