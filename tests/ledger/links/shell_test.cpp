// The queries of docs/tables.md run in the plain sqlite3 shell, and every table that the page names is there.
#include <cstdio>
#include <fstream>
#include <sstream>

#include "tests/ledger/links/story.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

std::string page() {
  std::ifstream file(TRAYPROOF_SOURCE_DIR "/docs/tables.md");
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

std::vector<std::string> queries_of(const std::string& text) {
  std::vector<std::string> queries;
  for (std::size_t at = text.find("```sql\n"); at != std::string::npos; at = text.find("```sql\n", at + 1)) {
    const std::size_t begin = at + 7;
    queries.push_back(text.substr(begin, text.find("```", begin) - begin));
  }
  return queries;
}

// What the shell prints, errors included.
std::string shell(const std::string& database, const std::string& script_path) {
  const std::string command = "sqlite3 -bail '" + database + "' < '" + script_path + "' 2>&1";
  std::FILE* pipe = ::popen(command.c_str(), "r");
  REQUIRE(pipe != nullptr);
  std::string out;
  char buffer[512];
  while (std::fgets(buffer, sizeof buffer, pipe) != nullptr) out += buffer;
  CHECK(::pclose(pipe) == 0);
  return out;
}

}  // namespace

TEST_CASE("the documented queries answer in the plain shell") {
  Story story;
  story.tell("soaked", "05T06:00", R"("set":"SET-1","solution":"S-0001")");
  story.tell("packed", "05T07:00", R"("pack":"P1","set":"SET-1","wrap":"wrapped")");
  story.tell("load-started", "05T08:00",
             R"("load":"L-0001","method":"steam-gravity","equipment":"AC-1","packs":["P1"])");
  story.tell("load-ended", "05T08:40", R"("load":"L-0001","complete":true)");
  const auto done =
      story.tell("procedure-done", "05T10:00", R"("procedure":"D1","sort":"delivery","place":"room 1","packs":["P1"])");
  story.links();
  const std::vector<std::string> queries = queries_of(page());
  const std::vector<std::string> expected = {
      "D1|2026-10-05T10:00:00+05:00|room 1|P1\n", "P1|SET-1|used|room 1|" + std::to_string(done) + "\n",
      "L-0001|steam-gravity|2026-10-05T08:00:00+05:00|2026-10-05T08:40:00+05:00|1\n", "2026-10|1|1\n", "P1|SET-1|D1\n"};
  REQUIRE(queries.size() == expected.size());
  for (std::size_t place = 0; place < queries.size(); ++place) {
    INFO(queries[place]);
    const std::string script = story.ward().folder().file("query.sql");
    std::ofstream(script) << queries[place];
    CHECK(shell(story.ward().path() + ".links", script) == expected[place]);
  }
}

TEST_CASE("docs/tables.md names every table of layer 2") {
  Story story;
  const std::string text = page();
  const std::string tables = story.ask(
      "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'"
      " AND sql NOT LIKE '%origin INTEGER PRIMARY KEY, seq INTEGER NOT NULL, at TEXT%'");
  std::istringstream names(tables);
  std::string name;
  int count = 0;
  while (names >> name) {
    ++count;
    INFO(name);
    CHECK(holds(text, "`" + name + "`"));
  }
  CHECK(count == 17);
}
