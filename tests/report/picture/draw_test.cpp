#include "report/picture/draw.h"

#include <algorithm>
#include <cmath>

#include "report/picture/canvas.h"
#include "report/picture/labels.h"
#include "report/picture/scale.h"
#include "report/picture/stroke.h"
#include "report/picture/terminal.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::picture;

namespace {

constexpr double none = NAN;

// Up to 122 °C in ten minutes, held for thirty, down again; a reading each ten seconds.
Curve invented() {
  Curve curve;
  curve.title = "Load <L-1> & more";
  curve.start = Instant{1'760'000'400'000};
  curve.set_c = 121;
  curve.band_top_c = 124;
  curve.hold = HoldSpan{.from_s = 600, .until_s = 2400, .minutes = 30};
  curve.gap_s = 90;
  for (double at = 0; at <= 3000; at += 10) {
    const double c = at < 600 ? 20 + at * 102 / 600 : at <= 2400 ? 122 : 122 - (at - 2400) / 10;
    curve.moments.push_back({at, c, c, none, none, none});
  }
  return curve;
}

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t found = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++found;
  return found;
}

}  // namespace

TEST_CASE("the same curve gives the same bytes") { CHECK(svg_file({invented()}) == svg_file({invented()})); }

TEST_CASE("what a curve is called is escaped in the drawing and beside it") {
  const std::string svg = draw(invented()).bytes();
  CHECK(svg.find("<L-1>") == std::string::npos);
  CHECK(count(svg, "Load &lt;L-1&gt; &amp; more") == 2);  // drawn, and as the name for who cannot see it
}

TEST_CASE("a drawing names its lines and limits and uses no colour") {
  const std::string svg = draw(invented()).bytes();
  for (const char* name : {"measured", "set 121", "top of band 124", "hold 30 min", "Temperature, °C"})
    CHECK_MESSAGE(svg.find(name) != std::string::npos, name);
  for (std::size_t at = svg.find("#"); at != std::string::npos; at = svg.find("#", at + 1)) {
    const std::string colour = svg.substr(at, 4);
    CHECK((colour == "#000" || colour == "#fff"));
  }
  CHECK(svg.find("<script") == std::string::npos);
  CHECK(svg.find("href") == std::string::npos);
}

TEST_CASE("the name of a limit stands where no line runs through it") {
  const Stroke level{{0, 100}, {400, 100}};
  const auto named = [&](const std::vector<Stroke>& lines) {
    Labels labels({.left = 0, .top = 0, .width = 400, .height = 200});
    labels.keep_clear({level});
    labels.keep_clear(lines);
    return labels.along(level, 80, 14, Labels::Side::above);
  };
  const Box free = named({});
  CHECK(free.left + free.width > 380);
  CHECK(free.top + free.height < 100);
  const Box moved = named({{{250, 86}, {400, 92}}});
  CHECK((moved.left + moved.width <= 250 || moved.top > 100));
  const Box left = named({{{250, 86}, {400, 92}}, {{200, 110}, {400, 112}}});
  CHECK(left.left + left.width <= 250);
}

TEST_CASE("the least F0 is named where neither the edges of the hold nor the curve run") {
  // What is drawn, where.
  class Drawn : public Canvas {
   public:
    void text(Place base, std::string_view plain, const Type&) override {
      if (plain.starts_with("at least")) named = base;
    }
    void rule(Place from, Place until, const Line& line) override {
      if (line.dashes.empty()) rules.push_back({from, until});
    }
    void lines(const std::vector<Stroke>& strokes, const Line&) override {
      rules.insert(rules.end(), strokes.begin(), strokes.end());
    }
    void frame(const Box&, double) override {}
    void shade(const Box&, double) override {}
    void shade(const Stroke&, double) override {}
    Place named;
    std::vector<Stroke> rules;
  };
  for (const double hold_from_s : {100.0, 300.0, 600.0, 1200.0}) {
    for (const double gathered : {5.0, 12.0, 40.0}) {
      CAPTURE(hold_from_s);
      CAPTURE(gathered);
      Curve curve = invented();
      curve.hold = HoldSpan{.from_s = hold_from_s, .until_s = 2400, .minutes = (2400 - hold_from_s) / 60};
      curve.lethal = Lethal{.name = "F0", .unit = "min", .reference_c = 121.1, .least = 12};
      for (Moment& moment : curve.moments)
        moment.lethality = gathered * std::clamp((moment.at_s - hold_from_s) / (2400 - hold_from_s), 0.0, 1.0);
      Drawn drawn;
      draw_on(drawn, curve);
      REQUIRE(drawn.named.x > 0);
      const double right = drawn.named.x + text_width("at least 12 min", 11) - 6;  // which is too wide rather
      for (const Stroke& stroke : drawn.rules) {
        for (std::size_t i = 1; i < stroke.size(); ++i) {
          for (int k = 0; k <= 200; ++k) {
            const double x = stroke[i - 1].x + (stroke[i].x - stroke[i - 1].x) * k / 200;
            const double y = stroke[i - 1].y + (stroke[i].y - stroke[i - 1].y) * k / 200;
            const bool crosses = x > drawn.named.x && x < right && y > drawn.named.y - 8 && y < drawn.named.y;
            if (crosses) FAIL("a line runs through the name at ", x, " ", y);
          }
        }
      }
    }
  }
}

TEST_CASE("a panel is drawn only for what was measured") {
  Curve curve = invented();
  CHECK(draw(curve).bytes().find("Pressure") == std::string::npos);
  for (Moment& moment : curve.moments) moment.pressure_kpa_abs = 100 + moment.at_s / 100;
  curve.pressure_as_read = "bar, gauge, channel P1";
  CHECK(draw(curve).bytes().find("in the file: bar, gauge, channel P1") != std::string::npos);
}

TEST_CASE("a hole in the readings is a hole in the line") {
  Curve curve = invented();
  const Scale across{.low = 0, .high = 3000, .from = 0, .until = 400};
  const Scale up{.low = 0, .high = 150, .from = 100, .until = 0};
  CHECK(strokes_of(curve, &Moment::cold_c, across, up).size() == 1);
  curve.moments.erase(curve.moments.begin() + 100, curve.moments.begin() + 120);
  CHECK(strokes_of(curve, &Moment::cold_c, across, up).size() == 2);
  curve.moments[10].cold_c = none;
  CHECK(strokes_of(curve, &Moment::cold_c, across, up).size() == 3);
}

TEST_CASE("a hundred thousand readings are thinned and no peak or dip is lost") {
  Curve curve;
  for (int i = 0; i < 100'000; ++i) {
    const double c = i == 40'321 ? 3 : i == 70'123 ? 140 : 120;
    curve.moments.push_back({static_cast<double>(i), c, c, none, none, none});
  }
  const Scale across{.low = 0, .high = 100'000, .from = 0, .until = 400};
  const Scale up{.low = 0, .high = 150, .from = 150, .until = 0};
  const auto strokes = strokes_of(curve, &Moment::cold_c, across, up);
  REQUIRE(strokes.size() == 1);
  CHECK(strokes[0].size() <= 4 * 801);
  double top = 150;
  double bottom = 0;
  for (const Place& place : strokes[0]) {
    top = std::min(top, place.y);
    bottom = std::max(bottom, place.y);
  }
  CHECK(top == doctest::Approx(10));
  CHECK(bottom == doctest::Approx(147));
}

TEST_CASE("marks along an axis are round") {
  CHECK(round_marks(38, 126, 7) == std::vector<double>{40, 60, 80, 100, 120});
  CHECK(round_marks(0, 0, 7).empty());
  const auto zone = Zone::find("Asia/Kolkata");  // half an hour beside the whole one
  REQUIRE(zone.ok());
  // 1760000400 is 2025-10-09T09:00:00Z, half past two there.
  const auto marks = time_marks(Instant{1'760'000'400'000}, zone.value(), 0, 7200, 5);
  REQUIRE(marks.size() == 5);
  CHECK(marks.front().text == "14:30");
  CHECK(marks[1].text == "15:00");
  CHECK(marks[1].at_s == doctest::Approx(1800));
  CHECK(time_marks(std::nullopt, Zone::utc(), 0, 600, 5).back().text == "10");
}

TEST_CASE("in a terminal the curve keeps to the columns it is given") {
  const auto lines = sketch(invented(), 60);
  REQUIRE(lines.size() == 10);
  CHECK(lines[0].find("122") != std::string::npos);
  CHECK(lines[8].find("hold 30 min") != std::string::npos);
  CHECK(sketch(invented(), 12).empty());
  CHECK(sketch(Curve{}, 80).empty());
}

TEST_CASE("a curve with nothing to draw says so") {
  CHECK(draw(Curve{}).bytes().find("too few readings") != std::string::npos);
}
