// Sizes, names and words of the files themselves.
#include <algorithm>
#include <filesystem>
#include <set>

#include "tests/support/test.h"
#include "tests/tidy/tree.h"

using namespace trayproof::tidy;
namespace fs = std::filesystem;

TEST_CASE("no file of code is longer than six hundred lines") {
  Violations wrong;
  for (const char* folder : {"ledger", "importer", "report", "tests"}) {
    for (const File& file : files_under(folder)) {
      // The catalogue is a table: it is read by key and never from top to bottom.
      const bool table = file.path.starts_with("ledger/words/english_");
      if (!file.is_code() || table || file.lines.size() <= 600) continue;
      wrong.add(file.path, file.lines.size(), "longer than 600 lines: a file is one idea, split it");
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("no line of code is longer than the column limit by a word") {
  Violations wrong;
  for (const File& file : product()) {
    if (!file.is_code() || file.path.ends_with(".in") || file.path.starts_with("ledger/words/english_")) continue;
    for (std::size_t i = 0; i < file.lines.size(); ++i) {
      if (file.lines[i].size() > 160) wrong.add(file.path, i + 1, "longer than 160 bytes: the column limit is 120");
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("code leaves no reminder of work that was not done") {
  Violations wrong;
  for (const File& file : product()) {
    for (std::size_t i = 0; i < file.lines.size(); ++i) {
      for (const char* word : {"TODO", "FIXME", "XXX", "HACK", "WIP"}) {
        if (has_word(file.lines[i], word))
          wrong.add(file.path, i + 1, std::string(word) + ": do it, or write down in docs/ what is not done");
      }
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("names say what a thing does") {
  Violations wrong;
  for (const File& file : product()) {
    if (!file.is_code()) continue;
    for (std::size_t i = 0; i < file.lines.size(); ++i) {
      const std::string& line = file.lines[i];
      const std::size_t first = line.find_first_not_of(' ');
      if (first == std::string::npos || line.compare(first, 2, "//") == 0) continue;
      for (const char* start : {"class ", "struct "}) {
        if (line.compare(first, std::string(start).size(), start) != 0) continue;
        const std::size_t from = first + std::string(start).size();
        const std::string name = line.substr(from, line.find_first_of(" ;{:<", from) - from);
        for (const char* end : {"Manager", "Helper", "Util", "Utils", "Handler", "Processor", "Impl", "Data", "Info"}) {
          if (name.ends_with(end)) wrong.add(file.path, i + 1, name + ": name it after what it is");
        }
      }
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("no folder is named after nothing") {
  Violations wrong;
  const std::set<std::string> empty_names = {"util", "utils", "common", "helpers", "helper",
                                             "misc", "core",  "lib",    "shared",  "tools"};
  for (const char* top : {"ledger", "importer", "report", "tests", "samples", "docs"}) {
    for (const auto& one : fs::recursive_directory_iterator(fs::path(TRAYPROOF_SOURCE_DIR) / top)) {
      if (one.is_directory() && empty_names.contains(one.path().filename().string())) {
        wrong.add(one.path().string() + ": name the folder after what it holds");
      }
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("the top level is what it was agreed to be") {
  const std::set<std::string> allowed = {"CMakeLists.txt", "README.md", "DEVELOPERS.md", "ledger", "importer",
                                         "report",         "tests",     "samples",       "docs"};
  Violations wrong;
  for (const auto& one : fs::directory_iterator(TRAYPROOF_SOURCE_DIR)) {
    const std::string name = one.path().filename().string();
    if (!name.starts_with(".") && !allowed.contains(name))
      wrong.add(name + ": the top level holds nothing else; move it into a folder");
  }
  for (const std::string& name : allowed) {
    if (!fs::exists(fs::path(TRAYPROOF_SOURCE_DIR) / name)) wrong.add(name + " is missing at the top level");
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("sources are listed by name in the build files") {
  Violations wrong;
  for (const char* folder : {"ledger", "importer", "report", "tests"}) {
    std::string lists;
    for (const File& file : files_under(folder)) {
      if (file.path.ends_with("CMakeLists.txt")) lists += joined(file);
    }
    if (lists.find("GLOB") != std::string::npos)
      wrong.add(std::string(folder) + "/CMakeLists.txt: GLOB; list the sources by name");
    for (const File& file : files_under(folder)) {
      if (!file.path.ends_with(".cpp")) continue;
      const std::string name = file.path.substr(std::string(folder).size() + 1);
      if (lists.find(name) == std::string::npos)
        wrong.add(file.path, 1, std::string("in no build file: list it in ") + folder + "/CMakeLists.txt or remove it");
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("no file names the place where it was written") {
  // Assembled here, so that this file does not name it either.
  const std::string place = std::string("/wo") + "rk/";
  Violations wrong;
  for (const char* top : {"ledger", "importer", "report", "tests", "samples", "docs"}) {
    for (const File& file : files_under(top)) {
      for (std::size_t i = 0; i < file.lines.size(); ++i) {
        if (file.lines[i].find(place + "main") != std::string::npos ||
            file.lines[i].find(place + "shared") != std::string::npos) {
          wrong.add(file.path, i + 1, "a path of one machine: write it from the root of the project");
        }
      }
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("test names hold no mark that a test runner would split at") {
  Violations wrong;
  const std::string start = std::string("TEST_") + "CASE(\"";
  for (const File& file : files_under("tests")) {
    for (std::size_t i = 0; i < file.lines.size(); ++i) {
      const std::size_t at = file.lines[i].find(start);
      if (at == std::string::npos) continue;
      const auto names = literals(file.lines[i].substr(at));
      if (names.empty() || names[0].find_first_of(",;*[") == std::string::npos) continue;
      wrong.add(file.path, i + 1, "the name of a test holds one of , ; * [ : write it as a plain sentence");
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}
