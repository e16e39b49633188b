// Numbers, days and times as the language that is spoken writes them: "0,5" and "14 oct. 2026 08:10" in French. In
// English as JSON and ISO 8601 have them. For what people read, never for what is stored, given to programs or typed
// again (docs/decisions/0086). The patterns and names are those of Unicode's CLDR; a month is always a word, so that no
// reader takes it for the day, and no point ever parts thousands. Outside English the spaces inside a day are those
// that no line is broken at (U+00A0): wherever it is folded, a day stands whole; between day and clock it may be
// folded.
#pragma once

#include <string>
#include <string_view>

#include "ledger/base/time.h"

namespace trayproof {

// A number as `rounded` or `shortest` made it, with the language's decimal mark.
std::string number_here(std::string_view plain);
// Rounded half away from zero to that many decimals, without trailing zeros.
std::string number_here(double value, int decimals);
// The same with groups of digits, "9,000" in English and "9 000" in French: a nought too many in a recipe has to be
// seen.
std::string amount_here(double value, int decimals);
// "2026-10-14" in English.
std::string day_here(const CivilDate& date);
// To the minute and without the offset, for places that name the zone: "2026-10-14 08:10" in English.
std::string minute_here(const DateTime& time);
// With seconds and offset: "2026-10-14T08:10:00.25+05:30" in English, which has it as it was recorded;
// "14 oct. 2026 08:10:00 +05:30" in French, where what is left of a second stays out.
std::string time_here(const DateTime& time);
// A recorded text: when all of it is a day or a time as format 1 writes them, as above; a month ("2026-10") likewise;
// else itself.
std::string written_here(std::string_view recorded);

}  // namespace trayproof
