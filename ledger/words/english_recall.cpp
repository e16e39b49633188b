#include "ledger/words/english.h"

namespace trayproof::english {

std::span<const Word> recall() {
  static constexpr Word words[] = {
      {"links.entry-unreadable", "entry {seq} cannot be read: {found}"},
      {"links.entry-without-kind", "entry {seq} has no kind"},
      {"links.zone-unsettled", "the facility's zone changed while the tables were derived; run verify"},

      {"recall.needs", "a recall because of {because} needs {field}"},
      {"recall.unknown-because", "found \"{found}\", which is no trigger of a recall"},
      {"recall.at", "found \"{found}\" as the subject's time; allowed is a time with its offset"},
      {"recall.not-held", "no event of this ledger names the {kind} {id}"},
      {"recall.known-at", "found {found}; the ledger's last entry is {last}"},
      {"recall.differs", "entry {seq} does not bear out what the derived tables say ({what}); run verify, then rebuild"},
  };
  return words;
}

}  // namespace trayproof::english
