#include "ledger/people/rights.h"

#include "ledger/base/check.h"

namespace trayproof::people {
namespace {

using Roles = std::string_view;
constexpr Roles stewards[] = {"steward"};
constexpr Roles callers[] = {"nurse", "infection-control", "quality", "steward"};
constexpr Roles erasers[] = {"quality", "steward"};
constexpr Roles restorers[] = {"engineer", "steward"};
constexpr Roles rule_makers[] = {"infection-control", "quality", "steward"};

using enum Right;
using enum Without;
constexpr RightRow table[] = {
    {enrol, "enrol", stewards, refused_staffed},
    {retire_key, "retire-key", stewards, refused_staffed},
    {read_numbers, "read-numbers", callers, refused},
    {erase, "erase", erasers, refused},
    {restore, "restore", restorers, refused_staffed},
    {adopt_sop, "adopt-sop", rule_makers, refused_staffed},
    {confirm_sop, "confirm-sop", rule_makers, refused_staffed},
    {release, "release", {}, taken},
    {correct, "correct", {}, taken},
    {close_recall, "close-recall", rule_makers, taken},
};

}  // namespace

std::span<const RightRow> rights() { return table; }

const RightRow& row_of(Right right) {
  for (const RightRow& one : table) {
    if (one.right == right) return one;
  }
  CHECK(false);
  return table[0];
}

}  // namespace trayproof::people
