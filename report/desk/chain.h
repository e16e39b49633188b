// How packs came to be used: set, solution, pack, load and use of each, one row a way that a pack went. The same rows
// as a drawing whose boxes lead on, and as a table for who cannot see it and for print.
#pragma once

#include <string>
#include <vector>

#include "ledger/links/links.h"
#include "report/markup/markup.h"

namespace trayproof::desk {

struct ChainRow {
  std::string set, solution, pack;
  std::string load, load_says;  // machine and verdict
  std::string use, use_says;    // place and time
  std::string ended;            // without a use: what became of the pack
  bool operator==(const ChainRow&) const = default;
};

struct Chain {
  std::string kind, id;  // whose page it stands on
  std::vector<ChainRow> rows;
  bool cut = false;  // there are more rows than are shown
};

// Of a procedure, pack, load, set or solution; no rows of any other kind of thing. At most limits::desk_chain_rows, the
// latest first where there are more.
Result<Chain> chain_of(links::Links& tables, std::string_view kind, std::string_view id);

markup::Markup drawing_of(const Chain& chain);
markup::Markup table_of(const Chain& chain);

}  // namespace trayproof::desk
