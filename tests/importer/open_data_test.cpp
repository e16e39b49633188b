// Files that nobody of this project wrote, kept outside the source tree (../shared/data/open beside it); expected
// values were worked out separately. Where the folder is missing the tests are skipped, counted and said.
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <optional>
#include <string>

#include "importer/import.h"
#include "importer/physics/lethality.h"
#include "tests/importer/invented_sop.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

namespace fs = std::filesystem;

std::optional<importer::Import> open_file(const std::string& name) {
  const fs::path path = fs::path(TRAYPROOF_SOURCE_DIR) / ".." / "shared" / "data" / "open" / name;
  std::ifstream file(path, std::ios::binary);
  if (!file) {
    std::printf("skipped: 1, for %s is not beside the source tree\n", name.c_str());
    return std::nullopt;
  }
  static const sop::Editions editions = tests::invented_editions();
  const std::string bytes{std::istreambuf_iterator<char>(file), {}};
  importer::Surroundings around;
  around.editions = &editions;
  return importer::read_and_judge(as_bytes(bytes), {}, around);
}

std::string text(const std::optional<DateTime>& time) { return time ? format_date_time(*time) : ""; }

}  // namespace

TEST_CASE("a pressure vessel at one reading a second: F0 24.096 and no quarter of an hour at 121") {
  const auto import = open_file("pressure-vessel-121C-hold-1Hz.csv");
  if (!import) return;
  CHECK(import->asks.empty());
  CHECK(import->rows == 3360);
  CHECK(import->readings == 3360);
  CHECK_FALSE(import->from);
  CHECK(import->interval_s == 1.0);
  REQUIRE(import->channels.size() == 1);
  CHECK(import->channels[0].min == 89.4);
  CHECK(import->channels[0].max == 121.32);
  CHECK(import->samples.back().elapsed_s == 3359);
  REQUIRE(import->cycles.size() == 1);
  CHECK(*import->cycles[0].judged.number_at("f0") == doctest::Approx(24.096).epsilon(1e-4));
  CHECK(import->cycles[0].verdict == "not-reached");
  // F0 passes 20 at 3,077 s; 309 readings stand at or above 121.0.
  std::vector<physics::Point> points;
  double passed_s = 0;
  int hot = 0;
  for (const importer::Sample& sample : import->samples) {
    points.push_back({sample.elapsed_s, {sample.temperature_c[0]}});
    if (sample.temperature_c[0] >= 121.0) ++hot;
    if (passed_s == 0 && points.size() > 3000 &&
        physics::lethality(points, physics::f0_reference, {}).seconds >= 1200) {
      passed_s = sample.elapsed_s;
    }
  }
  CHECK(passed_s == 3077);
  CHECK(hot == 309);
}

TEST_CASE("a vessel that never got warm holds no cycle") {
  const auto import = open_file("pressure-vessel-aborted.csv");
  if (!import) return;
  CHECK(import->rows == 58);
  CHECK(import->channels[0].min == 26.01);
  CHECK(import->channels[0].max == 26.61);
  CHECK(import->cycles.empty());
}

TEST_CASE("UTF-16 with an open circuit in its first row") {
  const auto import = open_file("utf16-dmy-ampm-fault-first.csv");
  if (!import) return;
  CHECK(import->asks.empty());
  CHECK(import->rows == 474);
  CHECK(import->readings == 473);
  CHECK(import->marks == 1);
  REQUIRE(import->channels.size() == 1);
  CHECK(import->channels[0].quantity == "temperature");
  CHECK(import->channels[0].min == 17.8);
  CHECK(import->channels[0].max == 33.0);
  CHECK(text(import->from) == "2018-06-15T11:45:08+00:00");
  CHECK(text(import->until) == "2018-06-17T03:10:08+00:00");
}

TEST_CASE("four probes of which one is never there and a spreadsheet ate the marks") {
  const auto import = open_file("pasteurizer-four-probes.csv");
  if (!import) return;
  CHECK(import->asks.empty());
  CHECK(import->rows == 433);
  CHECK(text(import->from) == "2024-05-11T15:44:17+00:00");
  CHECK(text(import->until) == "2024-05-14T15:44:17+00:00");
  CHECK(import->interval_s == 600.0);
  REQUIRE(import->channels.size() == 4);
  CHECK(import->channels[0].missing == 0);
  CHECK(import->channels[0].min == 21.6);
  CHECK(import->channels[0].max == 56.9);
  CHECK(import->channels[1].missing == 433 - 174);
  CHECK(import->channels[1].min == 20.5);
  CHECK(import->channels[1].max == 48.1);
  CHECK(import->channels[2].missing == 433 - 183);
  CHECK(import->channels[2].min == 14.0);
  CHECK(import->channels[2].max == 32.9);
  CHECK(import->channels[3].missing == 433);
  CHECK_FALSE(import->channels[3].min);
}

TEST_CASE("channels named by bare numbers under uneven seconds") {
  const auto import = open_file("numeric-channel-names.csv");
  if (!import) return;
  CHECK(import->asks.empty());
  CHECK(import->rows == 160);
  REQUIRE(import->channels.size() == 16);
  CHECK(import->channels[0].name == "1");
  CHECK(import->channels[0].min == 21.0);
  CHECK(import->channels[0].max == 94.7);
  CHECK(import->channels[1].min == 20.7);
  CHECK(import->channels[1].max == 75.6);
  CHECK(import->samples.front().elapsed_s == 0);
  CHECK(import->samples.back().elapsed_s == doctest::Approx(793.02));
}
