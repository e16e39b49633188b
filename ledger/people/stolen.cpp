#include "ledger/people/stolen.h"

namespace trayproof::people {

const KnownKey* stolen_for(const KeyBook& keys, const json::Value& entry) {
  const KnownKey* key = keys.find(entry.text_at("key").value_or(""));
  const auto recorded = parse_date_time(entry.text_at("recorded").value_or(""));
  return key != nullptr && recorded && key->stolen_at(recorded->instant) ? key : nullptr;
}

}  // namespace trayproof::people
