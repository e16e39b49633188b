// A real ledger takes the invented facilities whole, and the reference says the same of its entries as of the lines.
#include "tests/reference/real_ledger.h"

#include "tests/reference/recall_reference.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::reference;

namespace {

constexpr std::uint64_t worlds = 100;

// Without what differs between the two: the ledger replaces patient numbers by pseudonyms.
std::string without_people(json::Value answer) {
  for (const char* list : {"procedures", "handled_procedures"}) {
    for (json::Value& procedure : answer.find(list)->items()) {
      if (!procedure.find("patient")->is_null()) procedure.set("patient", "somebody");
      for (json::Value& newborn : procedure.find("newborns")->items()) newborn = "somebody";
    }
  }
  return json::canonical(answer);
}

}  // namespace

TEST_CASE("a ledger takes every invented world and its entries give the same answers as the lines") {
  const Folder folder;
  for (std::uint64_t seed = 1; seed <= worlds; ++seed) {
    INFO("seed ", seed);
    const World world = make_world(seed, first_line_seq, seed % 2 == 0 ? Curves::written : Curves::none);
    SetClock clock(world.opened);
    const auto ledger = ledger_of(world, folder.file(std::to_string(seed) + ".trayproof"), clock);
    REQUIRE_MESSAGE(ledger.ok(), (ledger.ok() ? "" : ledger.error().sentence()));
    const auto entries = entries_in(ledger.value());
    REQUIRE(entries.ok());
    for (const RecallRequest& request : world.requests) {
      INFO(shown(request));
      const auto of_lines = recall(entries_of(world), request);
      const auto of_entries = recall(entries.value(), request);
      REQUIRE(of_lines.ok() == of_entries.ok());
      if (of_lines.ok()) CHECK(without_people(of_lines.value()) == without_people(of_entries.value()));
    }
  }
}
