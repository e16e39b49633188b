// A power cut after every single step that the program makes on the disk, and whatever the disk may have kept of what
// was not yet synced: the ledger opens, verify finds nothing, everything that was acknowledged is there, and nothing
// stays by halves. The same harness over weaker settings must lose acknowledged events, or it proves nothing.
#include <chrono>
#include <memory>
#include <unordered_set>

#include "tests/crash/disk.h"
#include "tests/crash/opened_again.h"
#include "tests/crash/recording.h"
#include "tests/crash/story.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

// What was told to the caller: after so many steps on the disk this stood.
struct Acknowledged {
  std::size_t steps = 0;
  Standing standing;
};

struct Told {
  std::unique_ptr<Recording> recording;
  std::vector<Acknowledged> acknowledged;
};

// Lives through the morning in an empty folder; `settings` are put on the ledger's database once it is made.
Told live_through(const MemoryFolder& folder, const std::string& settings) {
  Told told{.recording = std::make_unique<Recording>(folder.path()), .acknowledged = {}};
  const Watching watching(*told.recording);
  // Asking the ledger what stands there changes nothing on the disk.
  const auto acknowledge = [&](Ledger& ledger) {
    told.acknowledged.push_back({told.recording->steps().size(), standing_of(ledger).value()});
  };
  SetClock clock(noon());
  auto ledger = Ledger::create(folder.file("ward"), creation(), clock);
  REQUIRE(ledger.ok());
  acknowledge(ledger.value());
  if (!settings.empty()) REQUIRE(ledger.value().file().database().run(settings).ok());
  for (const Step& step : morning()) {
    const auto done = step.act(ledger.value(), clock);
    REQUIRE_MESSAGE(done.ok(), step.name << ": " << (done.ok() ? "" : done.error().sentence()));
    acknowledge(ledger.value());
  }
  return told;
}

struct Tally {
  std::size_t steps = 0;
  std::size_t images = 0;
  std::size_t different = 0;
  std::size_t lost = 0;   // acknowledged and not there
  std::size_t other = 0;  // does not open, does not verify, by halves, derived tables wrong
  std::string first_fault;
};

Tally try_every_image(const Told& told, const std::vector<Unsynced>& treatments) {
  const MemoryFolder folder;
  Tally tally;
  Disk disk(told.recording->recorded());
  std::mt19937_64 dice(dice_seed());
  std::unordered_set<std::size_t> seen;
  TablesSeen tables_seen;
  std::size_t acknowledged = 0;
  const auto& steps = told.recording->steps();
  for (std::size_t step = 0; step <= steps.size(); ++step) {
    if (step > 0) disk.advance(steps[step - 1]);
    ++tally.steps;
    while (acknowledged < told.acknowledged.size() && told.acknowledged[acknowledged].steps <= step) ++acknowledged;
    const Standing before = acknowledged == 0 ? Standing{} : told.acknowledged[acknowledged - 1].standing;
    const Standing after = told.acknowledged[std::min(acknowledged, told.acknowledged.size() - 1)].standing;
    for (const Unsynced unsynced : treatments) {
      const Files image = disk.after_power_cut(unsynced, dice);
      ++tally.images;
      if (!seen.insert(print_of(image) * 31 + acknowledged).second) continue;
      ++tally.different;
      put_files(folder.path(), image);
      const Further further{.tables = &tables_seen, .append = tally.different % 16 == 0};
      const Fault fault = fault_in(folder.file("ward"), before, after, further);
      if (fault.what.empty()) continue;
      ++(fault.lost ? tally.lost : tally.other);
      if (tally.first_fault.empty())
        tally.first_fault = "step " + std::to_string(step) + ", treatment " +
                            std::to_string(static_cast<int>(unsynced)) + ": " + fault.what;
      if (tally.lost + tally.other > 2000) return tally;  // a canary has sung long enough
    }
  }
  return tally;
}

std::vector<Unsynced> treatments(std::size_t throws) {
  using enum Unsynced;
  std::vector<Unsynced> all = {kept, dropped, bytes_kept_names_dropped, bytes_dropped_names_kept};
  for (std::size_t i = 0; i < throws; ++i) {
    for (const Unsynced thrown : {torn, torn_and_rubbish, one_lost}) all.push_back(thrown);
  }
  return all;
}

std::string sentence(const Tally& tally) {
  return std::to_string(tally.images) + " images after " + std::to_string(tally.steps) + " steps, " +
         std::to_string(tally.different) + " of them different and tried, " + std::to_string(tally.lost) +
         " lost something acknowledged, " + std::to_string(tally.other) + " with another fault" +
         (tally.first_fault.empty() ? "" : " (first: " + tally.first_fault + ")");
}

}  // namespace

TEST_CASE("after a power cut at any step everything acknowledged is there and nothing stays by halves") {
  const MemoryFolder folder;
  const Told told = live_through(folder, "");
  const auto began = std::chrono::steady_clock::now();
  const Tally tally = try_every_image(told, treatments(rounds_or(1)));
  const double took = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
  MESSAGE(sentence(tally), "; dice begin at ", dice_seed(), ", ", took, " s");
  CHECK(tally.different > 1000);
  CHECK_EQ(tally.lost, 0U);
  CHECK_EQ(tally.other, 0U);
}

TEST_CASE("what is seen after a kill at any step is still there after a power cut that follows") {
  const MemoryFolder folder;
  const Told told = live_through(folder, "");
  const MemoryFolder left;
  std::mt19937_64 dice(dice_seed());
  Disk disk(told.recording->recorded());
  std::size_t tried = 0;
  for (const DiskStep& step : told.recording->steps()) {
    disk.advance(step);
    // Without an unsynced removal or making of a name the first test has shown it already.
    if (step.sort != CallSort::remove && step.sort != CallSort::rename && step.sort != CallSort::create) continue;
    put_files(left.path(), disk.after_power_cut(Unsynced::kept, dice));
    Recording going_on(left.path());
    Standing seen;
    {
      const Watching watching(going_on);
      SetClock clock(noon());
      auto ledger = Ledger::open(left.file("ward"), clock);
      if (ledger.ok()) seen = standing_of(ledger.value()).value();
    }
    Disk after = disk;
    after.advance_all_of(going_on.recorded());
    put_files(left.path(), after.after_power_cut(Unsynced::dropped, dice));
    const Fault fault = fault_in(left.file("ward"), seen, seen, {});
    CHECK_MESSAGE(fault.what.empty(), fault.what);
    ++tried;
  }
  MESSAGE(tried, " kills followed by a power cut");
  CHECK(tried > 20);
}

TEST_CASE("the same with weaker settings loses what was acknowledged") {
  struct Weaker {
    const char* settings;
    std::vector<Unsynced> treatments;
  };
  using enum Unsynced;
  const Weaker weaker[] = {
      {"PRAGMA journal_mode = WAL; PRAGMA synchronous = NORMAL", {dropped, torn}},
      {"PRAGMA synchronous = OFF", {dropped, torn}},
      {"PRAGMA synchronous = FULL", {bytes_kept_names_dropped, torn}},
  };
  for (const Weaker& one : weaker) {
    const MemoryFolder folder;
    const Told told = live_through(folder, one.settings);
    const Tally tally = try_every_image(told, one.treatments);
    MESSAGE(std::string(one.settings), ": ", sentence(tally));
    CHECK(tally.lost > 0);
  }
}
