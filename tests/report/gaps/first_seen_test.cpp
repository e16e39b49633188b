// The day on which a finding could first have been seen: over every case of every rule, the record up to `first_seen`
// shows it and the record one entry shorter does not, looked at by the same clock. A finding that rests on a corrected
// entry dates from the correction, since it is the record as it stands that is judged: the entry before it may have
// shown the same.
#include <algorithm>
#include <cstdlib>
#include <string>

#include "tests/report/gaps/case_ledger.h"
#include "tests/support/test.h"

namespace trayproof::tests {
namespace {

constexpr std::int64_t first_edition_seq = 5;

bool shows(const gaps::Facts& facts, const gaps::Finding& wanted) {
  const gaps::Question question{
      .from = {}, .until = {}, .rule = std::string(wanted.rule->id), .severity = {}, .what_if = {}};
  const gaps::Findings found = gaps::find_gaps(facts, question);
  return std::any_of(found.gaps.begin(), found.gaps.end(), [&](const gaps::Finding& one) {
    return one.subject_kind == wanted.subject_kind && one.subject_id == wanted.subject_id && one.at == wanted.at;
  });
}

bool is_correction(const gaps::Facts& facts, std::int64_t seq) {
  const auto& corrections = facts.of("corrected");
  return std::any_of(corrections.begin(), corrections.end(), [&](const gaps::Record& one) { return one.seq == seq; });
}

}  // namespace

TEST_CASE("a finding is first seen at the entry that completes it") {
  const char* only = std::getenv("TRAYPROOF_GAP_CASES");
  int findings = 0;
  for (const std::string& path : case_files()) {
    if (only != nullptr && path.find(only) == std::string::npos) continue;
    for (const GapCase& one : read_gap_cases(path)) {
      CaseLedger ledger(one);
      const gaps::Facts facts = ledger.facts({}, {});
      for (const gaps::Finding& finding : gaps::find_gaps(facts, {}).gaps) {
        INFO(one.rule << ", " << one.name << ": " << finding.rule->id << " of " << finding.subject_kind << " "
                      << finding.subject_id << ", first seen at " << finding.first_seen);
        // Without an edition nothing is judged; what rests on the making of the ledger alone is seen with the first.
        const std::int64_t seen = std::max(finding.first_seen, first_edition_seq);
        CHECK(shows(ledger.facts_of_first(seen), finding));
        if (seen > first_edition_seq && !is_correction(facts, seen))
          CHECK_FALSE(shows(ledger.facts_of_first(seen - 1), finding));
        ++findings;
      }
    }
  }
  MESSAGE(findings << " findings");
}

}  // namespace trayproof::tests
