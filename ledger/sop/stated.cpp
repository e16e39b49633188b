#include "ledger/sop/stated.h"

#include "ledger/base/number.h"
#include "ledger/words/words.h"

namespace trayproof::sop {

std::string full_name(const Key& key, std::size_t element) {
  std::string name(key.table);
  if (element > 0) name += "[" + std::to_string(element) + "]";
  return name + "." + std::string(key.name);
}

std::optional<std::string> default_of(const Key& key) {
  const Sop untouched;
  if (key.table == "release" && key.name == "methods") return listed(untouched.release_methods);
  if (key.table == "records" && key.name == "clock_minutes") return shortest(untouched.records_clock_minutes);
  if (key.table == "recall" && key.name == "policy") {
    return untouched.recall_policy == RecallPolicy::at_once ? "at-once" : "repeat-first";
  }
  return std::nullopt;
}

}  // namespace trayproof::sop
