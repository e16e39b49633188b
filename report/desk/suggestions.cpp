#include "report/desk/suggestions.h"

#include "ledger/base/desk_limits.h"
#include "ledger/words/words.h"
#include "report/desk/several.h"

namespace trayproof::desk {
namespace {

using events::Field;
using events::Type;

// Each gives an id and what to say beside it, at most ?1 rows.
constexpr const char* sets = "SELECT \"set\", max(title) FROM set_defined GROUP BY \"set\" ORDER BY \"set\" LIMIT ?1";
constexpr const char* unloaded_packs =
    "SELECT p.pack, p.\"set\" FROM packs p WHERE p.packed_seq IS NOT NULL AND p.outside = 0 "
    "AND NOT EXISTS (SELECT 1 FROM load_packs l WHERE l.pack = p.pack) ORDER BY p.packed_ms DESC, p.pack LIMIT ?1";
constexpr const char* shelf_packs =
    "SELECT l.pack, l.\"set\" FROM load_packs l WHERE l.standing IN ('issued', 'shelf', 'opened', 'held') AND "
    "l.good_later = 0 "
    "ORDER BY l.standing = 'issued' DESC, l.end_ms DESC, l.pack LIMIT ?1";
constexpr const char* running_loads =
    "SELECT load, equipment FROM loads WHERE start_seq IS NOT NULL AND end_seq IS NULL ORDER BY start_ms DESC LIMIT ?1";
constexpr const char* undecided_loads =
    "SELECT load, equipment FROM loads WHERE end_seq IS NOT NULL AND decision IS NULL ORDER BY end_ms DESC LIMIT ?1";
constexpr const char* recent_loads =
    "SELECT load, equipment FROM loads WHERE start_seq IS NOT NULL ORDER BY start_ms DESC LIMIT ?1";
constexpr const char* machines =
    "SELECT equipment, max(sort) FROM equipment_registered GROUP BY equipment ORDER BY equipment LIMIT ?1";
constexpr const char* solutions =
    "SELECT p.solution, p.agent FROM solution_prepared p WHERE NOT EXISTS (SELECT 1 FROM solution_discarded d "
    "WHERE d.solution = p.solution) ORDER BY p.at_ms DESC LIMIT ?1";
constexpr const char* lots = "SELECT lot, sort FROM supply_received ORDER BY at_ms DESC LIMIT ?1";
constexpr const char* persons = "SELECT person, '' FROM person_enrolled GROUP BY person ORDER BY person LIMIT ?1";
constexpr const char* cases = "SELECT procedure, sort FROM procedure_done ORDER BY at_ms DESC LIMIT ?1";
constexpr const char* biologicals =
    "SELECT p.biological, p.load FROM biological_placed p WHERE NOT EXISTS (SELECT 1 FROM biological_read r "
    "WHERE r.biological = p.biological) ORDER BY p.at_ms DESC LIMIT ?1";
constexpr const char* recalls = "SELECT recall, because FROM recall_opened ORDER BY at_ms DESC LIMIT ?1";

const char* loads_for(std::string_view kind) {
  if (kind == "load-ended" || kind == "load-changed") return running_loads;
  if (kind == "load-released" || kind == "load-rejected") return undecided_loads;
  return recent_loads;
}

const char* query_for(std::string_view kind, std::string_view field) {
  if (field == "set") return sets;
  if (field == "pack") return shelf_packs;
  if (field == "load") return loads_for(kind);
  if (field == "equipment") return machines;
  if (field == "solution") return solutions;
  if (field == "lot" || field.ends_with("_lot")) return lots;
  if (field == "person" || field == "second") return persons;
  if (field == "procedure") return cases;
  if (field == "biological") return biologicals;
  if (field == "recall") return recalls;
  return nullptr;
}

// Ids that an event is the first to name are not suggested: they would be refused, or be another thing's.
bool is_new_here(std::string_view kind, std::string_view field) {
  return (kind == "packed" && field == "pack") || (kind == "pack-received" && field == "pack") ||
         (kind == "load-started" && field == "load") || (kind == "procedure-done" && field == "procedure") ||
         (kind == "solution-prepared" && field == "solution") || (kind == "supply-received" && field == "lot") ||
         (kind == "biological-placed" && field == "biological") || (kind == "person-enrolled" && field == "person") ||
         (kind == "equipment-registered" && field == "equipment") || (kind == "set-defined" && field == "set");
}

const char* taps_for(const events::Kind& kind, std::string_view field) {
  if (kind.name == "load-started" && field == "packs") return unloaded_packs;
  if (kind.name == "load-changed" && field == "added") return unloaded_packs;
  if (kind.name == "procedure-done" && field == "packs") return shelf_packs;
  if (takes_several(kind) && field == "pack" && !is_new_here(kind.name, field)) return shelf_packs;
  return nullptr;
}

// Beside the id stands a word of the format, not another id or what somebody called it.
bool says_a_word(const char* query) {
  return query == machines || query == solutions || query == lots || query == recalls;
}

Result<std::vector<Known>> read(links::Links& tables, const char* query, std::int64_t most) {
  std::vector<Known> known;
  TRY_LET(auto* rows, tables.statements().at(query));
  rows->bind(1, most);
  TRY(links::each_row(*rows, [&](const store::Statement& row) {
    const std::string says = row.maybe_text(1).value_or("");
    known.push_back({row.maybe_text(0).value_or(""), says_a_word(query) ? std::string(spelled_here(says)) : says});
  }));
  return known;
}

}  // namespace

Result<Suggestions> suggestions_for(links::Links& tables, const events::Kind& kind) {
  Suggestions out;
  for (const Field& field : kind.fields) {
    const std::string name(field.name);
    if (const char* query = taps_for(kind, field.name)) {
      TRY_LET(out.to_tap[name], read(tables, query, limits::desk_taps));
    }
    if (field.type != Type::id || is_new_here(kind.name, field.name)) continue;
    if (const char* query = query_for(kind.name, field.name)) {
      TRY_LET(out.by_field[name], read(tables, query, limits::desk_suggestions));
    }
  }
  return out;
}

}  // namespace trayproof::desk
