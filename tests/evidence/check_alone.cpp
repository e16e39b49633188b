// Checks a pack with nothing linked but the room that checks packs: no ledger, no database, no importer.
//
//   check_alone PACK.zip VKEY
#include <cstdio>

#include "ledger/log/note.h"
#include "report/evidence/check/check.h"

int main(int argc, char** argv) {
  if (argc != 3) return 2;
  const auto key = trayproof::log::parse_vkey(argv[2]);
  if (!key.ok()) return 3;
  const auto checked = trayproof::evidence::check(argv[1], {.ledger_key = key.value(), .checkpoint = {}});
  if (!checked.ok()) {
    std::fprintf(stderr, "%s\n", checked.error().sentence().c_str());
    return 3;
  }
  for (const auto& one : checked.value().problems)
    std::fprintf(stderr, "%s: %s\n", one.member.c_str(), one.what.c_str());
  return checked.value().is_good() ? 0 : 1;
}
