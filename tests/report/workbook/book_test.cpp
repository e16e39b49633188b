#include "report/workbook/book.h"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <limits>

#include "report/workbook/write.h"
#include "tests/report/workbook/invented.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::workbook;

namespace {

namespace fs = std::filesystem;

fs::path folder() {
  const fs::path path = fs::temp_directory_path() / ("trayproof-workbook-" + std::to_string(std::rand()));
  fs::create_directories(path);
  return path;
}

std::string bytes(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

Result<Book> begin_book(const fs::path& path, std::size_t rows) {
  return Book::begin({.path = path,
                      .title = "t",
                      .subject = "s",
                      .created = Instant{1'700'000'000'000},
                      .zone = Zone::utc(),
                      .footer_left = "l",
                      .footer_right = "r",
                      .rows = rows});
}

Grid one_cell(Cell cell) {
  Grid grid;
  grid.name = "Sheet";
  grid.title = "title";
  grid.note = "note";
  grid.columns = {{"heading", 20}};
  grid.rows = {{std::move(cell)}};
  return grid;
}

// The sentence of the refusal, or nothing when the book was written.
std::string refusal_of(Cell cell) {
  const fs::path dir = folder();
  auto book = begin_book(dir / "book.xlsx", 1);
  REQUIRE(book.ok());
  book.value().add(one_cell(std::move(cell)));
  const auto done = book.value().finish();
  CHECK_EQ(fs::exists(dir / "book.xlsx"), done.ok());
  return done.ok() ? "" : done.error().sentence();
}

bool says(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("the same facts give the same bytes and leave no other file") {
  const fs::path dir = folder();
  REQUIRE(write(dir / "a.xlsx", invented_facts()).ok());
  REQUIRE(write(dir / "b.xlsx", invented_facts()).ok());
  CHECK(bytes(dir / "a.xlsx") == bytes(dir / "b.xlsx"));
  CHECK(bytes(dir / "a.xlsx").size() > 5000);
  CHECK_EQ(std::distance(fs::directory_iterator(dir), fs::directory_iterator()), 2);
  fs::remove_all(dir);
}

TEST_CASE("the book that the outside reader opens") {
  const char* path = std::getenv("TRAYPROOF_WORKBOOK");
  const fs::path out = path != nullptr ? fs::path(path) : folder() / "invented.xlsx";
  CHECK(write(out, invented_facts()).ok());
}

TEST_CASE("numbers that are not finite are refused with their place") {
  const std::string text = refusal_of(Number{std::numeric_limits<double>::quiet_NaN(), 2});
  CHECK(says(text, "Sheet, row 4, heading"));
  CHECK(says(text, "not finite"));
  CHECK(says(refusal_of(Number{std::numeric_limits<double>::infinity(), 0}), "not finite"));
}

TEST_CASE("text that is no UTF-8 or does not fit a cell is refused") {
  CHECK(says(refusal_of(text("a\xff")), "byte 2"));
  CHECK(says(refusal_of(text(std::string(32768, 'x'))), "32767"));
  CHECK_EQ(refusal_of(text(std::string(32767, 'x'))), "");
}

TEST_CASE("a link to a sheet that is not there is refused") {
  CHECK(says(refusal_of(Link{"Elsewhere", "text"}), "Elsewhere"));
  CHECK_EQ(refusal_of(Link{"Sheet", "text"}), "");
}

TEST_CASE("past the links that a sheet takes the text stands without one and is counted") {
  const fs::path dir = folder();
  Grid grid = one_cell(text("first"));
  grid.rows.assign(65'600, Row{Link{"Sheet", "x", Rows{7, 2}}});
  auto book = begin_book(dir / "book.xlsx", grid.rows.size());
  REQUIRE(book.ok());
  book.value().add(grid);
  CHECK_EQ(book.value().links_left_out(), 70);
  CHECK(book.value().finish().ok());
  CHECK(fs::exists(dir / "book.xlsx"));
  fs::remove_all(dir);
}

TEST_CASE("times before the first day that spreadsheets know become text") {
  CHECK_EQ(refusal_of(Instant{-2'208'988'800'000}), "");  // 1900-01-01
}

TEST_CASE("an unwritable place is an error and what stood there stays whole") {
  CHECK(!write("/proc/no/such/place.xlsx", invented_facts()).ok());
  const fs::path dir = folder();
  std::ofstream(dir / "a.xlsx") << "older";
  Facts broken = invented_facts();
  broken.cases[0].place = "\xff";
  CHECK(!write(dir / "a.xlsx", broken).ok());
  CHECK_EQ(bytes(dir / "a.xlsx"), "older");
  CHECK_EQ(std::distance(fs::directory_iterator(dir), fs::directory_iterator()), 1);
  REQUIRE(write(dir / "a.xlsx", invented_facts()).ok());
  CHECK(bytes(dir / "a.xlsx") != "older");
  fs::remove_all(dir);
}

TEST_CASE("a facility with a long name in another script does not overrun the footer") {
  const fs::path dir = folder();
  Facts facts = invented_facts();
  facts.facility.clear();
  for (int i = 0; i < 200; ++i) facts.facility += "अ&";
  CHECK(write(dir / "a.xlsx", facts).ok());
  fs::remove_all(dir);
}

TEST_CASE("a load with thousands of gaps is cut with a count and written") {
  const fs::path dir = folder();
  Facts facts = invented_facts();
  facts.loads[0].gaps.assign(4000, "hold-too-short of a load");
  CHECK(write(dir / "a.xlsx", facts).ok());
  fs::remove_all(dir);
}

TEST_CASE("a row is as high as its picture however high that is") {
  constexpr double excels_most = 409, points_a_pixel = 0.75, above = 3 * points_a_pixel;
  for (double height = 100; height < 3000; height += 7) {
    const double points = workbook::picture_row_points(height);
    CHECK(points <= excels_most);
    CHECK(height * workbook::picture_scale(height) * points_a_pixel + above <= points);
  }
  CHECK(workbook::picture_scale(300) == workbook::picture_scale(400));
}

TEST_CASE("facts without any row still make a book") {
  const fs::path dir = folder();
  Facts facts;
  facts.facility = "Empty";
  facts.data_as_of = Instant{1'700'000'000'000};
  CHECK(write(dir / "a.xlsx", facts).ok());
  fs::remove_all(dir);
}

TEST_CASE("rows that are laid out when they are written give the same bytes") {
  const fs::path dir = folder();
  Grid held = one_cell(text("first"));
  held.rows.clear();
  for (int i = 0; i < 3000; ++i)
    held.rows.push_back({i % 7 == 0 ? time(Instant{i * day_ms}) : text(std::to_string(i))});
  Grid later = one_cell(text("first"));
  later.rows.clear();
  later.source = {held.rows.size(), [&](std::size_t index, Row& row) {
                    CHECK(row.empty());
                    const auto* own = std::get_if<Text>(&held.rows[index][0]);
                    put(row, own != nullptr ? borrowed(own->text.str()) : held.rows[index][0]);
                  }};
  for (const std::size_t rows : {std::size_t{1}, held.rows.size()}) {  // held by the library, and not
    for (const auto& [name, grid] : {std::pair("held.xlsx", &held), std::pair("later.xlsx", &later)}) {
      auto book = begin_book(dir / name, rows);
      REQUIRE(book.ok());
      book.value().add(*grid);
      REQUIRE(book.value().finish().ok());
    }
    CHECK(bytes(dir / "held.xlsx") == bytes(dir / "later.xlsx"));
  }
  fs::remove_all(dir);
}

TEST_CASE("a book that is written without being held takes the same rows") {
  const fs::path dir = folder();
  Grid grid = one_cell(text("wide"));
  grid.filter = false;
  grid.columns = {{"a", 10}, {"b", 10}, {"c", 10}};
  grid.rows = {{text("only")}, {text("key"), Instant{1'700'000'000'000}}, {whole(1), Link{"Sheet", "x"}, Cell()}};
  auto book = begin_book(dir / "book.xlsx", 200'000);
  REQUIRE(book.ok());
  book.value().add(grid);
  const auto done = book.value().finish();
  INFO((done.ok() ? std::string() : done.error().sentence()));
  CHECK(done.ok());
  fs::remove_all(dir);
}
