// The program's recall and the slow one, written apart from the same definition, on generated facilities. A difference
// prints the seed and the question, from which the world comes back.
#include <cstdlib>

#include "ledger/links/links.h"
#include "ledger/recall/recall.h"
#include "tests/reference/real_ledger.h"
#include "tests/reference/recall_reference.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::reference;

namespace {

constexpr std::uint64_t first_seed = 1;

// As many as are wanted: TRAYPROOF_WORLDS=20000 ./reference_tests
std::uint64_t worlds_wanted() {
  const char* wanted = std::getenv("TRAYPROOF_WORLDS");
  return wanted != nullptr ? std::strtoull(wanted, nullptr, 10) : 1000;
}

trayproof::recall::Request asked(const RecallRequest& request) {
  trayproof::recall::Request out;
  out.because = *trayproof::recall::because_of(request.because);
  out.load = request.load.value_or("");
  out.pack = request.pack.value_or("");
  out.equipment = request.equipment.value_or("");
  out.check = request.check.value_or("calibration");
  out.solution = request.solution.value_or("");
  out.lot = request.lot.value_or("");
  out.procedure = request.procedure.value_or("");
  out.loads = request.loads;
  out.packs = request.packs;
  out.why = request.why;
  out.at = request.at;
  out.as_of = request.as_of;
  out.known_at = request.known_at;
  return out;
}

// The first member in which the two differ, for a message that can be read.
std::string difference(const json::Value& program, const json::Value& slow) {
  for (const json::Member& member : slow.members()) {
    const json::Value* there = program.find(member.name);
    if (there == nullptr || *there != member.value) {
      return member.name + ": program " + (there == nullptr ? "nothing" : json::plain(*there)) + " | reference " + json::plain(member.value);
    }
  }
  return "the program says more than the reference: " + json::plain(program);
}

}  // namespace

TEST_CASE("the program and the slow recall agree on generated facilities") {
  const std::uint64_t worlds = worlds_wanted();
  std::printf("recall compared on worlds with seeds %llu to %llu\n", static_cast<unsigned long long>(first_seed),
              static_cast<unsigned long long>(first_seed + worlds - 1));
  std::size_t answers = 0;
  std::size_t differing = 0;
  for (std::uint64_t seed = first_seed; seed < first_seed + worlds && differing < 10; ++seed) {
    const Folder folder;
    const World world = make_world(seed, first_line_seq, seed % 2 == 0 ? Curves::written : Curves::none);
    SetClock clock(world.opened);
    const auto ledger = ledger_of(world, folder.file("world.trayproof"), clock);
    REQUIRE_MESSAGE(ledger.ok(), "seed " << seed);
    const auto entries = entries_in(ledger.value());
    auto tables = links::Links::open(ledger.value());
    REQUIRE(entries.ok());
    REQUIRE(tables.ok());
    REQUIRE(tables.value().catch_up().ok());
    for (const RecallRequest& request : world.requests) {
      const auto slow = trayproof::reference::recall(entries.value(), request);
      const auto editions = ledger.value().editions(request.known_at);
      REQUIRE(editions.ok());
      clock.set(request.now);
      const auto program = trayproof::recall::answer(asked(request), tables.value(), editions.value());
      ++answers;
      const auto told = [&] { return "seed " + std::to_string(seed) + " " + shown(request); };
      if (slow.ok() != program.ok()) {
        ++differing;
        FAIL_CHECK(told() << " program: " << (program.ok() ? "answers" : program.error().sentence())
                          << " | reference: " << (slow.ok() ? "answers" : slow.error().sentence()));
        continue;
      }
      if (!slow.ok()) continue;
      const json::Value shown_answer = trayproof::recall::to_json(program.value(), trayproof::recall::Timing::left_out);
      if (json::canonical(shown_answer) == json::canonical(slow.value())) continue;
      ++differing;
      FAIL_CHECK(told() << " " << difference(shown_answer, slow.value()));
    }
  }
  std::printf("%zu answers compared\n", answers);
  CHECK(differing == 0);
}
