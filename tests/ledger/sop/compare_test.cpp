#include "ledger/sop/compare.h"

#include <map>

#include "ledger/sop/kept.h"
#include "ledger/sop/keys.h"
#include "ledger/sop/stated.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

std::map<std::string, std::string> changes(const std::string& before, const std::string& after) {
  const auto found = sop::compare(before, after);
  REQUIRE(found.ok());
  std::map<std::string, std::string> out;
  for (const sop::Change& one : found.value().changes) out[one.key] = std::string(sop::word(one.direction));
  return out;
}

std::string one_change(const std::string& before, const std::string& after) {
  const auto all = changes(before, after);
  REQUIRE(all.size() == 1);
  return all.begin()->first + " " + all.begin()->second;
}

}  // namespace

TEST_CASE("an edition compared with itself has no change and every limit alike") {
  const std::string text = "[boiling]\nminutes = 20\n[release]\nroles = [\"nurse\", \"quality\"]\n";
  const auto same = sop::compare(text, "[boiling]\nminutes = 20.0\n[release]\nroles = [\"quality\", \"nurse\"]\n");
  REQUIRE(same.ok());
  CHECK(same.value().changes.empty());
  // Two stated, and the defaults of release.methods, records.clock_minutes and recall.policy.
  CHECK(same.value().same == 5);
}

TEST_CASE("a limit is stricter where more is checked or less passes") {
  CHECK(one_change("[boiling]\nminutes = 20", "[boiling]\nminutes = 25") == "boiling.minutes stricter");
  CHECK(one_change("[release]\nhours_max = 4", "[release]\nhours_max = 8") == "release.hours_max looser");
  CHECK(one_change("[indicators]\nair_removal = false", "[indicators]\nair_removal = true") ==
        "indicators.air_removal stricter");
  CHECK(one_change("[release]\nroles = [\"nurse\"]", "[release]\nroles = [\"nurse\", \"clerk\"]") ==
        "release.roles looser");
  CHECK(one_change("[packing]\ninside_indicator = [\"drum\"]", "[packing]\ninside_indicator = [\"drum\", \"pouch\"]") ==
        "packing.inside_indicator stricter");
  CHECK(one_change("[packing]\ninside_indicator = [\"drum\"]", "[packing]\ninside_indicator = [\"pouch\"]") ==
        "packing.inside_indicator different");
  CHECK(one_change("[shelf]\ndays.drum = 30", "[shelf]\ndays.drum = \"until-damaged\"") == "shelf.days.drum looser");
  CHECK(one_change("[decontamination]\nmode = \"required\"", "[decontamination]\nmode = \"forbidden\"") ==
        "decontamination.mode different");
  CHECK(one_change("", "[recall]\npolicy = \"repeat-first\"") == "recall.policy looser");
}

TEST_CASE("a limit that is no longer stated is looser and a new one stricter") {
  CHECK(one_change("[boiling]\nminutes = 20", "") == "boiling.minutes looser");
  CHECK(one_change("", "[steam]\nsaturation_k = 2") == "steam.saturation_k stricter");
  CHECK(one_change("", "[cleaning]\nexempt_sets = [\"LINEN-\"]") == "cleaning.exempt_sets looser");
}

TEST_CASE("programs and pairs are matched by their temperature whatever their order") {
  const std::string hot = "[[steam.program]]\ntemperature_c = 134\nhold_minutes_wrapped = 3\n";
  const std::string cool = "[[steam.program]]\ntemperature_c = 121\nhold_minutes_wrapped = 15\n";
  CHECK(changes(hot + cool, cool + hot).empty());
  CHECK(one_change(hot + cool, hot + "[[steam.program]]\ntemperature_c = 121\nhold_minutes_wrapped = 30\n") ==
        "steam.program 121 hold_minutes_wrapped stricter");
  const auto more = changes("", "[[dry_heat.pair]]\ntemperature_c = 160\nminutes = 120\n");
  CHECK(more.at("dry_heat.pair 160 minutes") == "looser");
}

TEST_CASE("a kept edition of a newer program judges by what is known and names the rest") {
  const sop::Kept kept = sop::read_kept(
      "[sop]\ntitle = \"Newer\"\n[steam]\nsaturation_k = 2\nwarm_up_minutes = 5\n[robot]\narm = 3\n"
      "[decontamination]\nmode = \"by-mood\"\npercent = 0.5\n[[disinfectant]]\nagent = \"new-acid\"\npercent_min = 1\n"
      "[[disinfectant]]\nagent = \"glutaraldehyde\"\npercent_min = 1.5\nsmell = true\n");
  CHECK(kept.sop.title == "Newer");
  CHECK(kept.sop.steam_saturation_k == 2.0);
  CHECK(kept.sop.decontamination.percent == 0.5);
  CHECK(!kept.sop.decontamination.mode);
  REQUIRE(kept.sop.disinfectants.size() == 1);
  CHECK(kept.sop.disinfectants[0].agent == "glutaraldehyde");
  CHECK(kept.sop.disinfectants[0].percent_min == 1.5);
  std::string names;
  for (const std::string& one : kept.unknown) names += one + "; ";
  for (const char* wanted : {"[steam] warm_up_minutes", "robot", "[decontamination] mode", "[[disinfectant]] agent",
                             "[[disinfectant]] smell"}) {
    CHECK_MESSAGE(names.find(wanted) != std::string::npos, names);
  }
  CHECK(!sop::read("[steam]\nwarm_up_minutes = 5\n").ok());
}

TEST_CASE("a kept text that is no TOML judges nothing and says so") {
  const sop::Kept kept = sop::read_kept("[steam\nsaturation_k = ");
  CHECK(kept.unknown.size() == 1);
  CHECK(!kept.sop.steam_saturation_k);
}
