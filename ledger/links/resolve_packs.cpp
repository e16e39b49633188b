#include "ledger/links/pack_history.h"
#include "ledger/links/resolve.h"

namespace trayproof::links {
namespace {

Result<void> touch_packs_of(Statements& statements, const std::set<std::string>& sets, Touched& touched) {
  for (const std::string& set : sets) {
    TRY_LET(auto* const read, statements.at("SELECT pack FROM packed WHERE \"set\" = ?"));
    read->bind(1, set);
    TRY(each_row(*read, [&](store::Statement& row) { touched.packs.emplace(row.text(0)); }));
  }
  return {};
}

}  // namespace

Result<void> resolve_packs(Statements& statements, Touched& touched) {
  TRY(touch_packs_of(statements, touched.sets_defined, touched));
  SetDefinitions sets(statements);
  for (const std::string& pack : touched.packs) {
    TRY_LET(const bool named, is_named(statements, "pack", pack));
    if (!named) {
      for (const char* sql : {"DELETE FROM packs WHERE pack = ?", "DELETE FROM turns WHERE pack = ?"}) {
        TRY_LET(auto* const drop, statements.at(sql));
        TRY(drop->bind(1, pack).run());
      }
      continue;
    }
    PackHistory history(statements, pack);
    TRY(history.read(sets));
    TRY(history.write(touched.loads));
  }
  return {};
}

}  // namespace trayproof::links
