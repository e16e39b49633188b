#include <string>

#include "ledger/sop/default.h"
#include "ledger/sop/sop.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

sop::Sop taken(std::string_view toml) {
  auto read = sop::read(toml);
  INFO((read.ok() ? std::string() : read.error().sentence()));
  REQUIRE(read.ok());
  return std::move(read).value();
}

std::string refusal(std::string_view toml) {
  const auto read = sop::read(toml);
  REQUIRE(!read.ok());
  CHECK_EQ(read.error().code(), ErrorCode::invalid);
  return read.error().sentence();
}

bool says(const std::string& text, std::string_view part) {
  INFO(text);
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("an empty file checks nothing and has the two defaults") {
  const sop::Sop sop = taken("");
  CHECK(!sop.decontamination.percent);
  CHECK(!sop.inside_indicator);
  CHECK(sop.release_methods ==
        std::vector<std::string>{"steam-gravity", "steam-prevacuum", "dry-heat", "chemical-sterilization"});
  CHECK_EQ(sop.records_clock_minutes, 5);
  CHECK(sop.recall_policy == sop::RecallPolicy::at_once);
  CHECK(!sop.confirmed);
}

TEST_CASE("shelf life is read from dotted keys and from a table of its own alike") {
  for (const char* toml : {"[shelf]\ndays.wrapped = 7\ndays.drum = \"until-damaged\"\n",
                           "[shelf.days]\nwrapped = 7\ndrum = \"until-damaged\"\n",
                           "shelf.days.wrapped = 7.0\nshelf.days.drum = \"until-damaged\"\n",
                           "shelf = { days = { wrapped = 7, drum = 'until-damaged' } }\n"}) {
    CAPTURE(toml);
    const sop::Sop sop = taken(toml);
    REQUIRE_EQ(sop.shelf.size(), 2u);
    CHECK_EQ(sop.shelf.at("wrapped").days, 7.0);
    CHECK(!sop.shelf.at("wrapped").until_damaged);
    CHECK(!sop.shelf.at("drum").days);
    CHECK(sop.shelf.at("drum").until_damaged);
  }
}

TEST_CASE("lists of tables keep their order and every member") {
  const sop::Sop sop = taken(
      "[[steam.program]]\ntemperature_c = 121\nband_k = 3\nhold_minutes_wrapped = 30\nhold_minutes_unwrapped = 20.5\n"
      "f0_min = 12\n[[steam.program]]\ntemperature_c = 134\n[[dry_heat.pair]]\ntemperature_c = 170\nminutes = 60\n"
      "[[disinfectant]]\nagent = \"glutaraldehyde\"\npercent_min = 1.5\ntemperature_c_min = 25\ndisinfect_minutes = "
      "45\n"
      "sterilize_hours = 10\nlife_days = 14\ntest = \"each-batch\"\n[steam]\nsaturation_k = 2\n");
  REQUIRE_EQ(sop.steam_programs.size(), 2u);
  CHECK_EQ(sop.steam_programs[0].hold_minutes_unwrapped, 20.5);
  CHECK_EQ(sop.steam_programs[1].temperature_c, 134);
  CHECK(!sop.steam_programs[1].band_k);
  REQUIRE_EQ(sop.dry_heat_pairs.size(), 1u);
  CHECK_EQ(sop.dry_heat_pairs[0].minutes, 60);
  REQUIRE(sop.disinfectant("glutaraldehyde") != nullptr);
  CHECK(sop.disinfectant("glutaraldehyde")->test == sop::TestRule::each_batch);
  CHECK(sop.disinfectant("peracetic-acid") == nullptr);
  CHECK_EQ(sop.steam_saturation_k, 2.0);
}

TEST_CASE("lists may be empty and an empty list is not an absent one") {
  const sop::Sop sop = taken("[packing]\ninside_indicator = []\n[release]\nmethods = []\nroles = [\"nurse\"]\n");
  REQUIRE(sop.inside_indicator);
  CHECK(sop.inside_indicator->empty());
  CHECK(sop.release_methods.empty());
  CHECK(sop.release_roles == std::vector<std::string>{"nurse"});
}

TEST_CASE("a tolerance of ten per cent may be spelt 10 or 0.1") {
  CHECK_EQ(taken("[decontamination]\npercent_tolerance = 10").decontamination.percent_tolerance, 0.1);
  CHECK_EQ(taken("[decontamination]\npercent_tolerance = 0.1").decontamination.percent_tolerance, 0.1);
}

TEST_CASE("an unknown key is refused with its place and the keys that may stand there") {
  const std::string text = refusal("[sop]\ntitle = \"x\"\n\n[boiling]\n  minute = 20\n");
  CHECK(says(text, "line 5, column 3"));
  CHECK(says(text, "minute"));
  CHECK(says(text, "[boiling]"));
  CHECK(says(text, "minutes"));
  CHECK(says(refusal("[boilng]\nminutes = 20\n"), "line 1"));
  CHECK(says(refusal("[shelf]\n\"days.wrapped\" = 7\n"), "unknown key"));
  CHECK(says(refusal("[shelf]\ndays.wraped = 7\n"), "days.wraped"));
  CHECK(says(refusal("[[steam.program]]\ntemperature_c = 121\nband = 3\n"), "line 3, column 1"));
}

TEST_CASE("a wrong type is refused with what was found and what is allowed") {
  const std::string text = refusal("[decontamination]\npercent = \"0.5\"\n");
  CHECK(says(text, "line 2, column 11"));
  CHECK(says(text, "[decontamination] percent"));
  CHECK(says(text, "the text \"0.5\""));
  CHECK(says(text, "a number above 0 and up to 100 (%)"));
  CHECK(says(refusal("[release]\nsecond_person = 1\n"), "true or false"));
  CHECK(says(refusal("[release]\nroles = \"nurse\"\n"), "a list"));
  CHECK(says(refusal("boiling = 20\n"), "a table"));
  CHECK(says(refusal("[steam.program]\ntemperature_c = 121\n"), "[[steam.program]]"));
  CHECK(says(refusal("[[disinfectant]]\npercent_min = 1.5\n"), "agent"));
  CHECK(says(refusal("[records]\nlate_hours = 1979-05-27\n"), "a date or time"));
  CHECK(says(refusal("[sop]\nconfirmed = \"yes\"\n"), "the text \"yes\""));
  CHECK(says(refusal("[records]\nburst_count = 20.5\n"), "a whole number"));
  CHECK(says(refusal("[recall]\ndrill_months = 0.5\n"), "found 0.5; allowed is a whole number"));
}

TEST_CASE("a value outside its range is refused") {
  CHECK(says(refusal("[shelf]\ndays.wrapped = 0\n"), "found 0"));
  CHECK(says(refusal("[shelf]\ndays.wrapped = 0.5\n"), "from 1"));
  CHECK(says(refusal("[shelf]\ndays.wrapped = \"for ever\"\n"), "until-damaged"));
  CHECK(says(refusal("[decontamination]\npercent = 100.1\n"), "found 100.1"));
  CHECK(says(refusal("[decontamination]\nsoak_minutes_min = -1\n"), "found -1"));
  CHECK(says(refusal("[decontamination]\nmode = \"sometimes\"\n"), "required, allowed, forbidden"));
  CHECK(says(refusal("[boiling]\nminutes = nan\n"), "not finite"));
  CHECK(says(refusal("[boiling]\nminutes = inf\n"), "not finite"));
  CHECK(says(refusal("[release]\nmethods = [\"steam\"]\n"), "steam-gravity"));
  CHECK(says(refusal("[recall]\npolicy = \"never\"\n"), "at-once, repeat-first"));
  CHECK(says(refusal("[sop]\napproved_by = \"Dr A Person\"\n"), "never a name"));
  CHECK_EQ(taken("[sop]\napproved_by = \"p-14\"\n").approved_by, "p-14");
}

TEST_CASE("values that contradict each other are refused") {
  CHECK(says(refusal("[decontamination]\nsoak_minutes_min = 10\nsoak_minutes_max = 5\n"), "line 3"));
  CHECK(says(refusal("[records]\nlate_hours = 24\nvery_late_hours = 4\n"), "24"));
  CHECK(says(refusal("[[steam.program]]\ntemperature_c = 121\n[[steam.program]]\ntemperature_c = 121.0\n"), "line 4"));
  CHECK(says(refusal("[[disinfectant]]\nagent = \"glutaraldehyde\"\n[[disinfectant]]\nagent = \"glutaraldehyde\"\n"),
             "line 4"));
  taken("[decontamination]\nsoak_minutes_min = 10\nsoak_minutes_max = 10\n");
}

TEST_CASE("text that is no TOML is refused with line and column") {
  CHECK(says(refusal("[sop]\ntitle = \n"), "line 2"));
  CHECK(says(refusal("[boiling]\nminutes = 20\nminutes = 30\n"), "line 3"));
  CHECK(says(refusal("[sop]\ntitle = \"\xff\"\n"), "line 2"));
  CHECK(says(refusal("[boiling]\nminutes = 020\n"), "line 2"));
  CHECK(says(refusal(std::string(200 * 1024, '\n')), "131072"));
}

TEST_CASE("all refusals come at once and in the order of the file") {
  const std::string text = refusal("[washer]\na0_min = 0\n[boiling]\nminutes = 0\nseconds = 3\n");
  const auto first = text.find("line 2");
  const auto second = text.find("line 4");
  const auto third = text.find("line 5");
  REQUIRE(third != std::string::npos);
  CHECK(first < second);
  CHECK(second < third);
}

TEST_CASE("the edition in the program is the labour-room one and is not confirmed") {
  const sop::Sop sop = taken(sop::default_sop());
  CHECK(!sop.confirmed);
  CHECK(sop.decontamination.mode == sop::SoakMode::required);
  CHECK_EQ(sop.shelf.at("wrapped").days, 7.0);
}

TEST_CASE("a table whose name begins with a letter that TOML does not take is refused with its line") {
  for (const char* toml : {"[é]", "[[é]]", "\n[ =]", "[\xF0\x9F\x98\x82sop]", "[.]", "[sop.é]"}) {
    INFO(std::string(toml));
    CHECK(says(refusal(toml), "line "));
  }
}
