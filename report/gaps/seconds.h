// Second persons: which countersignatures count, and whether an entry has its second. The judgement is
// people/second.h's; here it is asked over the derived tables. docs/ledger-format.md, "Second persons", is the
// authority.
#pragma once

#include <cstdint>
#include <map>
#include <string_view>
#include <vector>

#include "ledger/people/second.h"
#include "report/gaps/record.h"

namespace trayproof::gaps {

class Seconds {
 public:
  // In order of seq each: the keys that were added and retired, and the countersignatures.
  struct Given {
    const std::vector<Record>& added;
    const std::vector<Record>& retired;
    const std::vector<Record>& countersigned;
    // The entry itself, not what a later correction made of it; null when there is none.
    const std::map<std::int64_t, const Record*>& entries;
  };
  void read(const Given& given);

  // The countersignatures of the entry `seq` that count, in order of seq.
  const std::vector<const Record*>& of(std::int64_t seq) const;
  // A named second is a claim until that person countersigns.
  people::Second state(const Record& entry) const;

 private:
  std::map<std::int64_t, std::vector<const Record*>> counting_;
};

}  // namespace trayproof::gaps
