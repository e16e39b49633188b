// Catching up after each portion of an invented facility's record gives what a fresh derivation gives, row for row.
#include "ledger/links/links.h"
#include "tests/reference/real_ledger.h"
#include "tests/reference/world.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::reference;

namespace {

constexpr std::uint64_t worlds = 30;

Ledger empty_ledger_of(const World& world, const std::string& path, reference::SetClock& clock) {
  Creation creation;
  creation.title = "Invented facility";
  creation.zone = world.zone;
  creation.altitude_m = 100;
  creation.sop_toml = world.sop_toml;
  auto ledger = Ledger::create(path, creation, clock);
  REQUIRE(ledger.ok());
  clock.set(world.now);
  return std::move(ledger).value();
}

}  // namespace

TEST_CASE("catching up in portions gives the same tables as deriving afresh") {
  const reference::Folder folder;
  std::int64_t corrections = 0;
  for (std::uint64_t seed = 1; seed <= worlds; ++seed) {
    INFO("seed ", seed);
    const World world = make_world(seed, first_line_seq, seed % 2 == 0 ? Curves::written : Curves::none);
    reference::SetClock clock(world.opened);
    Ledger ledger = empty_ledger_of(world, folder.file(std::to_string(seed) + ".trayproof"), clock);
    auto links = links::Links::open(ledger);
    REQUIRE(links.ok());
    // Portions of different sizes, now and then a single event.
    std::size_t next = 0;
    std::size_t portion = 1;
    while (next < world.events.size()) {
      std::vector<GivenEvent> given;
      for (; given.size() < portion && next < world.events.size(); ++next) given.push_back({0, world.events[next]});
      AppendOptions options;
      options.giver = events::Giver::program;
      options.same_content_repeats = false;
      const auto appended = ledger.append(std::move(given), options);
      REQUIRE(appended.ok());
      REQUIRE_MESSAGE(appended.value().refusals.empty(), appended.value().refusals.front().why);
      const auto caught_up = links.value().catch_up();
      REQUIRE_MESSAGE(caught_up.ok(), (caught_up.ok() ? "" : caught_up.error().sentence()));
      portion = portion % 7 + 1;
    }
    const auto difference = links.value().same_as_fresh();
    REQUIRE(difference.ok());
    if (difference.value())
      FAIL_CHECK(difference.value()->table, ": ", difference.value()->row,
                 difference.value()->fresh ? " (fresh)" : " (kept)");
    auto counted = links.value().statements().at("SELECT count(*) FROM corrections");
    REQUIRE(counted.ok());
    REQUIRE(links::first_row(*counted.value(), [&](store::Statement& row) { corrections += row.integer(0); }).ok());
  }
  CHECK(corrections > 50);
}
