#include "tests/support/unguarded.h"

namespace trayproof::tests {

bool run_unguarded(store::Database& database, const std::string& sql) {
  std::string out;
  std::string back;
  {
    auto triggers = database.prepare("SELECT name, sql FROM sqlite_master WHERE type = 'trigger' ORDER BY name");
    if (!triggers.ok()) return false;
    while (true) {
      const auto row = triggers.value().step();
      if (!row.ok()) return false;
      if (!row.value()) break;
      out += "DROP TRIGGER " + std::string(triggers.value().text(0)) + ";";
      back += std::string(triggers.value().text(1)) + ";";
    }
  }
  if (!database.run(out).ok()) return false;
  const bool done = database.run(sql).ok();
  return database.run(back).ok() && done;
}

}  // namespace trayproof::tests
