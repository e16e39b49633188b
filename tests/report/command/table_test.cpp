#include "report/command/table.h"

#include "ledger/text/locale.h"
#include "ledger/words/language.h"
#include "report/command/layout.h"
#include "tests/support/test.h"

using namespace trayproof;
using command::table_text;
using command::TableColumn;

namespace {

using Rows = std::vector<std::vector<std::string>>;

const std::vector<TableColumn> columns = {{"id"}, {"when"}, {"says"}};

// In the language that is spoken; some days are longer than others.
Rows rows_here() {
  Rows rows;
  for (const char* const at : {"2026-10-01T10:10:00+05:00", "2026-05-05T09:15:00+05:00"})
    rows.push_back({"PK-0001", minute_here(*parse_date_time(at)), "was opened and then put back on its shelf"});
  return rows;
}

}  // namespace

TEST_CASE("marks over a letter take no column and blanks that are not folded at take one") {
  CHECK_EQ(command::display_width("\u0905\u0915\u094D\u0924\u0942\u0970"), 4);
  CHECK_EQ(command::display_width("14\u00A0oct.\u00A02026"), 12);
  CHECK_EQ(command::display_width("9\u202F000"), 5);
}

TEST_CASE("a table folds its widest column first") {
  CHECK_EQ(table_text(columns, rows_here(), 40),
           "id       when            says\n"
           "-------  --------------  ---------------\n"
           "PK-0001  2026-10-01      was opened and\n"
           "         10:10           then put back\n"
           "                         on its shelf\n"
           "PK-0001  2026-05-05      was opened and\n"
           "         09:15           then put back\n"
           "                         on its shelf\n");
}

TEST_CASE("outside English a day and its clock are folded only where nothing else can be") {
  const Speaking here(Language::french);
  CHECK_EQ(table_text(columns, rows_here(), 40),
           "id       when               says\n"
           "-------  -----------------  ------------\n"
           "PK-0001  1\u00A0oct.\u00A02026 10:10  was opened\n"
           "                            and then put\n"
           "                            back on its\n"
           "                            shelf\n"
           "PK-0001  5\u00A0mai\u00A02026 09:15   was opened\n"
           "                            and then put\n"
           "                            back on its\n"
           "                            shelf\n");
}

TEST_CASE("a day is never folded in itself") {
  for (const Language language : {Language::spanish, Language::french, Language::hindi, Language::swahili}) {
    const Speaking here(language);
    const std::string day = day_here({2026, 10, 1});
    for (std::size_t width = 12; width < 80; ++width) {
      const std::string text = table_text(columns, rows_here(), width);
      CAPTURE(text);
      CHECK(text.find(day) != std::string::npos);
    }
  }
}
