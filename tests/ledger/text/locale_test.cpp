#include "ledger/text/locale.h"

#include "ledger/words/language.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

const DateTime morning = *parse_date_time("2026-10-14T08:10:05+05:30");
constexpr CivilDate day{2026, 10, 14};

}  // namespace

TEST_CASE("in English days and numbers are written as they are stored") {
  for (const Language language : {Language::english, Language::mirrored}) {
    const Speaking here(language);
    CHECK_EQ(number_here("31.5"), "31.5");
    CHECK_EQ(number_here(0.125, 2), "0.13");
    CHECK_EQ(day_here(day), "2026-10-14");
    CHECK_EQ(minute_here(morning), "2026-10-14 08:10");
    CHECK_EQ(time_here(morning), "2026-10-14T08:10:05+05:30");
    CHECK_EQ(time_here(*parse_date_time("2026-10-14T08:10:05.25+05:30")), "2026-10-14T08:10:05.25+05:30");
    CHECK_EQ(written_here("2026-10-14"), "2026-10-14");
    CHECK_EQ(written_here("2026-10"), "2026-10");
    CHECK_EQ(amount_here(9000, 3), "9,000");
    CHECK_EQ(amount_here(1234567.25, 1), "1,234,567.3");
    CHECK_EQ(amount_here(-9000, 0), "-9,000");
    CHECK_EQ(amount_here(-900, 0), "-900");
    CHECK_EQ(amount_here(12.5, 3), "12.5");
  }
}

// Unicode CLDR 42, the medium date and the number symbols of es, fr, hi and sw; python3-babel says the same of every
// month (tests/words/languages_test.py).
TEST_CASE("other languages have their decimal mark and the month as a word") {
  {
    const Speaking here(Language::french);
    CHECK_EQ(number_here("31.5"), "31,5");
    CHECK_EQ(number_here("-0.25"), "-0,25");
    CHECK_EQ(number_here("7"), "7");
    CHECK_EQ(number_here("1.5e-7"), "1,5e-7");
    CHECK_EQ(number_here(0.125, 2), "0,13");
    CHECK_EQ(day_here(day), "14\u00A0oct.\u00A02026");
    CHECK_EQ(minute_here(morning), "14\u00A0oct.\u00A02026 08:10");
    CHECK_EQ(time_here(morning), "14\u00A0oct.\u00A02026 08:10:05\u00A0+05:30");
  }
  {
    const Speaking here(Language::spanish);
    CHECK_EQ(number_here("31.5"), "31,5");
    CHECK_EQ(minute_here(morning), "14\u00A0oct\u00A02026 08:10");
  }
  {
    const Speaking here(Language::hindi);
    CHECK_EQ(number_here("31.5"), "31.5");
    CHECK_EQ(minute_here(morning), "14\u00A0अक्तू॰\u00A02026 08:10");
  }
  {
    const Speaking here(Language::swahili);
    CHECK_EQ(number_here("31.5"), "31.5");
    CHECK_EQ(minute_here(morning), "14\u00A0Okt\u00A02026 08:10");
  }
}

TEST_CASE("thousands of an amount are parted by what cannot be a decimal mark beside it") {
  const auto in = [](Language language) {
    const Speaking here(language);
    return amount_here(9000.5, 3) + "|" + amount_here(100, 0);
  };
  CHECK_EQ(in(Language::french), "9\u202F000,5|100");
  CHECK_EQ(in(Language::spanish), "9\u202F000,5|100");
  CHECK_EQ(in(Language::hindi), "9,000.5|100");
  CHECK_EQ(in(Language::swahili), "9,000.5|100");
}

TEST_CASE("a recorded text is written by language only where all of it is a day or a month or a time") {
  const Speaking here(Language::french);
  CHECK_EQ(written_here("2026-10-14"), "14\u00A0oct.\u00A02026");
  CHECK_EQ(written_here("2026-10"), "oct.\u00A02026");
  CHECK_EQ(written_here("2026-10-14T08:10:05.25+05:30"), "14\u00A0oct.\u00A02026 08:10:05\u00A0+05:30");
  CHECK_EQ(written_here("2026-10-14T08:10:00Z"), "14\u00A0oct.\u00A02026 08:10:00\u00A0+00:00");
  CHECK_EQ(written_here("1901-01-01"), "1\u00A0janv.\u00A01901");
  for (const char* other :
       {"", "2026-13", "2026-02-30", "2026-10-14 08:10", "DA-1014-2", "not-done", "0.5", "20261014"})
    CHECK_EQ(written_here(other), other);
}
