#include <vector>

#include "report/gaps/families.h"

namespace trayproof::gaps {

std::span<const Rule> catalogue() {
  static const std::vector<Rule> all = [] {
    std::vector<Rule> rules;
    for (const auto family :
         {use_rules(), pack_rules(), solution_rules(), disinfection_rules(), cleaning_rules(), cycle_rules(),
          load_rules(), indicator_rules(), equipment_rules(), record_rules(), ledger_rules()}) {
      rules.insert(rules.end(), family.begin(), family.end());
    }
    return rules;
  }();
  return all;
}

}  // namespace trayproof::gaps
