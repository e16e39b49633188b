// The real program, killed at every single call by which it changes something on the disk, while it makes a ledger,
// records, imports, signs a checkpoint, verifies and derives: what is left opens and holds, the command given again
// does what it was asked for once, and nothing is there twice.
#include <filesystem>
#include <fstream>

#include "tests/crash/opened_again.h"
#include "tests/crash/program.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

// The same without what differs by chance from one run to the next.
Standing counts(Standing standing) {
  standing.head = {};
  return standing;
}

Standing standing_in(const MemoryFolder& folder) {
  SetClock clock(noon());
  auto ledger = Ledger::open(folder.file("ward"), clock);
  REQUIRE_MESSAGE(ledger.ok(), (ledger.ok() ? "" : ledger.error().sentence()));
  CHECK(ledger.value().writable());
  CHECK_EQ(fault_of(ledger.value()), "");
  CHECK_EQ(fault_of_tables(ledger.value()), "");
  return counts(standing_of(ledger.value()).value());
}

std::string lines() {
  std::string text;
  std::string packs;
  for (int i = 0; i < 6; ++i) {
    const std::string pack = "PK-" + std::to_string(i);
    text += R"({"kind":"packed","at":"2024-10-05T05:00:00+05:00","by":"ana","set":"S1","wrap":"wrapped","pack":")" +
            pack + "\"}\n";
    packs += (i == 0 ? "\"" : ",\"") + pack + "\"";
  }
  text += R"({"kind":"load-started","at":"2024-10-05T06:00:00+05:00","by":"ana","load":"L1","method":"steam-gravity",)"
          R"("equipment":"AC-1","packs":[)" +
          packs + "]}\n";
  text += R"({"kind":"procedure-done","at":"2024-10-05T09:00:00+05:00","by":"ana","procedure":"D1","sort":"delivery",)"
          R"("place":"room 1","packs":["PK-1"],"patient":"MRN-9001"})"
          "\n";
  return text;
}

struct Killed {
  long times = 0;
  long left_before = 0;
  long left_after = 0;
};

// Kills the command at each call in turn, beginning each time with the files as they are now.
Killed kill_everywhere(const MemoryFolder& folder, const MemoryFolder& aside, const std::vector<std::string>& command) {
  const Files start = files_in(folder.path());
  const Standing before = standing_in(folder);
  const Ran whole = run_program(folder, aside, command);
  REQUIRE_MESSAGE(whole.status == 0, whole.err);
  const Standing after = standing_in(folder);
  const Files end = files_in(folder.path());
  Killed killed;
  for (long at = 1;; ++at) {
    put_files(folder.path(), start);
    INFO(command.front(), ", call ", at);
    const Ran ran = run_program(folder, aside, command, at);
    if (!ran.killed) {
      CHECK_MESSAGE(ran.status == 0, ran.err);
      break;
    }
    ++killed.times;
    const Standing left = standing_in(folder);
    // A file is kept before the events that name it, in a commit of its own: alone it says nothing, and given again the
    // command takes it up.
    Standing file_alone = before;
    file_alone.attachments = after.attachments;
    CHECK_MESSAGE((left == before || left == after || left == file_alone), told(left), "; before ", told(before),
                  "; after ", told(after));
    // What it had told is there.
    if (!ran.out.empty()) CHECK(left == after);
    ++(left == after ? killed.left_after : killed.left_before);
    const Ran again = run_program(folder, aside, command);
    CHECK_MESSAGE(again.status == 0, again.err);
    const Standing finally = standing_in(folder);
    CHECK_MESSAGE(finally == after, told(finally), "; after ", told(after));
  }
  put_files(folder.path(), end);
  return killed;
}

void tell(const char* what, const Killed& killed) {
  MESSAGE(std::string(what), " killed ", killed.times, " times: ", killed.left_before, " as before, ",
          killed.left_after, " done");
  CHECK(killed.times > 0);
}

}  // namespace

TEST_CASE("a create killed at any call leaves a whole ledger or none and can be given again") {
  const MemoryFolder folder;
  const MemoryFolder aside;
  long whole = 0;
  long none = 0;
  long keys_only = 0;
  for (long at = 1;; ++at) {
    put_files(folder.path(), {});
    INFO("call ", at);
    const Ran ran = run_program(folder, aside, create_words(), at);
    if (!ran.killed) {
      CHECK_MESSAGE(ran.status == 0, ran.err);
      break;
    }
    if (std::filesystem::exists(folder.file("ward"))) {
      ++whole;
      CHECK_EQ(standing_in(folder).events, 5);
      continue;
    }
    ++none;
    CHECK(ran.out.empty());
    const Ran again = run_program(folder, aside, create_words());
    if (std::filesystem::exists(folder.file("ward"))) {
      CHECK_MESSAGE(again.status == 0, again.err);
    } else {
      // The key file stands alone: it is never overwritten, and the sentence says what to do.
      ++keys_only;
      CHECK_EQ(again.status, 4);
      CHECK(holds(again.err, "unfinished create; move it away first"));
      REQUIRE(std::filesystem::remove(folder.file("ward.keys")));
      CHECK_EQ(run_program(folder, aside, create_words()).status, 0);
    }
    CHECK_EQ(standing_in(folder).events, 5);
    for (const auto& [name, bytes] : files_in(folder.path())) {
      const bool expected = name == "ward" || name == "ward.keys" || name == "ward.links" || holds(name, ".new-");
      CHECK_MESSAGE(expected, name);
    }
  }
  MESSAGE("create killed ", whole + none, " times: ", whole, " whole, ", none, " none, of these ", keys_only,
          " with a key file alone");
  CHECK(whole > 0);
  CHECK(keys_only > 0);
}

TEST_CASE("a command killed at any call has done its work or nothing and can be given again") {
  const MemoryFolder folder;
  const MemoryFolder aside;
  std::ofstream(aside.file("lines")) << lines();
  std::ofstream(aside.file("curve")) << curve();
  REQUIRE_EQ(run_program(folder, aside, create_words()).status, 0);
  tell("record", kill_everywhere(folder, aside, {"record", "--from", aside.file("lines")}));
  tell("import", kill_everywhere(folder, aside, {"import", "curve", aside.file("curve"), "--equipment", "AC-1"}));
  tell("checkpoint", kill_everywhere(folder, aside, {"checkpoint"}));
  tell("verify", kill_everywhere(folder, aside, {"verify"}));
  tell("rebuild", kill_everywhere(folder, aside, {"rebuild"}));
}
