// Generated facilities (tests/reference), each asked for many periods: what is read for a period against what the whole
// record says of it, findings and the rows of a review. A difference prints the seed and the period.
#include <cstdio>
#include <cstdlib>
#include <map>

#include "ledger/links/links.h"
#include "ledger/sop/default.h"
#include "report/gaps/recall_changes.h"
#include "report/gaps/recall_work.h"
#include "report/review/material.h"
#include "report/review/review.h"
#include "tests/reference/dice.h"
#include "tests/reference/real_ledger.h"
#include "tests/report/gaps/told_whole.h"
#include "tests/support/test.h"

namespace trayproof::tests {
namespace {

std::string joined(const std::vector<std::string>& items) {
  std::string out;
  for (const std::string& one : items) out += " " + one + ";";
  return out;
}

std::string ms(const std::optional<Instant>& at) { return at ? std::to_string(at->ms) : "-"; }

// What the sheets of a review say.
std::string told_rows(const review::Material& material) {
  std::string out;
  const auto line = [&](const std::vector<std::string>& items) { out += joined(items) + "\n"; };
  for (const auto& row : review::case_rows(material)) {
    line({"case", row.procedure, ms(row.at), joined(row.gaps)});
    for (const auto& pack : row.packs)
      line({pack.pack, pack.set, pack.load, pack.verdict, pack.hold, pack.indicator, pack.biological, pack.release,
            pack.solution});
  }
  for (const auto& row : review::load_rows(material))
    line({"load", row.load, row.method, row.cycle, std::to_string(row.packs), row.indicators, row.biological,
          row.decision, joined(row.gaps)});
  for (const auto& row : review::solution_rows(material))
    line({"solution", row.solution, row.tests, std::to_string(row.uses), ms(row.first_use), ms(row.last_use),
          ms(row.end_of_life), joined(row.gaps)});
  for (const auto& row : review::indicator_rows(material))
    line({"indicator", std::to_string(row.seq), row.pack, row.load, row.type, row.result});
  for (const auto& row : review::person_rows(material))
    line({"person", row.person, row.skill, std::to_string(row.times), std::to_string(row.days_without)});
  for (const auto& row : review::equipment_rows(material))
    line({"equipment", row.equipment, row.check, row.result, std::to_string(row.runs), std::to_string(row.runs_past)});
  for (const auto& row : review::measure_rows(material))
    line({"measure", row.measure, std::to_string(row.count), std::to_string(row.looked_at),
          std::to_string(row.cannot_tell)});
  for (const auto& row : review::machine_days(material))
    line({"day", row.equipment, ms(row.day), std::to_string(row.loads), std::to_string(row.negatives),
          std::to_string(row.void_ones), std::to_string(row.open_ones), std::to_string(static_cast<int>(row.late)),
          row.days_since ? std::to_string(*row.days_since) : "-"});
  for (const auto& row : review::hold_points(material)) line({"hold", row.equipment, row.load, ms(row.at)});
  for (const auto& row : review::gap_rows(material))
    line({"gap", row.rule, row.subject, ms(row.at), row.state, std::to_string(row.days_open)});
  return out;
}

template <typename T>
T must(Result<T> result, std::uint64_t seed) {
  if (!result.ok()) {
    std::fprintf(stderr, "seed %llu: %s\n", static_cast<unsigned long long>(seed), result.error().sentence().c_str());
    std::abort();
  }
  return std::move(result).value();
}

class Facility {
 public:
  explicit Facility(std::uint64_t seed) : seed_(seed), world_(made(seed)), clock_(world_.opened), ledger_(recorded()) {}

  const reference::World& world() const { return world_; }
  links::Links& tables() {
    if (!tables_) tables_.emplace(must(links::Links::derive_in_memory(ledger_, {}), seed_));
    return *tables_;
  }
  gaps::Facts facts(std::optional<Instant> from, std::optional<Instant> until) {
    return must(gaps::read_facts(tables().database(), {.editions = must(ledger_.editions(), seed_),
                                                       .what_if = {},
                                                       .now = world_.now,
                                                       .from = from,
                                                       .until = until,
                                                       .recall_answers = review::kept_answers(ledger_),
                                                       .recall_again = gaps::recall_again(ledger_, tables()),
                                                       .recall_work = gaps::recall_work(ledger_, tables())}),
                seed_);
  }
  // Findings of the period, and the rows of its review.
  std::string told(const gaps::Facts& facts, const gaps::Findings& in_period, const review::Period& period) {
    const gaps::Findings ever = gaps::find_gaps(facts, {});
    const review::FindingIndex index(ever.gaps);
    const auto negatives = must(review::ValidNegatives::read(tables().database(), facts), seed_);
    const std::vector<review::JudgingEdition> judging;
    return told_whole(in_period) + "\n" +
           told_rows({.ledger = ledger_,
                      .tables = tables(),
                      .facts = facts,
                      .in_period = in_period,
                      .ever = index,
                      .negatives = negatives,
                      .editions = judging,
                      .period = period});
  }

 private:
  static reference::World made(std::uint64_t seed) {
    reference::World world = reference::make_world(
        seed, reference::first_line_seq, seed % 2 == 0 ? reference::Curves::written : reference::Curves::none);
    world.sop_toml = sop::default_sop();
    return world;
  }
  Ledger recorded() { return must(reference::ledger_of(world_, folder_.file("world.trayproof"), clock_), seed_); }

  std::uint64_t seed_;
  reference::World world_;
  reference::Folder folder_;
  reference::SetClock clock_;
  Ledger ledger_;
  std::optional<links::Links> tables_;
};

// The first lines that differ.
std::string difference(const std::string& found, const std::string& expected) {
  std::size_t at = 0;
  while (at < found.size() && at < expected.size() && found[at] == expected[at]) ++at;
  const auto line = [&](const std::string& text) {
    const std::size_t begin = text.rfind('\n', at == 0 ? 0 : at - 1);
    return text.substr(begin == std::string::npos ? 0 : begin + 1, 300);
  };
  return "by period: " + line(found) + "\nwhole: " + line(expected);
}

}  // namespace

TEST_CASE("periods of generated facilities read by themselves") {
  const char* only = std::getenv("TRAYPROOF_SEED");
  const std::uint64_t first = only != nullptr ? std::strtoull(only, nullptr, 10) : 1;
  const std::uint64_t last = only != nullptr ? first : 60;
  std::printf("periods of worlds with seeds %llu to %llu\n", static_cast<unsigned long long>(first),
              static_cast<unsigned long long>(last));
  std::map<std::string, int> fired;
  int differing = 0;
  for (std::uint64_t seed = first; seed <= last && differing < 5; ++seed) {
    Facility facility(seed);
    reference::Dice dice(seed * 7919);
    const std::int64_t length = facility.world().now.ms - facility.world().opened.ms;
    for (int i = 0; i < 8; ++i) {
      const Instant from{facility.world().opened.ms + dice.between(0, length)};
      const Instant until{from.ms + dice.between(0, length / (1 + i))};
      const gaps::Question question{.from = from, .until = until, .rule = {}, .severity = {}, .what_if = {}};
      const review::Period period{from, until};
      const gaps::Facts whole = facility.facts({}, until);
      const gaps::Facts near = facility.facts(from, until);
      const gaps::Findings in_period = gaps::find_gaps(near, question);
      const std::string expected = facility.told(whole, gaps::find_gaps(whole, question), period);
      const std::string found = facility.told(near, in_period, period);
      // One look says both.
      auto [of_one_look, ever] = gaps::find_gaps_ever(near, question);
      CHECK(told_whole(of_one_look) == told_whole(in_period));
      gaps::Findings whenever = gaps::find_gaps(near, {});
      const std::string told_whenever = told_whole(whenever);
      whenever.gaps = std::move(ever);
      CHECK(told_whole(whenever) == told_whenever);
      if (found != expected) {
        ++differing;
        FAIL_CHECK("seed " << seed << ", " << format_date_time({from, 0}) << " to " << format_date_time({until, 0})
                           << "\n"
                           << difference(found, expected));
        break;
      }
      for (const gaps::Finding& one : in_period.gaps) ++fired[std::string(one.rule->id)];
    }
  }
  std::printf("%zu rules found something\n", fired.size());
  CHECK(differing == 0);
}

}  // namespace trayproof::tests
