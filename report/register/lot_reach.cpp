#include "report/register/lot_reach.h"

#include <algorithm>
#include <vector>

#include "ledger/recall/recall.h"

namespace trayproof::registry {
namespace {

Result<std::vector<std::string>> lots_of(links::Links& tables) {
  std::vector<std::string> lots;
  TRY_LET(auto named,
          tables.database().prepare("SELECT DISTINCT id FROM mentions WHERE thing = 'lot' AND holds = 1 ORDER BY id"));
  while (true) {
    TRY_LET(const bool more, named.step());
    if (!more) return lots;
    lots.emplace_back(named.text(0));
  }
}

// How many, then which, parted by blanks, in the order of their bytes.
template <typename Thing>
void put(CopyIn& copy, const std::vector<Thing>& things, std::string Thing::*id) {
  std::vector<std::string_view> ids;
  ids.reserve(things.size());
  for (const Thing& one : things) ids.push_back(one.*id);
  std::sort(ids.begin(), ids.end());
  std::string all;
  for (const std::string_view one : ids) all.append(all.empty() ? "" : " ").append(one);
  copy.add_bigint(static_cast<std::int64_t>(ids.size()));
  copy.add(std::string_view(all));
}

}  // namespace

Result<void> put_lot_reach(Connection& connection, const std::string& ledger, links::Links& tables,
                           const sop::Editions& editions) {
  TRY(connection.ask("DELETE FROM derived.lot_reach WHERE ledger = $1", Parameters().add(ledger)));
  TRY_LET(const auto lots, lots_of(tables));
  TRY_LET(auto copy, CopyIn::begin(connection,
                                   "derived.lot_reach (ledger, lot, loads, load_ids, packs, pack_ids, procedures, "
                                   "procedure_ids)",
                                   8));
  for (const std::string& lot : lots) {
    recall::Request request;
    request.because = recall::Because::lot_withdrawn;
    request.lot = lot;
    TRY_LET(const auto reached, recall::compute(request, tables, editions));
    copy.row();
    copy.add(std::string_view(ledger));
    copy.add(std::string_view(lot));
    put(copy, reached.loads, &recall::AffectedLoad::load);
    put(copy, reached.packs, &recall::AffectedPack::pack);
    put(copy, reached.procedures, &recall::AffectedProcedure::procedure);
    TRY(copy.flush_some());
  }
  return copy.finish();
}

}  // namespace trayproof::registry
