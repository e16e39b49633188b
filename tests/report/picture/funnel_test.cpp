#include "report/picture/funnel.h"

#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::picture;

namespace {

// Forty places around 90 %, one of them far below.
Funnel invented() {
  Funnel funnel;
  funnel.title = "Loads with <evidence>";
  funnel.lines = {"A line below."};
  funnel.overall = 0.9;
  for (int i = 1; i <= 40; ++i)
    funnel.places.push_back(
        {.volume = 25.0 * i, .share = 0.9 + (i % 2 == 0 ? 0.01 : -0.01), .name = "Place " + std::to_string(i)});
  funnel.places[19].share = 0.7;
  funnel.places[19].outside = true;
  for (double volume = 12; volume < 1000; volume *= 1.2) {
    funnel.narrow.push_back({volume, 0.9 - 0.6 / volume, 0.9 + 0.6 / volume});
    funnel.wide.push_back({volume, 0.9 - 1 / volume, 0.9 + 1 / volume});
  }
  return funnel;
}

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t found = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++found;
  return found;
}

}  // namespace

TEST_CASE("a funnel plot shows every place and names only those outside the wide limits") {
  const std::string svg = svg_file(invented());
  CHECK(svg == svg_file(invented()));
  CHECK(count(svg, "fill-opacity=\"1\"") == 40);  // a dot each
  CHECK(count(svg, ">Place ") == 1);
  CHECK(count(svg, ">Place 20<") == 1);
  CHECK(count(svg, "&lt;evidence&gt;") == 2);  // drawn, and as the name for who cannot see it
  CHECK(svg.find("<evidence>") == std::string::npos);
  for (const char* const name : {"95 %", "99.8 %", "all 90 %", "Share, %", "Volume"})
    CHECK_MESSAGE(svg.find(name) != std::string::npos, name);
}

TEST_CASE("a funnel plot is black on white and stays on its paper") {
  const std::string svg = svg_file(invented());
  for (std::size_t at = svg.find('#'); at != std::string::npos; at = svg.find('#', at + 1)) {
    const std::string colour = svg.substr(at, 4);
    CHECK((colour == "#000" || colour == "#fff"));
  }
  CHECK(svg.find("nan") == std::string::npos);
  CHECK(svg.find("inf") == std::string::npos);
  CHECK(svg.find("<script") == std::string::npos);
}

TEST_CASE("without a share of all or without places nothing is drawn and it says so") {
  for (const bool has_places : {true, false}) {
    Funnel funnel = invented();
    if (has_places)
      funnel.overall.reset();
    else
      funnel.places.clear();
    const std::string svg = svg_file(funnel);
    CHECK(svg.find("nothing that may be drawn") != std::string::npos);
    CHECK(count(svg, "fill-opacity") == 0);
    CHECK(svg.find("A line below.") != std::string::npos);
  }
}

TEST_CASE("one place with everything at a hundred per cent is drawn") {
  Funnel funnel;
  funnel.overall = 1;
  funnel.places.push_back({.volume = 5, .share = 1, .name = "Alone"});
  funnel.narrow = funnel.wide = {{5, 1, 1}};
  const std::string svg = svg_file(funnel);
  CHECK(svg.find("nan") == std::string::npos);
  CHECK(count(svg, "fill-opacity=\"1\"") == 1);
}
