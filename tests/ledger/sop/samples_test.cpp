// The shipped editions: each can be read, none is confirmed, each limit has its source beside it, and the page that
// describes the keys knows exactly the keys that the reader takes.
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "ledger/sop/default.h"
#include "ledger/sop/keys.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

std::string file(const std::string& path) {
  std::ifstream in(std::string(TRAYPROOF_SOURCE_DIR) + "/" + path, std::ios::binary);
  REQUIRE(in.good());
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

sop::Sop edition(const std::string& name) {
  auto read = sop::read(file("samples/sop/" + name + ".toml"));
  INFO((read.ok() ? std::string() : read.error().sentence()));
  REQUIRE(read.ok());
  return std::move(read).value();
}

const std::vector<std::string> names = {"labour-room", "clean-first", "theatre-strict"};

}  // namespace

TEST_CASE("every shipped edition can be read and is not confirmed") {
  for (const std::string& name : names) {
    CAPTURE(name);
    const sop::Sop sop = edition(name);
    CHECK(!sop.confirmed);
    CHECK(!sop.title.empty());
    CHECK(!sop.edition.empty());
    for (const auto& program : sop.steam_programs) CHECK(program.f0_min.value_or(12) == 12);
  }
}

TEST_CASE("the shipped editions differ where programmes conflict") {
  const sop::Sop labour = edition("labour-room");
  const sop::Sop clean = edition("clean-first");
  const sop::Sop theatre = edition("theatre-strict");
  CHECK(labour.decontamination.mode == sop::SoakMode::required);
  CHECK(clean.decontamination.mode == sop::SoakMode::forbidden);
  CHECK_EQ(labour.shelf.at("wrapped").days, 7.0);
  CHECK(clean.shelf.at("wrapped").until_damaged);
  CHECK_EQ(clean.biological_days, 7.0);
  CHECK(clean.recall_policy == sop::RecallPolicy::repeat_first);
  CHECK_EQ(theatre.program_for(134)->temperature_c, 134);
  CHECK(theatre.air_removal == true);
  CHECK(theatre.release_second_person == true);
}

// Published times (check-values: Jhpiego/IARC manual table C-1; CDC 2008 table 7; EN 285).
TEST_CASE("the shipped hold times are the published ones") {
  CHECK_EQ(edition("labour-room").program_for(121)->hold_minutes_wrapped, 30.0);
  CHECK_EQ(edition("labour-room").program_for(121)->hold_minutes_unwrapped, 20.0);
  CHECK_EQ(edition("clean-first").program_for(132)->hold_minutes_wrapped, 15.0);
  CHECK_EQ(edition("theatre-strict").program_for(134)->hold_minutes_wrapped, 3.0);
  CHECK_EQ(edition("theatre-strict").program_for(121)->hold_minutes_wrapped, 15.0);
}

TEST_CASE("the edition in the program has the bytes of the sample") {
  CHECK(sop::default_sop() == file("samples/sop/labour-room.toml"));
}

TEST_CASE("each limit of a shipped edition has a comment beside it or above it") {
  for (const std::string& name : names) {
    std::istringstream lines(file("samples/sop/" + name + ".toml"));
    std::string table;
    std::string above;
    for (std::string line; std::getline(lines, line);) {
      const bool blank = line.empty();
      const bool comment = !blank && line.front() == '#';
      const bool heading = !blank && line.front() == '[';
      if (heading) table = line;
      const bool limit = !blank && !comment && !heading && table != "[sop]" && table != "[records]" &&
                         line.rfind("agent", 0) != 0 && table != "[[dry_heat.pair]]";
      const bool beside = line.find(" # ") != std::string::npos;
      const bool sourced = beside || above.rfind("#", 0) == 0;
      INFO(name << ": " << line);
      if (limit) CHECK(sourced);
      above = line;
    }
  }
}

TEST_CASE("docs and reader name the same keys") {
  const std::string page = file("docs/sop-format.md");
  std::size_t rows = 0;
  for (const sop::Key& key : sop::keys()) {
    const std::string cell = "| `" + std::string(key.table) + "." + std::string(key.name) + "` |";
    INFO(cell);
    CHECK(page.find(cell) != std::string::npos);
  }
  for (std::size_t at = page.find("\n| `"); at != std::string::npos; at = page.find("\n| `", at + 1)) ++rows;
  CHECK_EQ(rows, sop::keys().size());
}
