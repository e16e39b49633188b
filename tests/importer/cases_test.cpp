// Text cases: tests/cases/importer/NAME.csv is what a logger wrote (invented), NAME.txt says why it is there, what the
// person chose, what stands around it, and what an import must say. Each file holds one nastiness.
//
// Every case is also read in chunks of 1, 2, 3, 7 and 64 bytes, which must change nothing.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <string>
#include <vector>

#include "importer/document.h"
#include "importer/hashed_source.h"
#include "importer/import.h"
#include "importer/reading/reading.h"
#include "tests/importer/invented_sop.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

namespace fs = std::filesystem;

std::string whole(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

struct Case {
  std::string why;
  importer::Choices choices;
  importer::Surroundings around;
  std::vector<std::pair<std::string, std::string>> expected;  // path, value
};

std::pair<std::string, std::string> cut(const std::string& text, char mark) {
  const std::size_t at = text.find(mark);
  if (at == std::string::npos) return {text, ""};
  return {text.substr(0, at), text.substr(at + 1)};
}

void choose(importer::Choices& choices, const std::string& text) {
  const auto [name, value] = cut(text, '=');
  if (name == "date_order")
    choices.date_order = value;
  else if (name == "start")
    choices.start = value;
  else if (name == "pressure")
    choices.pressure = value;
  else if (name == "decimal")
    choices.decimal = value;
  else if (name == "delimiter")
    choices.delimiter = value;
  else if (name == "encoding")
    choices.encoding = value;
  else if (name == "unit")
    choices.units.push_back({value.substr(0, value.rfind('=')), value.substr(value.rfind('=') + 1)});
  else
    FAIL("unknown choice " << text);
}

void surround(importer::Surroundings& around, const std::string& text) {
  const auto [name, value] = cut(text, '=');
  if (name == "zone")
    around.zone = Zone::find(value).value();
  else if (name == "altitude")
    around.altitude_m = std::strtod(value.c_str(), nullptr);
  else if (name == "sort")
    around.equipment_sort = value;
  else
    FAIL("unknown surrounding " << text);
}

Case read_case(const fs::path& path) {
  Case out;
  std::ifstream file(path);
  std::string line;
  while (std::getline(file, line)) {
    const std::size_t at = line.find(": ");
    REQUIRE_MESSAGE(at != std::string::npos, path.string(), line);
    const std::string key = line.substr(0, at);
    const std::string value = line.substr(at + 2);
    if (key == "why")
      out.why = value;
    else if (key == "choice")
      choose(out.choices, value);
    else if (key == "around")
      surround(out.around, value);
    else if (key == "expect")
      out.expected.push_back(cut(value, ' '));
    else
      FAIL("unknown key " << key);
  }
  return out;
}

// The value at "cycles.0.hold.minutes"; "#" counts a list.
json::Value at_path(json::Value value, std::string path) {
  while (!path.empty()) {
    const auto [name, rest] = cut(path, '.');
    if (name == "#") {
      value = static_cast<double>(value.items().size());
    } else if (value.is_list()) {
      const std::size_t index = std::strtoul(name.c_str(), nullptr, 10);
      if (index >= value.items().size()) return "nothing there";
      value = json::Value(value.items()[index]);
    } else {
      const json::Value* found = value.find(name);
      if (found == nullptr) return "nothing there";
      value = json::Value(*found);
    }
    path = rest;
  }
  return value;
}

bool agrees(const json::Value& found, const std::string& expected) {
  if (found.is_number()) {
    char* end = nullptr;
    const double number = std::strtod(expected.c_str(), &end);
    return end != expected.c_str() && std::abs(number - found.number()) < 1e-6;
  }
  if (found.is_text()) return found.text() == expected;
  return json::plain(found) == expected;
}

// Everything that a reading gives, as text; of several ways through a file the last.
class Dump : public reading::RowSink {
 public:
  void begin(const reading::Reading&, reading::Extent) override { rows_.clear(); }
  void row(const reading::Row& row) override {
    rows_ += std::to_string(row.line) + "*" + std::to_string(row.lines) + " ";
    rows_ += (row.at ? std::to_string(row.at->ms) : "-") + " " + json::plain(json::Value(row.elapsed_s));
    for (const double value : row.values) rows_ += std::isnan(value) ? " -" : " " + json::plain(json::Value(value));
    rows_ += "\n";
  }
  bool end(const reading::Reading&) override { return true; }

  std::string of(std::string_view bytes, const reading::Options& options) {
    reading::MemorySource source(as_bytes(bytes));
    const reading::Reading reading = reading::read(source, options, *this).value();
    std::string out = std::to_string(reading.rows_seen) + " " + std::to_string(reading.readings) + " " +
                      std::to_string(reading.marks) + " " + std::to_string(reading.faults) + "\n" + rows_;
    for (const reading::RefusedRow& row : reading.refused.kept()) {
      out += std::to_string(row.line) + "@" + std::to_string(row.byte) + " " + row.column + " " + row.text + " " +
             row.why + " " + row.mend + "\n";
    }
    for (const reading::Metadata& line : reading.metadata)
      out += std::to_string(line.line) + line.key + "=" + line.value + "\n";
    for (const std::string& note : reading.notes) out += note + "\n";
    for (const reading::Ask& ask : reading.asks) out += ask.what + json::plain(json::Value(ask.choices)) + "\n";
    return out;
  }

 private:
  std::string rows_;
};

std::vector<fs::path> cases() {
  std::vector<fs::path> out;
  for (const auto& entry : fs::directory_iterator(fs::path(TRAYPROOF_SOURCE_DIR) / "tests/cases/importer")) {
    if (entry.path().extension() == ".txt") out.push_back(entry.path());
  }
  std::sort(out.begin(), out.end());
  return out;
}

}  // namespace

TEST_CASE("every case says what its file was made to say") {
  const sop::Editions editions = tests::invented_editions();
  int read = 0;
  int asked = 0;
  int refused = 0;
  for (const fs::path& path : cases()) {
    CAPTURE(path.filename().string());
    Case one = read_case(path);
    CHECK_FALSE(one.why.empty());
    CHECK_FALSE(one.expected.empty());
    one.around.editions = &editions;
    fs::path data = path;
    const std::string bytes = whole(data.replace_extension(".csv"));
    const importer::Import import = importer::read_and_judge(as_bytes(bytes), one.choices, one.around);
    const json::Value out = importer::to_json(import, false);
    std::string written;
    importer::write_json(import, false, [&](std::string_view text) { written += text; });
    CHECK(written == json::plain(out));
    ++(!import.asks.empty() ? asked : import.readings > 0 ? read : refused);
    CHECK(import.rows ==
          import.readings + import.marks + import.refused_more + static_cast<std::int64_t>(import.refused.size()));
    for (const auto& [place, expected] : one.expected) {
      const json::Value found = at_path(out, place);
      CHECK_MESSAGE(agrees(found, expected), path.filename().string(), ": ", place, " is ", json::plain(found),
                    " and should be ", expected);
    }
  }
  std::printf("invented exports: %d read, %d asked, %d without a reading\n", read, asked, refused);
}

TEST_CASE("an export read piece by piece says and keeps what the same file in memory does") {
  // A source that gives a few bytes at a time, however many are asked for.
  class Dripping : public reading::Source {
   public:
    Dripping(ByteView bytes, std::size_t drop) : memory_(bytes), drop_(drop) {}
    Result<ByteView> next(std::size_t most) override { return memory_.next(std::min(most, drop_)); }
    Result<void> rewind() override { return memory_.rewind(); }
    std::optional<std::int64_t> bytes() const override { return std::nullopt; }

   private:
    reading::MemorySource memory_;
    std::size_t drop_;
  };
  const sop::Editions editions = tests::invented_editions();
  std::size_t cycles = 0;
  for (const fs::path& path : cases()) {
    CAPTURE(path.filename().string());
    Case one = read_case(path);
    one.around.editions = &editions;
    fs::path data = path;
    const std::string bytes = whole(data.replace_extension(".csv"));
    const importer::Import expected = importer::read_and_judge(as_bytes(bytes), one.choices, one.around);
    for (const std::size_t drop : {1U, 2U, 3U, 7U, 64U, 1U << 20U}) {
      Dripping source(as_bytes(bytes), drop);
      importer::CodedCurves curves("spool");
      const auto read = importer::read_and_judge(source, one.choices, one.around, {}, curves);
      REQUIRE(read.ok());
      CHECK(json::plain(importer::to_json(read.value(), false)) == json::plain(importer::to_json(expected, false)));
      CHECK(read.value().samples.empty());
      REQUIRE(curves.size() == expected.measured.size());
      for (std::size_t i = 0; i < curves.size(); ++i) {
        CHECK(curves.at(i).value().bytes == expected.measured[i].bytes);
        CHECK(curves.at(i).value().sketch == expected.measured[i].sketch);
      }
    }
    cycles += expected.measured.size();
  }
  CHECK(cycles > 50);
}

TEST_CASE("a file that changes while it is read is not taken") {
  class Changing : public reading::Source {
   public:
    Result<ByteView> next(std::size_t most) override {
      const std::string_view text = rounds_ > 2 ? second_ : first_;
      const std::string_view part = text.substr(std::min(at_, text.size()), most);
      at_ += part.size();
      return as_bytes(part);
    }
    Result<void> rewind() override {
      ++rounds_;
      at_ = 0;
      return {};
    }
    std::optional<std::int64_t> bytes() const override { return std::nullopt; }

   private:
    std::string first_ = "Time,T (°C)\n01/02/2024 08:00,20.5\n02/02/2024 08:00,20.6\n13/02/2024 08:00,20.7\n";
    std::string second_ = "Time,T (°C)\n01/02/2024 08:00,20.5\n02/02/2024 08:00,20.6\n13/02/2024 08:00,99.7\n";
    int rounds_ = 0;
    std::size_t at_ = 0;
  };
  Changing source;
  importer::HashedSource hashed(source);
  REQUIRE(hashed.whole().ok());
  bool refused = false;
  for (int round = 0; round < 3 && !refused; ++round) {
    REQUIRE(hashed.rewind().ok());
    while (true) {
      const auto part = hashed.next(16);
      refused = !part.ok() && part.error().code() == ErrorCode::conflict;
      if (!part.ok() || part.value().empty()) break;
    }
  }
  CHECK(refused);
}

TEST_CASE("the size of the chunks changes nothing") {
  for (const fs::path& path : cases()) {
    fs::path data = path;
    const std::string bytes = whole(data.replace_extension(".csv"));
    reading::Options options;
    const std::string expected = Dump().of(bytes, options);
    for (const std::size_t chunk : {1U, 2U, 3U, 7U, 64U}) {
      options.chunk_bytes = chunk;
      CHECK_MESSAGE(Dump().of(bytes, options) == expected, path.filename().string(), " in chunks of ", chunk);
    }
  }
}

TEST_CASE("the short way and the long way read every case alike") {
  for (const fs::path& path : cases()) {
    fs::path data = path;
    const std::string bytes = whole(data.replace_extension(".csv"));
    reading::Options options;
    const std::string settled = Dump().of(bytes, options);
    options.speed = reading::Speed::tolerant;
    CHECK_MESSAGE(Dump().of(bytes, options) == settled, path.filename().string());
  }
}

TEST_CASE("the short way and the long way read damaged copies alike") {
  std::mt19937 random(20240501);
  const auto below = [&](std::size_t limit) {
    return static_cast<std::size_t>(random() % std::max<std::size_t>(limit, 1));
  };
  constexpr std::string_view marks = ";,.\t |:-/\"'\r\n0123456789 AP#e+OL\xB0";
  for (const fs::path& path : cases()) {
    fs::path data = path;
    const std::string sound = whole(data.replace_extension(".csv"));
    for (int copy = 0; copy < 12; ++copy) {
      std::string bytes = sound;
      for (std::size_t wounds = 1 + below(4); wounds > 0 && !bytes.empty(); --wounds) {
        const std::size_t at = below(bytes.size());
        switch (below(4)) {
          case 0:
            bytes[at] = marks[below(marks.size())];
            break;
          case 1:
            bytes.insert(at, 1, marks[below(marks.size())]);
            break;
          case 2:
            bytes.erase(at, 1 + below(6));
            break;
          default:
            bytes.insert(at, bytes.substr(below(bytes.size()), below(80)));
        }
      }
      reading::Options options;
      const std::string settled = Dump().of(bytes, options);
      options.speed = reading::Speed::tolerant;
      options.chunk_bytes = 1 + below(50);
      const std::string tolerant = Dump().of(bytes, options);
      if (tolerant == settled) continue;
      const auto differ = std::mismatch(settled.begin(), settled.end(), tolerant.begin(), tolerant.end());
      const auto from = static_cast<std::size_t>(std::max<std::ptrdiff_t>(differ.first - settled.begin() - 60, 0));
      FAIL_CHECK(path.filename().string(), " copy ", copy, ": ", settled.substr(from, 160), " | ",
                 tolerant.substr(std::min(from, tolerant.size()), 160));
    }
  }
}
