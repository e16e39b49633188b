// Packs that are followed without a load: named ones, those of a weak decontamination solution, and those that come
// after an index patient.
#include <set>
#include <tuple>

#include "ledger/recall/reach.h"

namespace trayproof::recall {
namespace {

using links::each_row;
using links::first_row;
using links::PackEvent;

// A row of pack_moves: kind, origin, seq, at_ms, state, place.
PackEvent move_of(const store::Statement& row) {
  return {std::string(row.text(0)), row.integer(1),    row.integer(2),
          row.integer(3),           row.maybe_text(4), row.maybe_text(5)};
}

links::Became became_of(const std::vector<PackEvent>& events) {
  std::vector<const PackEvent*> pointers;
  for (const PackEvent& event : events) pointers.push_back(&event);
  return links::became_of(pointers);
}

}  // namespace

// Puts the pack into the answer with what is known of its packing.
Result<std::size_t> Reach::add_pack(const std::string& id) {
  const std::size_t place = pack_place(id);
  TRY_LET(auto* const read,
          links_.statements().at("SELECT \"set\", packed_ms, told_apart, implant FROM packs WHERE pack = ?"));
  read->bind(1, id);
  TRY(first_row(*read, [&](store::Statement& row) {
    AffectedPack& pack = answer_.packs[place];
    pack.set = row.maybe_text(0);
    pack.packed_ms = row.maybe_integer(1);
    pack.told_apart = row.is_null(2) || row.integer(2) != 0;
    pack.implant = row.integer(3) == 1;
  }));
  return place;
}

// Counts what happened to a named pack without a relevant load.
Result<void> Reach::add_pack_without_load(const std::string& id) {
  TRY_LET(const std::size_t place, add_pack(id));
  std::vector<PackEvent> events;
  TRY_LET(auto* const uses,
          links_.statements().at("SELECT origin, seq, use_ms FROM uses WHERE pack = ? AND load IS NULL"));
  uses->bind(1, id);
  TRY(each_row(*uses, [&](store::Statement& row) -> Result<void> {
    TRY_LET(const AffectedProcedure* const procedure, add_use(row.integer(0), id, std::nullopt, procedures_));
    events.push_back(
        {"procedure-done", row.integer(0), row.integer(1), row.integer(2), std::nullopt, procedure->place});
    return {};
  }));
  TRY_LET(auto* const moves,
          links_.statements().at(
              "SELECT kind, origin, seq, at_ms, state, place FROM pack_moves WHERE pack = ? AND load IS NULL"));
  moves->bind(1, id);
  TRY(each_row(*moves, [&](store::Statement& row) { events.push_back(move_of(row)); }));
  gathering_[place].became = links::stronger(gathering_[place].became, became_of(events));
  return {};
}

// They have the one standing and no load. The procedures that they served stand apart, unless they are affected anyway;
// a pack that is affected anyway keeps its standing.
Result<void> Reach::follow_handled(const std::vector<std::string>& packs) {
  for (const std::string& id : packs) {
    if (!pack_places_.contains(id)) {
      TRY_LET(const std::size_t place, add_pack(id));
      answer_.packs[place].standing = Standing::handled;
    }
    TRY_LET(auto* const uses, links_.statements().at("SELECT DISTINCT origin FROM uses WHERE pack = ?"));
    uses->bind(1, id);
    const auto add_served = [&](store::Statement& row) -> Result<void> {
      if (procedures_.places.contains(row.integer(0))) return {};
      TRY(add_use(row.integer(0), id, std::nullopt, handled_));
      return {};
    };
    TRY(each_row(*uses, add_served));
  }
  return {};
}

// Forward from a patient: the later packs of the sets used in that procedure, and what happened to them after it.
Result<void> Reach::follow_index(const std::string& procedure) {
  std::optional<Span> time;
  std::int64_t origin = 0;
  std::set<std::string> sets;
  std::set<std::string> own_packs;
  TRY_LET(auto* const used,
          links_.statements().at("SELECT u.pack, u.origin, u.use_earliest_ms, u.use_latest_ms, k.\"set\" FROM uses u"
                                 " LEFT JOIN packs k ON k.pack = u.pack WHERE u.procedure = ?"));
  used->bind(1, procedure);
  TRY(each_row(*used, [&](store::Statement& row) {
    own_packs.emplace(row.text(0));
    origin = row.integer(1);
    time = Span{{row.integer(2)}, {row.integer(3)}};
    if (!row.is_null(4)) sets.emplace(row.text(4));
  }));
  if (!time) return {};
  std::vector<std::string> later;
  for (const std::string& set : sets) {
    TRY_LET(
        auto* const packs,
        links_.statements().at("SELECT pack FROM packs WHERE \"set\" = ? AND packed_ms > ? AND packed_latest_ms > ?"));
    packs->bind(1, set).bind(2, time->earliest.ms - day_ms).bind(3, time->earliest.ms);
    TRY(each_row(*packs, [&](store::Statement& row) {
      if (!own_packs.contains(std::string(row.text(0)))) later.emplace_back(row.text(0));
    }));
  }
  for (const std::string& pack : later) TRY(follow_later_pack(pack, *time, origin));
  return {};
}

Result<void> Reach::follow_later_pack(const std::string& id, Span after, std::int64_t index_origin) {
  TRY_LET(const std::size_t place, add_pack(id));
  std::vector<PackEvent> events;
  TRY_LET(auto* const uses,
          links_.statements().at(
              "SELECT DISTINCT origin, seq, use_ms FROM uses WHERE pack = ? AND use_latest_ms > ? AND origin <> ?"));
  uses->bind(1, id).bind(2, after.earliest.ms).bind(3, index_origin);
  TRY(each_row(*uses, [&](store::Statement& row) -> Result<void> {
    TRY_LET(const AffectedProcedure* const procedure, add_use(row.integer(0), id, std::nullopt, procedures_));
    events.push_back(
        {"procedure-done", row.integer(0), row.integer(1), row.integer(2), std::nullopt, procedure->place});
    return {};
  }));
  TRY_LET(auto* const moves,
          links_.statements().at("SELECT DISTINCT kind, origin, seq, at_ms, state, place FROM pack_moves"
                                 " WHERE pack = ? AND latest_ms > ?"));
  moves->bind(1, id).bind(2, after.earliest.ms);
  TRY(each_row(*moves, [&](store::Statement& row) { events.push_back(move_of(row)); }));
  gathering_[place].became = became_of(events);
  return {};
}

}  // namespace trayproof::recall
