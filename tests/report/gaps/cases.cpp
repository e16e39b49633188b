#include "tests/report/gaps/cases.h"

#include <fstream>
#include <regex>
#include <sstream>

#include "ledger/base/check.h"

namespace trayproof::tests {
namespace {

bool begins(const std::string& line, std::string_view word) {
  return line == word || line.starts_with(std::string(word) + " ");
}

std::string rest(const std::string& line) {
  const std::size_t blank = line.find(' ');
  return blank == std::string::npos ? "" : line.substr(blank + 1);
}

Instant instant_of_text(const std::string& text) {
  const auto time = parse_date_time(spelt_out(text));
  CHECK(time);
  return time->instant;
}

ExpectedGap expected_gap(const std::string& line) {
  std::istringstream words(rest(line));
  ExpectedGap out;
  words >> out.subject_kind >> out.subject_id >> out.at;
  out.at = spelt_out(out.at);
  for (std::string more; words >> more;) out.more.push_back(more);
  return out;
}

std::optional<GapStep> step_of(const std::string& line, int number) {
  using What = GapStep::What;
  static constexpr std::pair<std::string_view, What> words[] = {
      {"program", What::program},   {"curve", What::curve},
      {"now", What::now},           {"created", What::created},
      {"altitude", What::altitude}, {"key", What::key},
      {"signed", What::signed_by},  {"countersigned", What::countersigned}};
  if (line.starts_with("{")) return GapStep{What::event, spelt_out(line), number};
  for (const auto& [word, what] : words) {
    if (begins(line, word)) return GapStep{what, spelt_out(rest(line)), number};
  }
  return std::nullopt;
}

}  // namespace

std::string spelt_out(std::string text) {
  // A day and a time of March 2026, standing alone as a text or as a word.
  static const std::regex with_seconds(R"((^|[" ])(\d\dT\d\d:\d\d:\d\d)(?=$|[" ]))");
  static const std::regex without(R"((^|[" ])(\d\dT\d\d:\d\d)(?=$|[" ]))");
  text = std::regex_replace(text, with_seconds, "$012026-03-$2+05:00");
  return std::regex_replace(text, without, "$012026-03-$2:00+05:00");
}

std::vector<GapCase> read_gap_cases(const std::string& path) {
  std::ifstream file(path);
  CHECK(file.good());
  std::vector<GapCase> cases;
  GapCase common;
  GapCase* current = &common;
  std::string line;
  std::string block;  // "sop" or "prelude" while inside it
  for (int number = 1; std::getline(file, line); ++number) {
    if (!block.empty()) {
      if (line == "end") {
        block.clear();
      } else if (block == "sop") {
        current->sop += line + "\n";
      } else if (auto step = step_of(line, number)) {
        current->steps.push_back(*step);
      }
    } else if (line.empty() || line.starts_with("#")) {
      continue;
    } else if (line == "sop" || line == "prelude") {
      block = line;
      if (line == "sop") current->sop.clear();
    } else if (begins(line, "rule")) {
      common.rule = rest(line);
    } else if (begins(line, "case")) {
      cases.push_back(common);
      current = &cases.back();
      current->name = rest(line);
    } else if (begins(line, "period")) {
      std::istringstream words(rest(line));
      std::string from;
      std::string until;
      words >> from >> until;
      current->from = instant_of_text(from);
      current->until = instant_of_text(until);
    } else if (begins(line, "expect")) {
      current->expected = rest(line);
    } else if (begins(line, "gap")) {
      current->gaps.push_back(expected_gap(line));
    } else {
      auto step = step_of(line, number);
      if (!step) check_failed(("a line of a case that is none: " + path + ": " + line).c_str(), path.c_str(), number);
      current->steps.push_back(*step);
    }
  }
  return cases;
}

}  // namespace trayproof::tests
