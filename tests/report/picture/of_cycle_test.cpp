// What is drawn of an import is what was judged.
#include "report/picture/of_cycle.h"

#include "ledger/base/files.h"
#include "report/picture/draw.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

struct Judged {
  sop::Editions editions;
  importer::Import import;
};

Judged judged(const std::string& logger_file) {
  const auto text = [](const std::string& path) {
    auto bytes = read_file(std::string(TRAYPROOF_SOURCE_DIR) + "/" + path, std::size_t{1} << 24);
    REQUIRE(bytes.ok());
    return std::move(bytes).value();
  };
  Judged out;
  auto sop = sop::read(as_text(text("samples/sop/labour-room.toml")));
  REQUIRE(sop.ok());
  out.editions.add(5, std::move(sop).value(), Instant{0}, Instant{0});
  importer::Surroundings around;
  around.altitude_m = 1180;
  around.editions = &out.editions;
  around.equipment_sort = "steam-sterilizer";
  out.import = importer::read_and_judge(text(logger_file), {}, around);
  REQUIRE(out.import.asks.empty());
  return out;
}

}  // namespace

TEST_CASE("hold band and lethality of the drawing are those of the judgement") {
  const Judged made = judged("samples/facility/loggers/drum-autoclave-14-october.csv");
  const auto curves = picture::of_import(made.import, made.editions, Zone::utc());
  REQUIRE(curves.size() == 2);
  for (std::size_t i = 0; i < curves.size(); ++i) {
    const importer::Cycle& cycle = made.import.cycles[i];
    REQUIRE(curves[i].hold.has_value());
    CHECK(curves[i].hold->minutes == doctest::Approx(*cycle.judged.find("hold")->number_at("minutes")).epsilon(1e-6));
    CHECK(curves[i].set_c == 121.0);
    CHECK(curves[i].band_top_c == 124.0);
    REQUIRE(curves[i].lethal.has_value());
    CHECK(curves[i].moments.back().lethality == doctest::Approx(*cycle.judged.number_at("f0")).epsilon(1e-6));
  }
  // The second has air in the chamber, which the drawing shades.
  CHECK(picture::draw(curves[0]).bytes().find("0.35") == std::string::npos);
  CHECK(picture::draw(curves[1]).bytes().find("0.35") != std::string::npos);
}

TEST_CASE("a file with no cycle is drawn as it is") {
  Judged made = judged("samples/loggers/power-cut.csv");
  made.import.cycles.clear();
  const auto curves = picture::of_import(made.import, made.editions, Zone::utc());
  REQUIRE(curves.size() == 1);
  CHECK_FALSE(curves[0].hold.has_value());
  CHECK(curves[0].moments.size() == made.import.samples.size());
}
