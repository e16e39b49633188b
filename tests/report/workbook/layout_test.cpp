#include "report/workbook/sheets/layout.h"

#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::workbook;

namespace {

std::string list_of(std::size_t count, const std::string& item) {
  return listed(std::vector<std::string>(count, item), "\n");
}

}  // namespace

TEST_CASE("a list takes as many items as a cell has units and not bytes") {
  // 31 letters of three bytes and a line end: 32 units, and room for 32,567.
  std::string item;
  for (int i = 0; i < 31; ++i) item += "न";
  CHECK_EQ(utf16_units(list_of(1017, item)), 1017 * 32 - 1);
  const std::string cut = list_of(1020, item);
  CHECK(cut.ends_with("\nand 3 more"));
  CHECK_EQ(utf16_units(cut), 1017 * 32 - 1 + 11);
  CHECK(list_of(1018, item).ends_with("\nand 1 more"));
}

TEST_CASE("once an item did not fit none after it is taken") {
  CHECK_EQ(listed({"a", std::string(40'000, 'x'), "b"}, "\n"), "a\nand 2 more");
  CHECK_EQ(listed({std::string(40'000, 'x')}, "\n"), "\nand 1 more");
  CHECK_EQ(listed({}, "\n"), "");
  CHECK_EQ(listed({"", ""}, ", "), ", ");
}
