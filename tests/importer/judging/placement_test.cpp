#include "importer/judging/placement.h"

#include "tests/importer/judging/curves.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

importer::Import import_of(const std::string& file, std::vector<importer::KnownLoad> loads,
                           std::optional<std::string> named = {}) {
  static const sop::Editions editions = invented_editions();
  importer::Surroundings around;
  around.editions = &editions;
  around.equipment = "S1";
  around.equipment_sort = "steam-sterilizer";
  around.loads = std::move(loads);
  around.load = std::move(named);
  return importer::read_and_judge(as_bytes(file), {}, around);
}

bool has(const importer::Cycle& cycle, std::string_view what) {
  for (const importer::Finding& finding : cycle.findings) {
    if (finding.what == what) return true;
  }
  return false;
}

}  // namespace

TEST_SUITE("importer/judging/placement.h") {
  TEST_CASE("a cycle goes to the load whose span it overlaps") {
    const auto import = import_of(export_of(curve({}), "2024-05-14T08:02:00Z"),
                                  {known_load("L1", "2024-05-14T06:00:00Z", "2024-05-14T07:30:00Z"),
                                   known_load("L2", "2024-05-14T08:00:00Z", "2024-05-14T09:05:00Z")});
    REQUIRE(import.cycles.size() == 1);
    CHECK(import.cycles[0].load == "L2");
    CHECK(import.cycles[0].clock_offset_s == 0.0);
    CHECK(import.cycles[0].verdict == "reached");
    CHECK(import.cycles[0].findings.empty());
  }

  TEST_CASE("a cycle that overlaps no load waits and is judged by the strictest time") {
    const auto import = import_of(export_of(curve({.hold_min = 25}), "2024-05-14T12:00:00Z"),
                                  {known_load("L1", "2024-05-14T06:00:00Z", "2024-05-14T07:30:00Z")});
    REQUIRE(import.cycles.size() == 1);
    CHECK_FALSE(import.cycles[0].load);
    CHECK(import.cycles[0].verdict == "not-reached");
  }

  TEST_CASE("several cycles of one file are placed one by one") {
    auto values = curve({});
    for (int i = 0; i < 10; ++i) values.push_back(30);
    for (const double value : curve({.top_c = 134.3, .hold_min = 5})) values.push_back(value);
    auto second = known_load("L2", "2024-05-14T09:05:00Z", "2024-05-14T09:50:00Z");
    second.temperature_c = 134;
    const auto import = import_of(export_of(values, "2024-05-14T08:00:00Z"),
                                  {known_load("L1", "2024-05-14T08:00:00Z", "2024-05-14T09:02:00Z"), second});
    REQUIRE(import.cycles.size() == 2);
    CHECK(import.cycles[0].load == "L1");
    CHECK(import.cycles[1].load == "L2");
    CHECK(import.cycles[1].verdict == "reached");
  }

  TEST_CASE("a load named by hand gets the only cycle and the clock's offset is told") {
    const auto import = import_of(export_of(curve({}), "2024-05-14T09:30:00Z"),
                                  {known_load("L1", "2024-05-14T08:00:00Z", "2024-05-14T09:00:00Z")}, "L1");
    REQUIRE(import.cycles.size() == 1);
    CHECK(import.cycles[0].load == "L1");
    REQUIRE(import.cycles[0].clock_offset_s);
    CHECK(*import.cycles[0].clock_offset_s > 3600);
    CHECK(has(import.cycles[0], "clock-off"));
    CHECK(import.cycles[0].verdict == "reached");
  }

  TEST_CASE("a load without an end lasts until the next begins") {
    const auto import =
        import_of(export_of(curve({}), "2024-05-14T10:00:00Z"),
                  {known_load("L1", "2024-05-14T08:00:00Z", ""), known_load("L2", "2024-05-14T09:50:00Z", "")});
    CHECK(import.cycles[0].load == "L2");
    CHECK_FALSE(import.cycles[0].clock_offset_s);
  }

  TEST_CASE("loads of other equipment are none of its business") {
    auto load = known_load("L1", "2024-05-14T08:00:00Z", "2024-05-14T09:05:00Z");
    load.equipment = "S2";
    const auto import = import_of(export_of(curve({}), "2024-05-14T08:00:00Z"), {load});
    CHECK_FALSE(import.cycles[0].load);
  }
}
