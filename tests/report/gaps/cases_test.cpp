#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <set>

#include "tests/report/gaps/case_ledger.h"
#include "tests/report/gaps/told_whole.h"
#include "tests/support/test.h"

namespace trayproof::tests {
namespace {

std::string counted(const gaps::Count& count) {
  return std::to_string(count.subjects) + " looked at, " + std::to_string(count.gaps) +
         (count.gaps == 1 ? " gap, " : " gaps, ") + std::to_string(count.cannot_tell) + " cannot tell";
}

std::string spelt(const ExpectedGap& gap) {
  std::string out = gap.subject_kind + " " + gap.subject_id + " " + gap.at;
  for (const std::string& more : gap.more) out += " " + more;
  return out;
}

std::string one_word(const json::Value& value) {
  std::string out = value.is_text() ? value.text() : json::plain(value);
  std::replace(out.begin(), out.end(), ' ', '_');
  return out;
}

// As the case would write it: severity, state, found and limit only where the case names one.
std::string spelt(const gaps::Findings& findings, const gaps::Finding& one, const std::vector<ExpectedGap>& expected) {
  ExpectedGap out{one.subject_kind, one.subject_id, format_date_time(findings.zone.local(one.at)), {}};
  // The ledger's own id is another one each time.
  if (one.subject_kind == "ledger" || one.subject_kind == "facility") out.subject_id = "@ledger";
  for (const ExpectedGap& other : expected) {
    if (other.subject_id != out.subject_id || other.at != out.at) continue;
    for (const std::string& more : other.more) {
      if (more == gaps::word(one.severity) || more == gaps::word(one.state)) out.more.push_back(more);
      if (more.starts_with("found:")) out.more.push_back("found:" + one_word(one.found));
      if (more.starts_with("limit:")) out.more.push_back("limit:" + one_word(one.limit));
    }
    break;
  }
  return spelt(out);
}

std::string told(const GapCase& one) {
  std::string out = one.expected + "\n";
  for (const ExpectedGap& gap : one.gaps) out += spelt(gap) + "\n";
  return out;
}

std::string told(const gaps::Findings& findings, const GapCase& one) {
  std::string out = counted(findings.looked_at.at(0)) + "\n";
  for (const gaps::Finding& gap : findings.gaps) out += spelt(findings, gap, one.gaps) + "\n";
  return out;
}

}  // namespace

TEST_CASE("each case of a rule finds what it says") {
  // One file alone: TRAYPROOF_GAP_CASES=soak-too-short ./gap_tests
  const char* only = std::getenv("TRAYPROOF_GAP_CASES");
  for (const std::string& path : case_files()) {
    if (only != nullptr && path.find(only) == std::string::npos) continue;
    const auto cases = read_gap_cases(path);
    CHECK_MESSAGE(cases.size() >= 2, path);
    for (const GapCase& one : cases) {
      CHECK_MESSAGE(std::filesystem::path(path).stem() == one.rule, path);
      REQUIRE_MESSAGE(gaps::find_rule(one.rule) != nullptr, one.rule);
      CaseLedger ledger(one);
      const gaps::Findings findings = ledger.find();
      INFO(one.rule << ": " << one.name);
      CHECK(told(findings, one) == told(one));
      REQUIRE(findings.not_told);
      CHECK(static_cast<std::int64_t>(findings.not_told->size()) == findings.looked_at.at(0).cannot_tell);
      for (const gaps::NotTold& open : *findings.not_told) CHECK_FALSE(open.subject_id.empty());
      for (const gaps::Finding& gap : findings.gaps) {
        CHECK_FALSE(gap.seqs.empty());
        CHECK(std::find(gap.seqs.begin(), gap.seqs.end(), gap.first_seen) != gap.seqs.end());
        CHECK(gap.says.find('{') == std::string::npos);
      }
    }
  }
}

namespace {

// Ends of periods at which something may be cut in two: around everything that happened, and around the findings.
std::vector<Instant> cuts_of(const gaps::Facts& facts, const gaps::Findings& findings) {
  std::set<Instant> out;
  for (const gaps::Record* one : facts.by_origin) {
    if (one->kind->recordable()) out.insert(one->at.at);
  }
  for (const gaps::Finding& one : findings.gaps) out.insert(one.at);
  out.insert(facts.now);
  return {out.begin(), out.end()};
}

}  // namespace

// Each case of each rule, over many periods that begin and end right where things happen: what is read for a period
// says of it what the whole record says of it.
TEST_CASE("a period read by itself finds what the whole record finds of it") {
  const char* only = std::getenv("TRAYPROOF_GAP_CASES");
  std::map<std::string, int> fired;
  for (const gaps::Rule& rule : gaps::catalogue()) fired[std::string(rule.id)] = 0;
  int periods = 0;
  for (const std::string& path : case_files()) {
    if (only != nullptr && path.find(only) == std::string::npos) continue;
    for (const GapCase& one : read_gap_cases(path)) {
      CaseLedger ledger(one);
      const gaps::Facts whole = ledger.facts({}, {});
      const auto cuts = cuts_of(whole, gaps::find_gaps(whole, {}));
      // Each moment by itself, and from each some moments on.
      for (std::size_t i = 0; i < cuts.size(); ++i) {
        for (std::size_t j = i; j < cuts.size(); j += j == i ? 1 : 1 + (i + j) % 5) {
          const gaps::Question question{.from = cuts[i], .until = cuts[j], .rule = {}, .severity = {}, .what_if = {}};
          // The end of the period is what the shelf is looked at.
          gaps::Facts all = ledger.facts({}, cuts[j]);
          const gaps::Findings expected = gaps::find_gaps(all, question);
          const gaps::Findings found = gaps::find_gaps(ledger.facts(cuts[i], cuts[j]), question);
          INFO(one.rule << ": " << one.name << ", from " << format_date_time(whole.zone.local(cuts[i])) << " to "
                        << format_date_time(whole.zone.local(cuts[j])));
          REQUIRE(told_whole(found) == told_whole(expected));
          for (const gaps::Finding& gap : found.gaps) ++fired[std::string(gap.rule->id)];
          ++periods;
        }
      }
    }
  }
  MESSAGE(periods << " periods");
  for (const auto& [rule, times] : fired) {
    // That one needs the answer of a recall, which no case file has; find_test.cpp has one.
    if (only == nullptr && rule != "used-under-open-recall")
      CHECK_MESSAGE(times > 0, rule << " never found anything in a period");
  }
}

}  // namespace trayproof::tests
