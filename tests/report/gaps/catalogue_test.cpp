#include <fstream>
#include <set>
#include <sstream>

#include "ledger/words/words.h"
#include "report/gaps/rule.h"
#include "tests/support/test.h"

namespace trayproof::tests {
namespace {

std::string text_of(const std::string& path) {
  std::ifstream file(std::string(TRAYPROOF_SOURCE_DIR) + path);
  REQUIRE(file.good());
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

// The ids that stand in the first column of the page's tables, in its order.
std::vector<std::string> ids_in_page() {
  std::istringstream page(text_of("/docs/gap-rules.md"));
  std::vector<std::string> ids;
  for (std::string line; std::getline(page, line);) {
    if (!line.starts_with("| `")) continue;
    const std::size_t end = line.find('`', 3);
    ids.push_back(line.substr(3, end - 3));
  }
  return ids;
}

}  // namespace

TEST_CASE("the page and the catalogue hold the same rules in the same order") {
  std::vector<std::string> ids;
  for (const gaps::Rule& rule : gaps::catalogue()) ids.emplace_back(rule.id);
  CHECK(ids == ids_in_page());
  CHECK(std::set<std::string>(ids.begin(), ids.end()).size() == ids.size());
}

TEST_CASE("the page tells the severity and the subject that the rule has") {
  const std::string page = text_of("/docs/gap-rules.md");
  for (const gaps::Rule& rule : gaps::catalogue()) {
    const std::size_t row = page.find("| `" + std::string(rule.id) + "` |");
    REQUIRE(row != std::string::npos);
    const std::string line = page.substr(row, page.find('\n', row) - row);
    INFO(line);
    CHECK(line.find("| " + std::string(gaps::word(rule.severity))) != std::string::npos);
    CHECK(line.find("| " + std::string(rule.subject)) != std::string::npos);
  }
}

TEST_CASE("each rule has its words and its cases and its own comment beside the code") {
  std::string code;
  for (const char* family : {"use", "pack", "solution", "disinfection", "cleaning", "cycle", "load", "indicator",
                             "equipment", "record", "ledger"}) {
    code += text_of(std::string("/report/gaps/") + family + "_rules.cpp");
  }
  for (const gaps::Rule& rule : gaps::catalogue()) {
    const std::string id(rule.id);
    CHECK_MESSAGE(std::ifstream(std::string(TRAYPROOF_SOURCE_DIR) + "/tests/cases/gaps/" + id + ".txt").good(), id);
    CHECK_MESSAGE(has_word("gaps." + id + ".title"), id);
    CHECK_MESSAGE(has_word("gaps." + id + ".says"), id);
    CHECK_MESSAGE(has_word("gaps." + id + ".closes"), id);
    const std::size_t comment = code.find("// " + id + ": ");
    REQUIRE_MESSAGE(comment != std::string::npos, id);
    std::string told = code.substr(comment, code.find("\nvoid ", comment) - comment);
    for (std::size_t end = told.find("\n//"); end != std::string::npos; end = told.find("\n//")) told.erase(end, 3);
    for (const char* part : {"Why: ", "Example: ", "Limits: ", "Source: "}) {
      INFO(id << " " << part);
      CHECK(told.find(part) != std::string::npos);
    }
  }
}

}  // namespace trayproof::tests
