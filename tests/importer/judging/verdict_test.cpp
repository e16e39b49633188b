#include "importer/judging/verdict.h"

#include "importer/judging/findings.h"
#include "ledger/words/words.h"
#include "tests/importer/judging/curves.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

importer::Cycle judged(const std::vector<double>& values, const sop::Sop& sop,
                       const importer::KnownLoad* load = nullptr) {
  const sop::Editions editions = editions_of(sop);
  importer::Surroundings around;
  around.editions = &editions;
  around.equipment_sort = "steam-sterilizer";
  if (load != nullptr) around.loads.push_back(*load);
  const auto import = importer::read_and_judge(as_bytes(export_of(values, "2024-05-14T08:00:00Z")), {}, around);
  REQUIRE(import.cycles.size() == 1);
  return import.cycles[0];
}

const importer::Finding* find(const importer::Cycle& cycle, std::string_view what) {
  for (const importer::Finding& finding : cycle.findings) {
    if (finding.what == what) return &finding;
  }
  return nullptr;
}

}  // namespace

TEST_SUITE("importer/judging/verdict.h") {
  TEST_CASE("an unwrapped load needs only its own time") {
    auto load = known_load("L1", "2024-05-14T08:00:00Z", "2024-05-14T09:00:00Z");
    load.any_wrapped = false;
    CHECK(judged(curve({.hold_min = 21}), invented_sop(), &load).verdict == "reached");
    load.any_wrapped = true;
    CHECK(judged(curve({.hold_min = 21}), invented_sop(), &load).verdict == "not-reached");
  }

  TEST_CASE("a load's programme that is in no band is judged against the nearest and not reached") {
    auto load = known_load("L1", "2024-05-14T08:00:00Z", "2024-05-14T09:00:00Z");
    load.temperature_c = 115;
    const auto cycle = judged(curve({.top_c = 122}), invented_sop(), &load);
    CHECK(cycle.set_temperature_c == 121.0);
    CHECK(find(cycle, "no-program") != nullptr);
    CHECK(cycle.verdict == "not-reached");
  }

  TEST_CASE("F0 decides only where the edition states a least value") {
    sop::Sop sop = invented_sop();
    CHECK(judged(curve({}), sop).verdict == "reached");
    sop.steam_programs[0].f0_min = 60;
    const auto cycle = judged(curve({}), sop);
    CHECK(cycle.verdict == "not-reached");
    REQUIRE(find(cycle, "lethality-low") != nullptr);
    CHECK(find(cycle, "lethality-low")->limit.number() == 60);
    CHECK(*cycle.judged.number_at("f0_low") < *cycle.judged.number_at("f0"));
  }

  TEST_CASE("the lower bound of F0 decides where only the readings between could make it") {
    sop::Sop sop = invented_sop();
    const auto before = judged(curve({}), sop);
    const double low = *before.judged.number_at("f0_low");
    const double high = *before.judged.number_at("f0");
    REQUIRE(low < high);
    sop.steam_programs[0].f0_min = (low + high) / 2;
    const auto cycle = judged(curve({}), sop);
    CHECK(cycle.verdict == "cannot-tell");
  }

  TEST_CASE("the reference temperature is the edition's and is told") {
    sop::Sop sop = invented_sop();
    const double before = *judged(curve({}), sop).judged.number_at("f0");
    sop.steam_f0_reference_c = 121.0;
    const auto cycle = judged(curve({}), sop);
    CHECK(cycle.f0_reference_c == 121.0);
    CHECK(*cycle.judged.number_at("f0") / before == doctest::Approx(1.02329).epsilon(1e-4));
  }

  TEST_CASE("no edition and no program judge nothing") {
    importer::Surroundings around;
    const auto import = importer::read_and_judge(as_bytes(export_of(curve({}), "2024-05-14T08:00:00Z")), {}, around);
    CHECK(import.cycles[0].verdict == "cannot-tell");
    CHECK(import.cycles[0].sop_seq == 0);
    sop::Sop sop = invented_sop();
    sop.steam_programs.clear();
    CHECK(judged(curve({}), sop).verdict == "cannot-tell");
  }

  TEST_CASE("the edition in force at the beginning of the cycle judges") {
    sop::Editions editions;
    editions.add(3, invented_sop(), instant("2024-01-01T00:00:00Z"), instant("2024-01-01T00:00:00Z"));
    sop::Sop strict = invented_sop();
    strict.steam_programs[0].hold_minutes_wrapped = 45;
    editions.add(9, strict, instant("2024-06-01T00:00:00Z"), instant("2024-06-01T00:00:00Z"));
    importer::Surroundings around;
    around.editions = &editions;
    const auto may = importer::read_and_judge(as_bytes(export_of(curve({}), "2024-05-14T08:00:00Z")), {}, around);
    CHECK(may.cycles[0].verdict == "reached");
    CHECK(may.cycles[0].sop_seq == 3);
    const auto june = importer::read_and_judge(as_bytes(export_of(curve({}), "2024-06-14T08:00:00Z")), {}, around);
    CHECK(june.cycles[0].verdict == "not-reached");
    CHECK(june.cycles[0].sop_seq == 9);
  }

  TEST_CASE("an overshoot above the band is told and does not undo the hold") {
    auto values = curve({.hold_min = 40});
    values[20] = 125;
    const auto cycle = judged(values, invented_sop());
    CHECK(cycle.verdict == "reached");
    REQUIRE(find(cycle, "temperature-above-band") != nullptr);
    CHECK(find(cycle, "temperature-above-band")->limit.number() == 124);
  }

  TEST_CASE("a logger that reads too high is judged by what was really there") {
    importer::Surroundings around;
    const sop::Editions editions = invented_editions();
    around.editions = &editions;
    around.equipment_sort = "steam-sterilizer";
    around.error_k = 0.8;
    const auto import = importer::read_and_judge(as_bytes(export_of(curve({}), "2024-05-14T08:00:00Z")), {}, around);
    CHECK(import.cycles[0].verdict == "not-reached");
  }

  TEST_CASE("every limit checked is told with its margin") {
    const auto cycle = judged(curve({}), invented_sop());
    REQUIRE(cycle.checks.size() == 2);
    CHECK(cycle.checks[0].what == "hold-minutes");
    CHECK(cycle.checks[0].limit == 30);
    CHECK(cycle.checks[0].margin == 2);
  }

  TEST_CASE("a method that heat does not judge cannot be told by a curve") {
    auto load = known_load("L1", "2024-05-14T08:00:00Z", "2024-05-14T09:00:00Z");
    load.method = "chemical-sterilization";
    CHECK(judged(curve({}), invented_sop(), &load).verdict == "cannot-tell");
  }
}

TEST_SUITE("importer/judging/findings.h") {
  TEST_CASE("every finding has a sentence") {
    for (const judging::FindingKind& kind : judging::finding_kinds()) {
      CHECK_MESSAGE(has_word("importer.finding." + std::string(kind.what)), kind.what);
      CHECK_FALSE(judging::sentence({std::string(kind.what), 1.0, 2.0}).empty());
    }
  }
}
