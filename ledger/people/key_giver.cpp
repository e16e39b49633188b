#include "ledger/people/key_giver.h"

namespace trayproof::people {

std::string giver_of(const KeyBook& keys, const KnownKey& key) {
  const KnownKey* giver = keys.find(key.added_by_key);
  // Each was added before the one that it added, so this ends.
  while (giver != nullptr && giver->owner == key.owner && giver->added < key.added) {
    const KnownKey* before = keys.find(giver->added_by_key);
    if (before == nullptr || before->added >= giver->added) return {};
    giver = before;
  }
  return giver == nullptr ? std::string() : giver->owner;
}

bool has_key_from(const KeyBook& keys, std::string_view second, std::string_view asker) {
  const KnownKey* key = keys.in_force(second, "person");
  return key != nullptr && giver_of(keys, *key) == asker;
}

}  // namespace trayproof::people
