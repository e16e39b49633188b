#include <algorithm>

#include "ledger/links/pack_history.h"

namespace trayproof::links {

Result<void> PackHistory::write(std::set<std::string>& loads_touched) {
  static constexpr RowWriting uses{
      "UPDATE uses SET load = ? WHERE rowid = ?",
      "INSERT INTO uses SELECT procedure, pack, ?, \"set\", origin, seq, use_ms, use_earliest_ms, "
      "use_latest_ms FROM uses WHERE rowid = ?",
      "DELETE FROM uses WHERE rowid = ?"};
  static constexpr RowWriting moves{"UPDATE pack_moves SET load = ? WHERE rowid = ?",
                                    "INSERT INTO pack_moves SELECT pack, kind, ?, origin, seq, at_ms, earliest_ms, "
                                    "latest_ms, place, state, why_withdrawn, use_by_ms, left_ms"
                                    " FROM pack_moves WHERE rowid = ?",
                                    "DELETE FROM pack_moves WHERE rowid = ?"};
  static constexpr RowWriting indicators{"UPDATE indicators SET load = ? WHERE rowid = ?",
                                         "INSERT INTO indicators SELECT origin, seq, ?, pack, found, lot, type, "
                                         "\"where\", result, at_ms, earliest_ms, latest_ms"
                                         " FROM indicators WHERE rowid = ?",
                                         "DELETE FROM indicators WHERE rowid = ?"};
  TRY(write_packing());
  TRY(write_loads());
  TRY(write_tied(uses_, uses, nullptr));
  TRY(write_tied(moves_, moves, nullptr));
  TRY(write_set());
  TRY(write_shelf());
  return write_tied(indicators_, indicators, &loads_touched);
}

Result<void> PackHistory::write_packing() {
  if (!packing_.set) {
    TRY_LET(auto* const drop, statements_.at("DELETE FROM turns WHERE pack = ?"));
    TRY(drop->bind(1, pack_).run());
  }
  TRY_LET(auto* const row,
          statements_.at("INSERT OR REPLACE INTO packs VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"));
  row->bind(1, pack_)
      .bind(2, packing_.set)
      .bind(3, packing_.wrap)
      .bind(4, packing_.indicator_lot)
      .bind(5, packing_.wrap_lot);
  row->bind(6, packing_.outside ? 1 : 0)
      .bind(7, packing_.outside_lot)
      .bind(8, packing_.seq)
      .bind(9, packing_.at)
      .bind(10, packing_.ms);
  row->bind(11, packing_.earliest_ms).bind(12, packing_.latest_ms).bind(13, packing_.by).bind(14, packing_.use_by_ms);
  if (const auto& definition = packing_.definition) {
    row->bind(15, definition->seq)
        .bind(16, definition->contact)
        .bind(17, definition->implant)
        .bind(18, definition->told_apart);
  } else {
    row->bind_null(15).bind_null(16).bind_null(17).bind_null(18);
  }
  return row->run();
}

Result<void> PackHistory::write_loads() {
  const SetDefinitions::Definition definition = packing_.definition.value_or(SetDefinitions::Definition{});
  const auto under = events_by_load();
  static const std::vector<const PackEvent*> nothing;
  const std::optional<Instant> last_good = last_good_end();
  for (const Held& held : held_) {
    const auto events = under.find(held.load);
    const Became became = became_of(events == under.end() ? nothing : events->second);
    const bool good_later = last_good && held.end && *last_good > held.end->latest;
    if (became == held.became && good_later == held.good_later && held.set == packing_.set &&
        held.packed_ms == packing_.ms && held.implant == definition.implant &&
        held.told_apart == definition.told_apart) {
      continue;
    }
    TRY_LET(
        auto* const row,
        statements_.at("UPDATE load_packs SET \"set\" = ?, packed_ms = ?, told_apart = ?, implant = ?, standing = ?,"
                       " standing_seq = ?, standing_ms = ?, place = ?, good_later = ? WHERE load = ? AND pack = ?"));
    row->bind(1, packing_.set)
        .bind(2, packing_.ms)
        .bind(3, definition.told_apart)
        .bind(4, definition.implant)
        .bind(5, became.standing);
    row->bind(6, became.seq).bind(7, became.ms).bind(8, became.place).bind(9, good_later ? 1 : 0).bind(10, held.load);
    TRY(row->bind(11, pack_).run());
  }
  return {};
}

Result<void> PackHistory::write_set() {
  if (uses_.empty()) return {};
  TRY_LET(auto* const row, statements_.at("UPDATE uses SET \"set\" = ?1 WHERE pack = ?2 AND \"set\" IS NOT ?1"));
  return row->bind(1, packing_.set).bind(2, pack_).run();
}

// Until when each stay on the shelf lasted, as far as moves and uses tell.
Result<void> PackHistory::write_shelf() {
  std::vector<const PackEvent*> moves;
  for (const Tied& move : moves_) moves.push_back(&move.event);
  std::ranges::sort(
      moves, [](const PackEvent* a, const PackEvent* b) { return a->ms != b->ms ? a->ms < b->ms : a->seq < b->seq; });
  for (std::size_t i = 0; i < moves.size(); ++i) {
    const PackEvent& move = *moves[i];
    if (move.kind != "pack-stored" && (move.kind != "pack-returned" || move.state != "closed")) continue;
    std::optional<std::int64_t> left;
    if (i + 1 < moves.size()) left = moves[i + 1]->ms;
    for (const Tied& use : uses_) {
      if (use.event.ms > move.ms && (!left || use.event.ms < *left)) left = use.event.ms;
    }
    TRY_LET(auto* const row,
            statements_.at("UPDATE pack_moves SET left_ms = ?1 WHERE pack = ?2 AND origin = ?3 AND left_ms IS NOT ?1"));
    TRY(row->bind(1, left).bind(2, pack_).bind(3, move.origin).run());
  }
  return {};
}

Result<void> PackHistory::write_tied(std::vector<Tied>& events, const RowWriting& writing,
                                     std::set<std::string>* loads_touched) {
  for (Tied& event : events) {
    std::vector<std::optional<std::string>> was = event.loads;
    std::vector<std::optional<std::string>> is = event.found;
    std::ranges::sort(was);
    std::ranges::sort(is);
    if (was == is) continue;
    for (std::size_t place = 0; place < std::max(is.size(), event.rows.size()); ++place) {
      if (place >= is.size()) {
        TRY_LET(auto* const drop, statements_.at(writing.drop));
        TRY(drop->bind(1, event.rows[place]).run());
      } else {
        const bool there = place < event.rows.size();
        TRY_LET(auto* const row, statements_.at(there ? writing.change : writing.copy));
        TRY(row->bind(1, is[place]).bind(2, there ? event.rows[place] : event.rows.front()).run());
      }
    }
    if (loads_touched == nullptr) continue;
    for (const auto& load : was)
      if (load) loads_touched->insert(*load);
    for (const auto& load : is)
      if (load) loads_touched->insert(*load);
  }
  return {};
}

}  // namespace trayproof::links
