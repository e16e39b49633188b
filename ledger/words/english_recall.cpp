#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> recall() {
  static constexpr Word words[] = {
      {"links.entry-unreadable", "entry {seq} cannot be read: {found}"},
      {"links.entry-without-kind", "entry {seq} has no kind"},
      {"links.zone-unsettled", "the facility's zone changed while the tables were derived; run verify"},
  };
  return words;
}

}  // namespace trayproof::english
