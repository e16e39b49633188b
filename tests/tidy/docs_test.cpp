// What the documents say and what the code has, both ways.
#include <regex>
#include <set>

#include "ledger/events/kinds.h"
#include "ledger/people/rights.h"
#include "ledger/sop/keys.h"
#include "tests/support/test.h"
#include "tests/tidy/tree.h"

using namespace trayproof;
using namespace trayproof::tidy;

namespace {

// The first group of every match in the text.
std::set<std::string> found_in(const std::string& text, const std::string& pattern) {
  const std::regex regex(pattern, std::regex::ECMAScript | std::regex::multiline);
  std::set<std::string> found;
  for (auto it = std::sregex_iterator(text.begin(), text.end(), regex); it != std::sregex_iterator(); ++it)
    found.insert((*it)[1].str());
  return found;
}

void compare(const std::set<std::string>& code, const std::set<std::string>& page, const std::string& where,
             Violations& wrong) {
  for (const std::string& one : code) {
    if (!page.contains(one)) wrong.add(where + " does not tell of `" + one + "`: add its row");
  }
  for (const std::string& one : page) {
    if (!code.contains(one))
      wrong.add(where + " tells of `" + one + "`, which the code does not have: remove it or write it");
  }
}

// From a heading to the next one that is not deeper, or to the end.
std::string section(const std::string& text, const std::string& heading) {
  const std::size_t from = text.find("\n" + heading + "\n");
  if (from == std::string::npos) return {};
  const std::string marks = heading.substr(0, heading.find(' ') + 1);
  const std::size_t next = text.find("\n" + marks, from + 1 + heading.size());
  return text.substr(from, next == std::string::npos ? next : next - from);
}

}  // namespace

TEST_CASE("every kind of event and its fields stand in docs/ledger-format.md and no others") {
  const std::string kinds_section = section(text_of("docs/ledger-format.md"), "## Kinds");
  Violations wrong;
  if (kinds_section.empty()) wrong.add("docs/ledger-format.md has no section Kinds");
  std::set<std::string> code;
  for (const events::Kind& kind : events::kinds()) code.insert(std::string(kind.name));
  compare(code, found_in(kinds_section, "^- `([a-z-]+)`"), "docs/ledger-format.md", wrong);
  for (const events::Kind& kind : events::kinds()) {
    const std::size_t at = kinds_section.find("\n- `" + std::string(kind.name) + "`");
    if (at == std::string::npos) continue;
    const std::size_t end = kinds_section.find("\n- `", at + 1);
    const std::string row = kinds_section.substr(at, end == std::string::npos ? end : end - at);
    for (const events::Field& field : kind.fields) {
      const std::string name = "`" + std::string(field.name) + "`";
      const std::size_t there = row.find(name);
      if (there == std::string::npos) {
        wrong.add("docs/ledger-format.md, " + std::string(kind.name) + ": the field " + name + " is missing");
      } else if ((row.compare(there + name.size(), 1, "?") == 0) != (field.needed == events::Needed::no)) {
        wrong.add("docs/ledger-format.md, " + std::string(kind.name) + ": " + name +
                  " has a ? exactly when it is optional");
      }
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("every rule stands in docs/gap-rules.md and no other") {
  std::set<std::string> code;
  for (const File& file : files_under("report/gaps")) {
    if (!file.path.ends_with("_rules.cpp")) continue;
    for (const std::string& id : found_in(joined(file), R"re(\{"([a-z0-9-]+)",\s*Severity::)re")) code.insert(id);
  }
  Violations wrong;
  if (code.empty()) wrong.add("report/gaps/*_rules.cpp: no rule found");
  compare(code, found_in(text_of("docs/gap-rules.md"), "^\\| `([a-z0-9-]+)` \\|"), "docs/gap-rules.md", wrong);
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("every key of the SOP file stands in docs/sop-format.md and no other") {
  std::set<std::string> code;
  for (const sop::Key& key : sop::keys()) {
    code.insert((key.table.empty() ? std::string() : std::string(key.table) + ".") + std::string(key.name));
  }
  Violations wrong;
  compare(code, found_in(section(text_of("docs/sop-format.md"), "## Keys"), "^\\| `([a-z0-9_.]+)` \\|"),
          "docs/sop-format.md", wrong);
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("every right and its roles stand in docs/operations.md and no others") {
  const std::string page = text_of("docs/operations.md");
  Violations wrong;
  std::set<std::string> code;
  for (const people::RightRow& row : people::rights()) {
    code.insert(std::string(row.name));
    std::string roles;
    for (const std::string_view role : row.roles) roles += (roles.empty() ? "`" : ", `") + std::string(role) + "`";
    if (row.right == people::Right::release) roles = "as the SOP's `release.roles` say";
    if (row.right == people::Right::correct) roles = "every enrolled person";
    const std::size_t at = page.find("\n| `" + std::string(row.name) + "`");
    const std::string line = at == std::string::npos ? std::string() : page.substr(at, page.find('\n', at + 1) - at);
    if (line.find("| " + roles + " |") == std::string::npos)
      wrong.add("docs/operations.md does not give the right " + std::string(row.name) + " to " + roles);
  }
  compare(code, found_in(page, "^\\| `([a-z-]+)`"), "docs/operations.md", wrong);
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("every page that code or another page names is there") {
  Violations wrong;
  for (const char* folder : {"ledger", "importer", "report", "tests", "docs", "samples"}) {
    for (const File& file : files_under(folder)) {
      for (std::size_t i = 0; i < file.lines.size(); ++i) {
        for (const std::string& page : found_in(file.lines[i], R"re(\b(docs/[a-z0-9/-]+\.md))re")) {
          if (text_of(page).empty())
            wrong.add(file.path, i + 1, page + " is named and not there: write it or name the right one");
        }
      }
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("every link of a page leads somewhere") {
  Violations wrong;
  for (const File& file : files_under("docs")) {
    if (!file.path.ends_with(".md")) continue;
    for (std::size_t i = 0; i < file.lines.size(); ++i) {
      for (const std::string& link : found_in(file.lines[i], R"re(\]\(([^)#:]+)\))re")) {
        const std::string from = link.starts_with("/") ? link.substr(1) : file.room() + "/" + link;
        if (text_of(from).empty() && files_under(from).empty())
          wrong.add(file.path, i + 1, "the link to " + link + " leads nowhere");
      }
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}
