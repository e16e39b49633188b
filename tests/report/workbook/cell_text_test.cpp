#include "report/workbook/cell_text.h"

#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::workbook;

namespace {

// What stands in the cell; "byte N" where the text is refused.
std::string in_cell(const std::string& text) {
  std::string made;
  const CellChars chars = cell_chars(text, made);
  if (chars.text == nullptr) return "byte " + std::to_string(*chars.bad_byte);
  CHECK((chars.text == &text || chars.text == &made));
  return *chars.text;
}

}  // namespace

TEST_CASE("texts that may stand in a cell are handed on as they are") {
  for (const char* text : {"", "=1+1", "PK-100001", "snake_case_and_x", "two\nlines\tand a tab", "32.5 °C · नमूना",
                           "_x004", "_x00g1_", "exactly8", "exactly8exactly8"}) {
    CHECK_EQ(in_cell(text), text);
  }
}

TEST_CASE("wherever it stands a character that a cell cannot hold is shown as another") {
  for (std::size_t before = 0; before < 20; ++before) {
    for (std::size_t after = 0; after < 12; ++after) {
      const std::string head(before, 'a');
      const std::string tail(after, 'z');
      CHECK_EQ(in_cell(head + '\x01' + tail), head + "\xE2\x90\x81" + tail);
      CHECK_EQ(in_cell(head + '\0' + tail), head + "\xE2\x90\x80" + tail);
      CHECK_EQ(in_cell(head + '\x1f' + tail), head + "\xE2\x90\x9F" + tail);
      CHECK_EQ(in_cell(head + "\xEF\xBF\xBF" + tail), head + "\xEF\xBF\xBD" + tail);
      CHECK_EQ(in_cell(head + "_x0041_" + tail), head + "_x005F_x0041_" + tail);
      CHECK_EQ(in_cell(head + '\xff' + tail), "byte " + std::to_string(before));
    }
  }
}
