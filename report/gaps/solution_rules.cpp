// Rules about soaks and about the tests of solutions.
#include <optional>

#include "report/gaps/families.h"
#include "report/gaps/looking.h"

namespace trayproof::gaps {
namespace {

// A soak's length as far as the record tells it.
std::optional<Elapsed> length(const Soak& soak) {
  if (!soak.end) return std::nullopt;
  return elapsed(soak.record->at, *soak.end);
}

Seqs seqs_of(const Soak& soak) {
  Seqs out{soak.record->seq};
  if (soak.end_seq) out.push_back(*soak.end_seq);
  return out;
}

template <typename LimitOf, typename IsGap>
void look_at_lengths(const Facts& facts, Looked& looked, LimitOf limit_of, IsGap is_gap) {
  for (const Soak& soak : facts.soaks) {
    const auto limit = limit_of(facts.sop_at(soak.record->at).decontamination);
    if (!limit) {
      looked.not_stated(soak.record->at.at);
      continue;
    }
    const auto time = length(soak);
    if (!time) {
      looked.cannot_tell(soak.record->at.at, soak.record->text("set"));
      continue;
    }
    looked.say(is_gap(*time, *limit), soak.end->at, soak.record->text("set"), [&] {
      return Gap{.at = soak.end->at,
                 .found = between(soak.record->at, *soak.end, minute_ms),
                 .limit = *limit,
                 .rests_on = seqs_of(soak)};
    });
  }
}

// soak-too-short: a soak shorter than the SOP's least time.
// Why: the contact time is what makes handling safe. Example: nine minutes where ten are asked for.
// Limits: decontamination.soak_minutes_min. Source: 10 min, maternal and newborn skills course, p. 28.
void soak_too_short(const Facts& facts, Looked& looked) {
  look_at_lengths(
      facts, looked, [](const sop::Decontamination& one) { return one.soak_minutes_min; },
      [](const Elapsed& time, double limit) { return shorter(time, limit, minute_ms); });
}

// soak-too-long: a soak longer than the SOP's longest time.
// Why: chlorine eats steel. Example: left in the bucket over the change of shift.
// Limits: decontamination.soak_minutes_max. Source: common practice, no source.
void soak_too_long(const Facts& facts, Looked& looked) {
  look_at_lengths(
      facts, looked, [](const sop::Decontamination& one) { return one.soak_minutes_max; },
      [](const Elapsed& time, double limit) { return longer(time, limit, minute_ms); });
}

// soak-never-closed: a soak with no end recorded. While the longest time that the SOP allows is not over it holds.
// Why: nobody can say how long it lasted. Example: taken out at the change of shift, not written down.
// Limits: decontamination.soak_minutes_max, only to leave a running soak alone. Source: common practice, no source.
void soak_never_closed(const Facts& facts, Looked& looked) {
  for (const Soak& soak : facts.soaks) {
    Told gap = told(!soak.end);
    if (!soak.end && soak.record->mark("until") == Mark::not_known) gap = Told::open;
    const auto limit = facts.sop_at(soak.record->at).decontamination.soak_minutes_max;
    if (!soak.end && limit) gap = gap && later(When::exactly(facts.now), after(soak.record->at, *limit, minute_ms));
    looked.say(gap, soak.record->at.at, soak.record->text("set"),
               [&] { return Gap{.at = soak.record->at.at, .rests_on = {soak.record->seq}}; });
  }
}

void look_at_turns(const Facts& facts, Looked& looked, sop::SoakMode mode, Told gap_when) {
  for (const auto& [id, pack] : facts.packs) {
    if (pack.packed == nullptr) continue;
    const When& at = pack.packed->at;
    const auto asked = facts.sop_at(at).decontamination.mode;
    if (!asked) looked.not_stated(at.at);
    if (asked != mode) continue;
    const Told soaked = turn_has(pack, "soaked");
    const Told gap = soaked == Told::open ? Told::open : told(soaked == gap_when);
    looked.say(gap, at.at, id, [&, &one = pack] {
      Gap out{.at = at.at, .rests_on = {one.packed->seq}};
      for (const TurnStep& step : one.turn) {
        if (step.record->kind->name == "soaked") out.rests_on.push_back(step.record->seq);
      }
      return out;
    });
  }
}

// soak-missing: the turn of a pack has no soak, and the SOP wants one.
// Why: the set was cleaned by hand before it was safe to handle. Example: rinsed and packed in a hurry.
// Limits: decontamination.mode. Source: maternal and newborn skills course, p. 28.
void soak_missing(const Facts& facts, Looked& looked) {
  look_at_turns(facts, looked, sop::SoakMode::required, Told::no);
}

// soak-forbidden: the turn of a pack has a soak, and the SOP forbids it.
// Why: blood uses the chlorine up, and steel corrodes. Example: the old bucket is still filled.
// Limits: decontamination.mode. Source: WHO/PAHO 2016, from memory.
void soak_forbidden(const Facts& facts, Looked& looked) {
  look_at_turns(facts, looked, sop::SoakMode::forbidden, Told::yes);
}

// soak-past-life: some part of a soak lies after the end of the solution's life, or after it was discarded.
// Why: chlorine decays. Example: yesterday's bucket at nine in the morning.
// Limits: the solution's `expires`, else decontamination.life_hours. Source: "changed daily or when dirty", maternal
// and newborn skills course, p. 28.
void soak_past_life(const Facts& facts, Looked& looked) {
  for (const Soak& soak : facts.soaks) {
    LifeEnd life{std::nullopt, true};
    const Record* discarded = nullptr;
    if (soak.solution != nullptr) {
      life = life_end(facts, *soak.solution);
      discarded = soak.solution->discarded;
    }
    if (!life.end && !life.unknown && discarded == nullptr) {
      looked.not_stated(soak.record->at.at);
      continue;
    }
    // Of the two ends the earlier; where one is unknown the other may still show a gap.
    Told gap = life.unknown ? Told::open : Told::no;
    std::optional<When> over;
    const auto look = [&](const When& end) {
      // An open soak may have gone on past it.
      const Told here = soak.end ? later(*soak.end, end) : (later(soak.record->at, end) || Told::open);
      if (here == Told::yes && (!over || end.at < over->at)) over = end;
      gap = gap || here;
    };
    if (life.end) look(*life.end);
    if (discarded != nullptr) look(discarded->at);
    looked.say(gap, soak.record->at.at, soak.record->text("set"), [&] {
      Gap out{
          .at = std::max(over->at, soak.record->at.at),
          .found = soak.end ? json::Value(local(facts, soak.end->at)) : json::Value(local(facts, soak.record->at.at)),
          .limit = local(facts, over->at),
          .rests_on = seqs_of(soak)};
      if (soak.solution->prepared != nullptr) out.rests_on.push_back(soak.solution->prepared->seq);
      if (discarded != nullptr) out.rests_on.push_back(discarded->seq);
      return out;
    });
  }
}

// A use of a solution: a soak or a chemical load.
struct SolutionUse {
  When at;
  std::int64_t seq = 0;
};
std::vector<SolutionUse> uses_of(const Solution& solution) {
  std::vector<SolutionUse> out;
  for (const Soak* soak : solution.soaks) out.push_back({soak->record->at, soak->record->seq});
  for (const Load* load : solution.loads) out.push_back({load->start(), load->started->seq});
  std::stable_sort(out.begin(), out.end(),
                   [](const SolutionUse& a, const SolutionUse& b) { return a.at.at < b.at.at; });
  return out;
}

// Whether, and how, the SOP wants a solution tested. Soaks tell what a solution is for whose preparation is not
// recorded.
enum class Wanted { no, each_batch, each_day, unknown, not_stated };
Wanted test_wanted(const Solution& solution, const sop::Sop& sop) {
  if (solution.prepared == nullptr && solution.soaks.empty()) return Wanted::unknown;
  if (solution.prepared == nullptr || solution.use() == "decontamination") {
    if (!sop.decontamination.test) return Wanted::not_stated;
    return *sop.decontamination.test ? Wanted::each_batch : Wanted::no;
  }
  if (solution.use().empty() || solution.agent().empty()) return Wanted::unknown;
  const sop::Disinfectant* agent = disinfectant_of(solution, sop);
  if (agent == nullptr || !agent->test) return Wanted::not_stated;
  switch (*agent->test) {
    case sop::TestRule::each_day:
      return Wanted::each_day;
    case sop::TestRule::each_batch:
      return Wanted::each_batch;
    case sop::TestRule::none:
      return Wanted::no;
  }
  CHECK(false);
}

// The preparation, where nothing else tells what the solution is for.
Seqs preparation_needed(const Solution& solution) {
  const bool told_by_soaks = !solution.soaks.empty() && solution.use() == "decontamination";
  if (solution.prepared == nullptr || told_by_soaks) return {};
  return {solution.prepared->seq};
}

// What has to be tested once: a solution, or with `each-day` a day on which it was used.
struct Stretch {
  std::vector<SolutionUse> uses;
  Records tests;
};
std::vector<Stretch> stretches(const Facts& facts, const Solution& solution, Wanted wanted) {
  const auto uses = uses_of(solution);
  if (wanted != Wanted::each_day) return {{uses, solution.tests}};
  std::map<CivilDate, Stretch> days;
  for (const SolutionUse& use : uses) days[facts.day(use.at.at)].uses.push_back(use);
  for (const Record* test : solution.tests) {
    const auto day = days.find(facts.day(test->at.at));
    if (day != days.end()) day->second.tests.push_back(test);
  }
  std::vector<Stretch> out;
  for (auto& [day, stretch] : days) out.push_back(std::move(stretch));
  return out;
}

template <typename Look>
void look_at_tests(const Facts& facts, Looked& looked, Look look) {
  for (const auto& [id, solution] : facts.solutions) {
    const auto uses = uses_of(solution);
    if (uses.empty()) continue;
    const Wanted wanted = test_wanted(solution, facts.sop_at(uses.front().at));
    if (wanted == Wanted::not_stated) looked.not_stated(uses.front().at.at);
    if (wanted == Wanted::unknown) looked.cannot_tell(uses.front().at.at, id);
    if (wanted != Wanted::each_batch && wanted != Wanted::each_day) continue;
    for (const Stretch& stretch : stretches(facts, solution, wanted)) look(solution, stretch);
  }
}

// solution-untested: a solution was used, and no test of it before its last use is recorded, where the SOP wants one.
// With `each-day` each day of use by itself. Why: nobody knows its strength. Example: no strip on Sunday. Limits:
// decontamination.test, disinfectant.test. Source: common practice, no source.
void solution_untested(const Facts& facts, Looked& looked) {
  look_at_tests(facts, looked, [&](const Solution& solution, const Stretch& stretch) {
    Told tested = Told::no;
    for (const Record* test : stretch.tests) tested = tested || !later(test->at, stretch.uses.back().at);
    const SolutionUse& first = stretch.uses.front();
    looked.say(!tested, first.at.at, solution.id, [&] {
      Gap out{.at = first.at.at, .rests_on = {first.seq}};
      add(out.rests_on, preparation_needed(solution));
      if (solution.prepared != nullptr) out.beside = {solution.prepared->seq};
      return out;
    });
  });
}

// solution-tested-late: the first test came after the first use. With `each-day` each day of use by itself.
// Why: what was soaked before it went into a solution of unknown strength. Example: tested at noon, used since six.
// Limits: decontamination.test, disinfectant.test. Source: common practice, no source.
void solution_tested_late(const Facts& facts, Looked& looked) {
  look_at_tests(facts, looked, [&](const Solution& solution, const Stretch& stretch) {
    const SolutionUse& first = stretch.uses.front();
    if (stretch.tests.empty()) return;
    Told in_time = Told::no;
    for (const Record* test : stretch.tests) in_time = in_time || !later(test->at, first.at);
    looked.say(!in_time, first.at.at, solution.id, [&] {
      const Record& test = *stretch.tests.front();
      const Record& entered_first = **std::min_element(
          stretch.tests.begin(), stretch.tests.end(), [](const Record* a, const Record* b) { return a->seq < b->seq; });
      Gap out{.at = first.at.at,
              .found = local(facts, test.at.at),
              .limit = local(facts, first.at.at),
              .rests_on = {first.seq, entered_first.seq},
              .beside = {test.seq}};
      for (const std::int64_t seq : preparation_needed(solution)) presuppose(out, seq);
      return out;
    });
  });
}

struct Strength {
  std::optional<double> least;
  std::optional<double> most;
  bool unknown = false;  // the record does not tell which limit applies
};
Strength strength_of(const Solution& solution, const sop::Sop& sop) {
  if (solution.use() == "decontamination" || (solution.prepared == nullptr && !solution.soaks.empty())) {
    return {sop.decontamination.percent_min, sop.decontamination.percent_max, false};
  }
  if (solution.use().empty() || solution.agent().empty()) return {std::nullopt, std::nullopt, true};
  const sop::Disinfectant* agent = disinfectant_of(solution, sop);
  if (agent == nullptr) return {};
  return {agent->percent_min, agent->percent_max, false};
}

// Weak (yes), good (no), or not to be told: no limit, or no result.
Told is_weak(const Record& test, const Strength& limits) {
  if (test.text("strip") == "fail") return Told::yes;
  const auto percent = test.number("percent");
  if (percent && limits.least) return told(*percent < *limits.least);
  return test.text("strip") == "pass" ? Told::no : Told::open;
}

// solution-weak: a solution was used after a test that found it too weak, with no good test in between. One finding for
// each such stretch; only tests before the use count.
// Why: it was known to be weak. Example: strip pale at six, soaks until noon.
// Limits: decontamination.percent_min, disinfectant.percent_min. Source: CDC 2008 guideline, table 4; the label goes
// first.
void solution_weak(const Facts& facts, Looked& looked) {
  for (const auto& [id, solution] : facts.solutions) {
    const auto uses = uses_of(solution);
    for (std::size_t i = 0; i < solution.tests.size(); ++i) {
      const Record& test = *solution.tests[i];
      const Strength limits = strength_of(solution, facts.sop_at(test.at));
      if (test.text("strip").empty() && test.has("percent") && !limits.least && !limits.unknown) {
        looked.not_stated(test.at.at);
        continue;
      }
      const Told weak = is_weak(test, limits);
      // A weak test right after another weak one belongs to the same stretch.
      if (i > 0 && weak == Told::yes &&
          is_weak(*solution.tests[i - 1], strength_of(solution, facts.sop_at(test.at))) == Told::yes)
        continue;
      std::size_t next = i + 1;
      while (weak == Told::yes && next < solution.tests.size() && is_weak(*solution.tests[next], limits) == Told::yes)
        ++next;
      const When* good = next < solution.tests.size() ? &solution.tests[next]->at : nullptr;
      Told used = Told::no;
      const SolutionUse* first = nullptr;
      for (const SolutionUse& use : uses) {
        Told here = !later(test.at, use.at);
        if (good != nullptr) here = here && later(*good, use.at);
        if (here == Told::yes && first == nullptr) first = &use;
        used = used || here;
      }
      looked.say(weak && used, test.at.at, id, [&, &one = solution] {
        Gap out{.at = first->at.at,
                .limit = limits.least ? json::Value(*limits.least) : json::Value(),
                .rests_on = {test.seq, first->seq}};
        const auto percent = test.number("percent");
        const bool by_percent = percent && limits.least && *percent < *limits.least;
        out.found = by_percent ? json::Value(*percent) : json::Value("strip fail");
        if (!one.use().empty() && one.use() != "decontamination") out.severity = Severity::critical;
        return out;
      });
    }
  }
}

// solution-strong: a test found more than the SOP's greatest strength.
// Why: corrosion, and harm to staff. Example: two measures of powder.
// Limits: decontamination.percent_max, disinfectant.percent_max. Source: common practice, no source.
void solution_strong(const Facts& facts, Looked& looked) {
  for (const auto& [id, solution] : facts.solutions) {
    for (const Record* test : solution.tests) {
      const Strength limits = strength_of(solution, facts.sop_at(test->at));
      const auto percent = test->number("percent");
      if (!limits.most && !limits.unknown) looked.not_stated(test->at.at);
      if (!percent || (!limits.most && !limits.unknown)) continue;
      const Told gap = limits.unknown ? Told::open : told(*percent > *limits.most);
      looked.say(gap, test->at.at, id, [&] {
        return Gap{.at = test->at.at, .found = *percent, .limit = *limits.most, .rests_on = {test->seq}};
      });
    }
  }
}

constexpr Rule rules[] = {
    {"soak-too-short", Severity::major, "set", soak_too_short},
    {"soak-too-long", Severity::minor, "set", soak_too_long},
    {"soak-never-closed", Severity::major, "set", soak_never_closed},
    {"soak-missing", Severity::major, "pack", soak_missing},
    {"soak-forbidden", Severity::minor, "pack", soak_forbidden},
    {"soak-past-life", Severity::major, "set", soak_past_life},
    {"solution-untested", Severity::major, "solution", solution_untested},
    {"solution-tested-late", Severity::major, "solution", solution_tested_late},
    {"solution-weak", Severity::major, "solution", solution_weak},
    {"solution-strong", Severity::minor, "solution", solution_strong},
};

}  // namespace

std::span<const Rule> solution_rules() { return rules; }

}  // namespace trayproof::gaps
