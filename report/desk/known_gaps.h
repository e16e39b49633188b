// The findings of the whole record as they were worked out last in the language of the thread, for pages that show a
// part of them beside other things: what a finding says is said where it is found. Working them out reads everything;
// a large ledger is asked only where somebody asks for the findings themselves.
#pragma once

#include <array>
#include <memory>
#include <mutex>

#include "ledger/words/language.h"
#include "report/desk/record.h"
#include "report/gaps/find.h"

namespace trayproof::desk {

struct GapsAsOf {
  gaps::Findings findings;
  std::int64_t known_at = 0;  // the last entry that they rest on
  Instant as_of;
};

class KnownGaps {
 public:
  // Of this state: what is at hand, or worked out again where the ledger is small. Null: nobody asked yet.
  Result<std::shared_ptr<const GapsAsOf>> at_hand(Record::Reader& reader, Clock& clock);
  // Worked out anew unless it is of this entry and this minute; for who asks for them.
  Result<std::shared_ptr<const GapsAsOf>> now(Record::Reader& reader, Clock& clock);

 private:
  std::shared_ptr<const GapsAsOf> last() const;
  mutable std::mutex mutex_;
  std::array<std::shared_ptr<const GapsAsOf>, languages_count> last_;
};

}  // namespace trayproof::desk
