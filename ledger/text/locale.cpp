#include "ledger/text/locale.h"

#include <unicode/dcfmtsym.h>
#include <unicode/dtptngen.h>
#include <unicode/locid.h>
#include <unicode/numberformatter.h>
#include <unicode/smpdtfmt.h>

#include <algorithm>
#include <map>
#include <memory>

#include "ledger/base/check.h"
#include "ledger/base/number.h"
#include "ledger/words/language.h"

namespace trayproof {
namespace {

constexpr const char* no_break_space = "\u00A0";

bool as_in_english() { return language() == Language::english || language() == Language::mirrored; }

struct Marks {
  std::string decimal;
  icu::number::LocalizedNumberFormatter amount;
  // ICU's formats may be used by one thread at a time.
  std::unique_ptr<icu::SimpleDateFormat> month;
  std::unique_ptr<icu::SimpleDateFormat> day;
  std::unique_ptr<icu::SimpleDateFormat> minute;
  std::unique_ptr<icu::SimpleDateFormat> second;
};

std::string utf8(const icu::UnicodeString& text) {
  std::string out;
  return text.toUTF8String(out);
}

Marks marks_of(Language language) {
  UErrorCode status = U_ZERO_ERROR;
  const icu::Locale locale(std::string(facts_of(language).tag).c_str());
  icu::DecimalFormatSymbols symbols(locale, status);
  const std::unique_ptr<icu::DateTimePatternGenerator> patterns(
      icu::DateTimePatternGenerator::createInstance(locale, status));
  CHECK(U_SUCCESS(status));
  // Spanish parts thousands by a point, which the English beside it has for decimals: the narrow space that the SI
  // brochure (9th edition, 5.4.4) has for both.
  constexpr auto grouping = icu::DecimalFormatSymbols::kGroupingSeparatorSymbol;
  if (symbols.getConstSymbol(grouping) == u".") symbols.setSymbol(grouping, u"\u202F");
  icu::UnicodeString month = patterns->getBestPattern(u"yMMM", status);
  icu::UnicodeString day = patterns->getBestPattern(u"yMMMd", status);
  for (icu::UnicodeString* const one : {&month, &day}) one->findAndReplace(u" ", u"\u00A0");
  // A day and a clock stand side by side in tables: without the comma or the word that sentences have between them.
  const auto format = [&](const icu::UnicodeString& pattern) {
    auto made = std::make_unique<icu::SimpleDateFormat>(pattern, locale, status);
    CHECK(U_SUCCESS(status));
    made->setTimeZone(*icu::TimeZone::getGMT());  // zones are ours: an instant comes with its offset
    return made;
  };
  return {.decimal = utf8(symbols.getConstSymbol(icu::DecimalFormatSymbols::kDecimalSeparatorSymbol)),
          .amount = icu::number::NumberFormatter::withLocale(locale)
                        .symbols(symbols)
                        .grouping(UNUM_GROUPING_ON_ALIGNED)
                        .precision(icu::number::Precision::unlimited()),
          .month = format(month),
          .day = format(day),
          .minute = format(day + u" HH:mm"),
          .second = format(day + u" HH:mm:ss")};
}

const Marks& marks() {
  thread_local std::map<Language, Marks> made;
  auto found = made.find(language());
  if (found == made.end()) found = made.emplace(language(), marks_of(language())).first;
  return found->second;
}

std::string written(const icu::SimpleDateFormat& format, std::int64_t local_ms) {
  icu::UnicodeString out;
  format.format(static_cast<UDate>(local_ms), out);
  return utf8(out);
}

std::int64_t local_ms(const DateTime& time) { return time.instant.ms + time.offset_minutes * minute_ms; }

}  // namespace

std::string number_here(std::string_view plain) {
  std::string out(plain);
  if (as_in_english()) return out;
  const std::size_t point = out.find('.');
  if (point != std::string::npos) out.replace(point, 1, marks().decimal);
  return out;
}

std::string number_here(double value, int decimals) { return number_here(rounded(value, decimals)); }

std::string amount_here(double value, int decimals) {
  std::string plain = rounded(value, decimals);
  if (as_in_english()) {
    const std::size_t point = std::min(plain.find('.'), plain.size());
    const std::size_t first = plain.front() == '-' ? 1 : 0;
    for (std::size_t at = point; at > first + 3; at -= 3) plain.insert(at - 3, ",");
    return plain;
  }
  UErrorCode status = U_ZERO_ERROR;
  const auto made = marks().amount.formatDecimal(icu::StringPiece(plain), status).toString(status);
  CHECK(U_SUCCESS(status));
  return utf8(made);
}

std::string day_here(const CivilDate& date) {
  if (as_in_english()) return format_date(date);
  return written(*marks().day, days_since_epoch(date) * day_ms);
}

std::string minute_here(const DateTime& time) {
  if (!as_in_english()) return written(*marks().minute, local_ms(time));
  std::string whole = format_date_time(time);
  constexpr std::size_t to_the_minute = 16;
  whole.resize(to_the_minute);
  whole[10] = ' ';
  return whole;
}

std::string time_here(const DateTime& time) {
  const std::string plain = format_date_time(time);
  if (as_in_english()) return plain;
  constexpr std::size_t offset_size = 6;  // "+05:30"
  return written(*marks().second, local_ms(time)) + no_break_space + plain.substr(plain.size() - offset_size);
}

std::string written_here(std::string_view recorded) {
  if (as_in_english()) return std::string(recorded);
  if (const auto date = parse_date(recorded)) return day_here(*date);
  if (recorded.size() == 7) {
    if (const auto first = parse_date(std::string(recorded) + "-01"))
      return written(*marks().month, days_since_epoch(*first) * day_ms);
  }
  const auto time = parse_date_time(recorded);
  return time ? time_here(*time) : std::string(recorded);
}

}  // namespace trayproof
