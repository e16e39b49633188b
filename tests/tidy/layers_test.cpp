// Every include obeys the direction of docs/architecture.md: its own folder and what stands to the left, never to the
// right.
#include <map>
#include <optional>
#include <set>

#include "tests/support/test.h"
#include "tests/tidy/tree.h"

using namespace trayproof::tidy;

namespace {

// From left to right. The files directly in ledger/ are the face, those directly in importer/ the importer's.
const std::vector<std::string>& order() {
  static const std::vector<std::string> rooms = {
      "ledger/base",       "ledger/words",  "ledger/text",      "ledger/crypto",    "ledger/log",
      "ledger/store",      "ledger/events", "ledger/sop",       "ledger/people",    "ledger",
      "ledger/links",      "ledger/recall", "importer/physics", "importer/reading", "importer/judging",
      "importer/profiles", "importer/register", "importer"};
  return rooms;
}

std::optional<std::size_t> place_of(const std::string& room) {
  for (std::size_t i = 0; i < order().size(); ++i) {
    if (order()[i] == room) return i;
  }
  return std::nullopt;
}

// Rooms that may include less than everything to their left.
const std::map<std::string, std::set<std::string>>& only() {
  static const std::map<std::string, std::set<std::string>> rooms = {
      {"importer/physics", {"ledger/base"}},
      {"importer/reading", {"ledger/base", "ledger/words", "ledger/text"}},
  };
  return rooms;
}

struct Include {
  std::size_t line;
  std::string path;
  bool quoted;
};

std::vector<Include> includes_of(const File& file) {
  std::vector<Include> found;
  for (std::size_t i = 0; i < file.lines.size(); ++i) {
    const std::string& line = file.lines[i];
    if (!line.starts_with("#include ")) continue;
    const bool quoted = line.find('"') != std::string::npos;
    const std::size_t from = line.find_first_of("\"<") + 1;
    found.push_back({i + 1, line.substr(from, line.find_first_of("\">", from) - from), quoted});
  }
  return found;
}

std::string room_of(const std::string& path) { return File{.path = path, .lines = {}}.room(); }

}  // namespace

TEST_CASE("every include is written from the root") {
  Violations wrong;
  for (const char* folder : {"ledger", "importer", "report", "tests"}) {
    for (const File& file : files_under(folder)) {
      if (!file.is_code()) continue;
      for (const Include& one : includes_of(file)) {
        if (!one.quoted) continue;
        const bool rooted = one.path.starts_with("ledger/") || one.path.starts_with("importer/") ||
                            one.path.starts_with("report/") || one.path.starts_with("tests/");
        if (!rooted)
          wrong.add(
              file.path, one.line,
              "\"" + one.path + "\" is not written from the root: write \"" + file.room() + "/" + one.path + "\"");
      }
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("every file of ledger and importer includes its own folder and what stands to the left") {
  Violations wrong;
  for (const File& file : product()) {
    if (!file.is_code() || file.path.starts_with("report/")) continue;
    const auto place = place_of(file.room());
    if (!place) {
      wrong.add(
          file.path, 1,
          "the folder " + file.room() +
              " has no place in the direction: give it one in tests/tidy/layers_test.cpp and docs/architecture.md");
      continue;
    }
    for (const Include& one : includes_of(file)) {
      if (!one.quoted) continue;
      const std::string room = room_of(one.path);
      if (room == file.room()) continue;
      const auto limits = only().find(file.room());
      if (limits != only().end()) {
        if (!limits->second.contains(room))
          wrong.add(file.path, one.line, file.room() + " may not include " + room + ": pass in what it needs");
        continue;
      }
      const auto other = place_of(room);
      if (!other || *other > *place) {
        wrong.add(file.path, one.line,
                  file.room() + " stands left of " + room +
                      " and may not include it: move the code or pass in what it needs");
      }
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("checking a pack needs no ledger and no database and no importer") {
  // Who checks a pack may have nothing but the pack and this program: see docs/evidence-pack.md.
  const std::set<std::string> allowed = {"report/evidence/check", "ledger/base",   "ledger/words",
                                         "ledger/text",           "ledger/crypto", "ledger/log"};
  Violations wrong;
  std::size_t seen = 0;
  for (const File& file : product()) {
    if (!file.is_code() || file.room() != "report/evidence/check") continue;
    ++seen;
    for (const Include& one : includes_of(file)) {
      if (one.quoted && !allowed.contains(room_of(one.path)))
        wrong.add(file.path, one.line, "checking may not need " + room_of(one.path) + ": pass in what it needs");
    }
  }
  CHECK(seen > 0);
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("nothing includes the command line but the command line and main") {
  Violations wrong;
  for (const File& file : product()) {
    if (!file.is_code() || file.room() == "report/command" || file.path == "report/main.cpp") continue;
    for (const Include& one : includes_of(file)) {
      if (one.quoted && one.path.starts_with("report/command/"))
        wrong.add(file.path, one.line, "the command line is the last room: move what is shared out of it");
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("the rooms of the report do not include each other in a circle") {
  std::map<std::string, std::set<std::string>> uses;
  for (const File& file : product()) {
    if (!file.is_code() || !file.path.starts_with("report/")) continue;
    for (const Include& one : includes_of(file)) {
      // A room with rooms inside (workbook, workbook/sheets) is one.
      const auto top = [](const std::string& path) { return path.substr(0, path.find('/', path.find('/') + 1)); };
      if (one.quoted && one.path.starts_with("report/") && top(one.path) != top(file.path))
        uses[top(file.path)].insert(top(one.path));
    }
  }
  Violations wrong;
  for (const auto& [room, others] : uses) {
    std::set<std::string> reached = others;
    for (bool grown = true; grown;) {
      grown = false;
      for (const std::string& one : std::set<std::string>(reached)) {
        for (const std::string& next : uses[one]) grown = reached.insert(next).second || grown;
      }
    }
    if (reached.contains(room)) wrong.add(room + " includes itself through others: let one of them own what both need");
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}

TEST_CASE("each library has one owner") {
  struct Owner {
    const char* header;
    const char* place;
  };
  const Owner owners[] = {
      {"sqlite3.h", "ledger/store/"},
      {"zlib.h", "ledger/store/"},
      {"mimalloc.h", "ledger/base/allocator.cpp"},
      {"sodium.h", "ledger/crypto/"},
      {"openssl/evp.h", "ledger/crypto/"},
      {"openssl/sha.h", "ledger/crypto/"},
      {"openssl/ssl.h", "report/desk/server/tls.cpp"},
      {"openssl/err.h", "report/desk/server/tls.cpp"},
      {"xlsxwriter.h", "report/workbook/"},
      {"httplib.h", "report/desk/"},
      {"toml++/", "ledger/sop/"},
      {"nlohmann/", "ledger/text/json_read.cpp"},
      {"simdjson", "ledger/text/json_read_plain.cpp"},
      {"CLI/", "report/command/run"},
      {"date/", "ledger/base/zone.cpp"},
      {"zint.h", "report/label/"},
      {"cairo", "report/ink/"},
      {"boost/", "ledger/words/"},
      {"pango/", "report/ink/"},
      {"unicode/", "ledger/text/"},
      {"libpq-fe.h", "report/register/"},
      {"zip.h", "report/evidence/"},
      {"ZXing/", "report/photo/code.cpp"},
      {"turbojpeg.h", "report/photo/picture.cpp"},
      {"png.h", "report/photo/picture.cpp"},
      {"seccomp.h", "report/photo/confined.cpp"},
  };
  Violations wrong;
  for (const File& file : product()) {
    if (!file.is_code()) continue;
    for (const Include& one : includes_of(file)) {
      for (const Owner& owner : owners) {
        if (!one.path.starts_with(owner.header) || file.path.starts_with(owner.place)) continue;
        wrong.add(file.path, one.line,
                  "<" + one.path + "> belongs to " + owner.place + ": ask that room for what is needed");
      }
    }
  }
  CHECK_MESSAGE(wrong.none(), wrong.text());
}
