// The invented facilities: acceptable line by line and as a whole, the same again from the same seed, and rich enough.
#include "tests/reference/world.h"

#include <map>
#include <set>
#include <string>

#include "ledger/events/draft.h"
#include "tests/reference/recall_reference.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::reference;

namespace {

constexpr std::uint64_t worlds = 300;

// Kinds of which an id may come only once, with the field that holds it.
const std::map<std::string, std::pair<std::string, std::string>> once = {
    {"packed", {"pack", "pack"}},
    {"pack-received", {"pack", "pack"}},
    {"load-started", {"load-started", "load"}},
    {"load-ended", {"load-ended", "load"}},
    {"procedure-done", {"procedure-done", "procedure"}},
    {"solution-prepared", {"solution-prepared", "solution"}}};

std::string first_double(const World& world) {
  std::set<std::string> seen;
  const auto last = world.first_seq + static_cast<std::int64_t>(world.events.size());
  for (const Happening& event : known_events(entries_of(world), last)) {
    const auto kind = once.find(event.kind);
    if (kind == once.end()) continue;
    const std::string id = kind->second.first + " " + event.text(kind->second.second).value_or("");
    if (!seen.insert(id).second) return id;
  }
  return "";
}

// A soak in a solution known to be for something else is refused.
std::string first_wrong_soak(const World& world) {
  std::map<std::string, std::string> uses;
  const Happenings events =
      known_events(entries_of(world), world.first_seq + static_cast<std::int64_t>(world.events.size()));
  for (const Happening& event : events) {
    if (event.kind == "solution-prepared")
      uses[*event.text("solution")] = event.text("use").value_or("decontamination");
  }
  for (const Happening& event : events) {
    if (event.kind != "soaked" || !event.text("solution")) continue;
    const auto use = uses.find(*event.text("solution"));
    if (use != uses.end() && use->second != "decontamination") return *event.text("solution");
  }
  return "";
}

}  // namespace

TEST_CASE("the same seed makes the same world") {
  const World one = make_world(7, 6, Curves::none);
  const World two = make_world(7, 6, Curves::none);
  CHECK(lines_of(one) == lines_of(two));
  CHECK(lines_of(one) != lines_of(make_world(8, 6, Curves::none)));
  CHECK(one.requests.size() == two.requests.size());
}

TEST_CASE("every invented event is one that a recorder may give") {
  for (std::uint64_t seed = 1; seed <= worlds; ++seed) {
    const World world = make_world(seed, 6, Curves::none);
    for (const json::Value& event : world.events) {
      const auto reading = events::read_draft(event, events::Giver::recorder);
      INFO("seed ", seed, ": ", json::plain(event));
      for (const events::Refusal& refusal : reading.refusals) FAIL_CHECK(refusal.field << ": " << refusal.why);
    }
    CHECK_MESSAGE(first_double(world) == "", "seed ", seed);
    CHECK_MESSAGE(first_wrong_soak(world) == "", "seed ", seed);
  }
}

TEST_CASE("an invented correction names an earlier event or its latest correction") {
  for (std::uint64_t seed = 1; seed <= worlds; ++seed) {
    const World world = make_world(seed, 6, Curves::none);
    std::map<std::int64_t, std::int64_t> original;
    std::map<std::int64_t, std::int64_t> latest;
    for (std::size_t i = 0; i < world.events.size(); ++i) {
      const auto seq = world.first_seq + static_cast<std::int64_t>(i);
      if (world.events[i].text_at("kind") != "corrected") continue;
      const auto of = static_cast<std::int64_t>(*world.events[i].number_at("of"));
      const auto known = original.find(of);
      const std::int64_t root = known == original.end() ? of : known->second;
      CHECK_MESSAGE(of < seq, "seed ", seed);
      CHECK_MESSAGE((of == root || latest[root] == of), "seed ", seed);
      original[seq] = root;
      latest[root] = seq;
    }
  }
}

TEST_CASE("invented worlds reach every standing and every part of an answer") {
  std::map<std::string, int> seen;
  std::map<std::string, int> with_loads;
  std::size_t events = 0;
  int answers = 0;
  for (std::uint64_t seed = 1; seed <= worlds; ++seed) {
    const World world = make_world(seed, 6, Curves::written);
    events += world.events.size();
    const auto entries = entries_of(world);
    for (const RecallRequest& request : world.requests) {
      const auto answer = recall(entries, request);
      if (!answer.ok()) {
        ++seen["refused"];
        continue;
      }
      ++answers;
      const json::Value& counts = *answer.value().find("counts");
      for (const json::Member& count : counts.members()) seen[count.name] += count.value.number() > 0 ? 1 : 0;
      if (*counts.number_at("packs") > 0) ++with_loads[request.because];
      const json::Value& window = *answer.value().find("window");
      seen["after"] += window.find("after")->is_null() ? 0 : 1;
      seen["before"] += window.find("before")->is_null() ? 0 : 1;
      const json::Value& policy = *answer.value().find("policy");
      seen["held back"] +=
          policy.find("at-once")->number_at("packs") != policy.find("repeat-first")->number_at("packs") ? 1 : 0;
      for (const json::Value& procedure : answer.value().find("procedures")->items()) {
        seen["more uses"] += procedure.find("uses")->items().size() > 1 ? 1 : 0;
        seen["kit only"] += procedure.find("uses")->items().empty() ? 1 : 0;
      }
      for (const json::Value& pack : answer.value().find("packs")->items()) {
        seen["told apart"] += pack.find("told_apart") != nullptr ? 1 : 0;
      }
    }
  }
  MESSAGE(worlds << " worlds, " << events << " events, " << answers << " answers");
  for (const auto& [what, times] : seen) {
    MESSAGE(what << " " << times);
    CHECK_MESSAGE(times >= 20, what);
  }
  for (const auto& [what, times] : with_loads) MESSAGE(what << " with packs " << times);
  CHECK(with_loads.size() == 10);
}
