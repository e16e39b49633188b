#include "importer/reading/stamps.h"

#include <algorithm>
#include <string>

#include "importer/reading/records.h"
#include "importer/reading/zone_words.h"

namespace trayproof::reading {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }
bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c & 0x80) != 0; }
char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; }

// Reads forward through a text.
class Reader {
 public:
  explicit Reader(std::string_view text) : text_(text) {}
  bool done() const { return at_ >= text_.size(); }
  char peek() const { return done() ? '\0' : text_[at_]; }
  bool take(char c) {
    if (peek() != c || done()) return false;
    ++at_;
    return true;
  }
  void blanks() {
    while (!done()) {
      const std::string_view rest = text_.substr(at_);
      if (rest.front() == ' ')
        at_ += 1;
      else if (rest.starts_with("\xC2\xA0"))
        at_ += 2;
      else if (rest.starts_with("\xE2\x80\xAF"))
        at_ += 3;
      else
        break;
    }
  }
  // A run of at most `most` digits; nothing when there is none.
  std::optional<int> number(int most, int& count) {
    count = 0;
    int value = 0;
    while (!done() && is_digit(text_[at_]) && count < most) {
      value = value * 10 + (text_[at_++] - '0');
      ++count;
    }
    if (count == 0 || (!done() && is_digit(text_[at_]))) return std::nullopt;
    return value;
  }
  std::string_view word() {
    const std::size_t first = at_;
    while (!done() && is_letter(text_[at_])) ++at_;
    return text_.substr(first, at_ - first);
  }
  std::string_view rest() const { return text_.substr(at_); }
  std::size_t at() const { return at_; }
  void move(std::size_t at) { at_ = at; }

 private:
  std::string_view text_;
  std::size_t at_ = 0;
};

// As loggers set to another language write them, full or cut; one spelling that two months share names neither.
constexpr std::array<std::string_view, 12> month_names = {
    "january januar janvier enero janeiro gennaio januari stycznia styczeń",
    "february februar février fevrier febrero fevereiro febbraio februari lutego luty",
    "march märz maerz mars marzo março marco maart marca marzec mrz",
    "april avril abril aprile kwietnia kwiecień",
    "may mai mayo maio maggio mei maja maj",
    "june juni juin junio junho giugno czerwca czerwiec",
    "july juli juillet julio julho luglio lipca lipiec",
    "august août aout agosto augustus sierpnia sierpień",
    "september septembre septiembre setiembre setembro settembre września wrzesień sept",
    "october oktober octobre octubre outubro ottobre października październik",
    "november novembre noviembre novembro listopada listopad",
    "december dezember décembre decembre diciembre dezembro dicembre desember grudnia grudzień"};

std::optional<int> month_named(std::string_view word) {
  std::string text;
  for (const char c : word) text += lower(c);
  if (text.size() < 3) return std::nullopt;
  std::optional<int> found;
  for (std::size_t i = 0; i < month_names.size(); ++i) {
    std::string_view names = month_names[i];
    while (!names.empty()) {
      const std::size_t end = std::min(names.find(' '), names.size());
      const std::string_view name = names.substr(0, end);
      names.remove_prefix(std::min(end + 1, names.size()));
      if (name == text) return static_cast<int>(i) + 1;
      if (!name.starts_with(text)) continue;
      if (found && *found != static_cast<int>(i) + 1) return std::nullopt;
      found = static_cast<int>(i) + 1;
    }
  }
  return found;
}

bool skip_weekday(Reader& reader) {
  const std::size_t start = reader.at();
  const std::string_view word = reader.word();
  static constexpr std::array<std::string_view, 7> days = {"mon", "tue", "wed", "thu", "fri", "sat", "sun"};
  std::string text;
  for (const char c : word.substr(0, 3)) text += lower(c);
  if (word.size() >= 3 && std::find(days.begin(), days.end(), text) != days.end()) {
    reader.take('.');
    reader.take(',');
    reader.blanks();
    return true;
  }
  reader.move(start);
  return false;
}

bool date_separator(Reader& reader, char& separator) {
  const char c = reader.peek();
  if (c != '/' && c != '-' && c != '.') return false;
  if (separator != 0 && separator != c) return false;
  separator = c;
  reader.take(c);
  if (c == '.') reader.blanks();  // "1. 5. 2024"
  return true;
}

// "01-May-2024", "1 May 2024", "May 1, 2024", "2024-May-01".
std::optional<RawDate> named_date(Reader& reader) {
  const auto gap = [&] {
    while (reader.take(' ') || reader.take('-') || reader.take('.') || reader.take(',') || reader.take('/')) {
    }
    if (reader.rest().starts_with("de ")) reader.move(reader.at() + 3);  // "13 de mayo de 2024"
  };
  int digits = 0;
  int year_digits = 0;
  std::optional<int> first;
  if (is_digit(reader.peek())) {
    first = reader.number(4, digits);
    if (!first) return std::nullopt;
    gap();
  }
  const auto month = month_named(reader.word());
  if (!month) return std::nullopt;
  gap();
  int second_digits = 0;
  const auto second = reader.number(4, second_digits);
  if (!second) return std::nullopt;
  int year = 0;
  int day = 0;
  if (first && digits == 4) {
    year = *first;
    day = *second;
    year_digits = 4;
  } else if (first) {
    day = *first;
    year = *second;
    year_digits = second_digits;
  } else {
    day = *second;
    gap();
    const auto third = reader.number(4, year_digits);
    if (!third) return std::nullopt;
    year = *third;
  }
  if (year_digits != 4 && year_digits != 2) return std::nullopt;
  return RawDate{
      .parts = {static_cast<std::int16_t>(year), static_cast<std::int16_t>(*month), static_cast<std::int16_t>(day)},
      .digits = {static_cast<std::uint8_t>(year_digits), 2, 2},
      .separator = '-',
      .named_month = true};
}

std::optional<RawDate> numeric_date(Reader& reader) {
  RawDate date;
  for (std::size_t i = 0; i < 3; ++i) {
    if (i > 0 && !date_separator(reader, date.separator)) return std::nullopt;
    int count = 0;
    const auto number = reader.number(4, count);
    if (!number || count == 3) return std::nullopt;
    date.parts[i] = static_cast<std::int16_t>(*number);
    date.digits[i] = static_cast<std::uint8_t>(count);
  }
  if (date.digits[1] > 2 || (date.digits[0] == 4 && date.digits[2] == 4)) return std::nullopt;
  // Some write a dot behind the last number too.
  if (date.separator == '.') reader.take('.');
  return date;
}

// "240501 08:00:00": two digits each, in whatever order, before a clock.
std::optional<RawDate> six_digits(Reader& reader) {
  const std::string_view text = reader.rest();
  if (text.size() < 11 || text.find_first_not_of("0123456789") != 6 || text.find(':') == std::string_view::npos)
    return std::nullopt;
  if (text[6] != ' ' && text[6] != 'T' && text[6] != '_' && text[6] != '-') return std::nullopt;
  RawDate date;
  for (std::size_t i = 0; i < 3; ++i) {
    date.parts[i] = static_cast<std::int16_t>((text[2 * i] - '0') * 10 + (text[2 * i + 1] - '0'));
    date.digits[i] = 2;
  }
  date.separator = '-';
  reader.move(reader.at() + 6);
  return date;
}

// "20240501" or "20240501100000".
std::optional<RawStamp> compact(std::string_view text) {
  std::string digits;
  for (const char c : text) {
    if (is_digit(c))
      digits += c;
    else if ((c == 'T' || c == ' ' || c == '_' || c == '-') && digits.size() == 8)
      continue;
    else
      return std::nullopt;
  }
  if (digits.size() != 8 && digits.size() != 12 && digits.size() != 14) return std::nullopt;
  const auto part = [&](std::size_t at, std::size_t count) { return std::stoi(digits.substr(at, count)); };
  const int year = part(0, 4);
  if (year < 1980 || year > 2079 || !is_date({year, part(4, 2), part(6, 2)})) return std::nullopt;
  RawStamp stamp;
  stamp.date = RawDate{.parts = {static_cast<std::int16_t>(year), static_cast<std::int16_t>(part(4, 2)),
                                 static_cast<std::int16_t>(part(6, 2))},
                       .digits = {4, 2, 2},
                       .separator = '-',
                       .named_month = false};
  if (digits.size() > 8) {
    const int second = digits.size() == 14 ? part(12, 2) : 0;
    if (part(8, 2) > 23 || part(10, 2) > 59 || second > 59) return std::nullopt;
    stamp.clock_ms = ((part(8, 2) * 60 + part(10, 2)) * 60 + second) * 1000;
    stamp.seconds = digits.size() == 14;
  }
  return stamp;
}

// hh:mm[:ss[.f…]], also with dots or an h between, and what may follow: half of the day, offset.
bool clock(Reader& reader, RawStamp& stamp, bool after_date) {
  std::optional<bool> half;
  {  // the half of the day may stand in front, as in Chinese and Korean
    const std::size_t start = reader.at();
    if (const auto before = half_day(reader.word()))
      half = before;
    else
      reader.move(start);
    reader.blanks();
  }
  int count = 0;
  const auto hour = reader.number(2, count);
  if (!hour) return false;
  const char between = reader.peek();
  if (between != ':' && between != 'h' && !(after_date && (between == '.' || between == '-'))) return false;
  reader.take(between);
  const auto minute = reader.number(2, count);
  if (!minute || count != 2 || *minute > 59) return false;
  int second = 0;
  int ms = 0;
  if (between == 'h' && reader.take('m')) {  // "08h05m30s", "08h05min30s"
    if (reader.rest().starts_with("in")) reader.move(reader.at() + 2);
    if (is_digit(reader.peek())) {
      const auto found = reader.number(2, count);
      if (!found || *found > 59) return false;
      second = *found;
      stamp.seconds = true;
      reader.take('s');
    }
  } else if (reader.take(between == 'h' ? ':' : between)) {
    const auto found = reader.number(2, count);
    if (!found || *found > 59) return false;
    second = *found;
    stamp.seconds = true;
    if (reader.peek() == '.' || reader.peek() == ',' || reader.peek() == ':') {
      reader.take(reader.peek());
      int scale = 100;
      bool any = false;
      while (is_digit(reader.peek())) {
        ms += (reader.peek() - '0') * scale;
        scale /= 10;
        reader.take(reader.peek());
        any = true;
      }
      if (!any) return false;
    }
  }
  std::int32_t clock_ms = ((*hour * 60 + *minute) * 60 + second) * 1000 + ms;
  reader.blanks();
  if (!half && !reader.done()) {
    const std::size_t start = reader.at();
    std::string_view rest = reader.rest();
    const std::size_t end = rest.find_first_of("+0123456789Z");
    half = half_day(trimmed(rest.substr(0, end)));
    if (half) reader.move(start + (end == std::string_view::npos ? rest.size() : end));
  }
  if (half) {
    const auto moved = in_half(clock_ms, *half);
    if (!moved) return false;
    clock_ms = *moved;
  } else if (*hour > 23) {
    return false;
  }
  stamp.clock_ms = clock_ms;
  reader.blanks();
  if (reader.rest() == "Uhr" || reader.rest() == "hrs") return true;
  if (const auto offset = zone_word(reader.rest())) {
    stamp.offset_minutes = *offset;
    return true;
  }
  if (reader.rest() == "Z" || reader.rest() == "z" || reader.rest() == "UTC" || reader.rest() == "GMT") {
    stamp.offset_minutes = std::int16_t{0};
    reader.move(reader.at() + reader.rest().size());
  } else if (reader.peek() == '+' || (reader.peek() == '-' && after_date)) {
    const int sign = reader.take('-') ? -1 : 1;
    if (sign > 0) reader.take('+');
    int digits = 0;
    const auto hours = reader.number(4, digits);
    if (!hours) return false;
    int minutes = digits == 4 ? *hours % 100 : 0;
    const int whole = digits == 4 ? *hours / 100 : *hours;
    if (digits <= 2 && reader.take(':')) {
      const auto more = reader.number(2, digits);
      if (!more) return false;
      minutes = *more;
    }
    if (whole > 14 || minutes > 59) return false;
    stamp.offset_minutes = static_cast<std::int16_t>(sign * (whole * 60 + minutes));
    // The zone's name behind its offset (RFC 9557): the offset decides.
    if (reader.peek() == '[' && reader.rest().back() == ']') return true;
  }
  return reader.done();
}

}  // namespace

std::string_view name_of(DateOrder order) {
  return order == DateOrder::dmy ? "dmy" : order == DateOrder::mdy ? "mdy" : "ymd";
}

std::optional<DateOrder> date_order_named(std::string_view name) {
  for (const auto one : {DateOrder::dmy, DateOrder::mdy, DateOrder::ymd}) {
    if (name_of(one) == name) return one;
  }
  return std::nullopt;
}

std::optional<bool> half_day(std::string_view text) {
  std::string word;
  for (const char c : text) {
    if (c != '.' && c != ' ') word += lower(c);
  }
  std::string plain;
  for (std::size_t at = 0; at < word.size();) {
    if (std::string_view(word).substr(at).starts_with("\xC2\xA0"))
      at += 2;
    else
      plain += word[at++];
  }
  static constexpr std::array<std::string_view, 20> before = {
      "am", "a", "上午", "午前", "오전", "ص", "πμ", "vorm", "fm", "de", "sa", "dop", "vm", "ap", "öö", "ÖÖ", "قظ",
      "पूर्वाह्न", "পূর্বাহ্ণ",
      "முற்பகல்"};
  static constexpr std::array<std::string_view, 20> after = {
      "pm", "p", "下午", "午後", "오후", "م", "μμ", "nachm", "em", "du", "ch", "odp", "nm", "ip", "ös", "Ös", "بظ",
      "अपराह्न", "অপরাহ্ণ",
      "பிற்பகல்"};
  if (std::find(before.begin(), before.end(), plain) != before.end()) return false;
  if (std::find(after.begin(), after.end(), plain) != after.end()) return true;
  return std::nullopt;
}

std::optional<std::int32_t> in_half(std::int32_t clock_ms, bool after_noon) {
  constexpr std::int32_t half_ms = 12 * 3600 * 1000;
  if (clock_ms >= half_ms + 3600 * 1000) {
    // "13:05 PM": some write both; the half must then agree.
    if (after_noon && clock_ms < 2 * half_ms) return clock_ms;
    return std::nullopt;
  }
  if (clock_ms >= half_ms) return after_noon ? clock_ms : clock_ms - half_ms;  // twelve o'clock comes first in its half
  return after_noon ? clock_ms + half_ms : clock_ms;
}

std::optional<std::int16_t> offset_in(std::string_view text) {
  std::string upper;
  for (const char c : text) upper += c >= 'a' && c <= 'z' ? static_cast<char>(c - 32) : c;
  std::size_t at = std::min(upper.find("UTC"), upper.find("GMT"));
  if (at == std::string_view::npos) return std::nullopt;
  if (at > 0 && is_letter(text[at - 1])) return std::nullopt;
  Reader reader(text.substr(at + 3));
  if (is_letter(reader.peek())) return std::nullopt;
  reader.blanks();
  if (reader.peek() != '+' && reader.peek() != '-') return std::int16_t{0};
  const int sign = reader.take('-') ? -1 : 1;
  reader.take('+');
  int digits = 0;
  const auto first = reader.number(4, digits);
  if (!first) return std::int16_t{0};
  int hours = *first;
  int minutes = 0;
  if (digits == 4) {
    minutes = hours % 100;
    hours /= 100;
  } else if (reader.take(':')) {
    minutes = reader.number(2, digits).value_or(0);
  }
  if (hours > 14 || minutes > 59) return std::nullopt;
  return static_cast<std::int16_t>(sign * (hours * 60 + minutes));
}

namespace {

// "2024年05月13日 22时50分00秒" and its like with western marks.
std::string with_western_marks(std::string_view text) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 15> marks = {{{"年", "-"},
                                                                                           {"月", "-"},
                                                                                           {"日", " "},
                                                                                           {"时", ":"},
                                                                                           {"時", ":"},
                                                                                           {"点", ":"},
                                                                                           {"分", ":"},
                                                                                           {"秒", ""},
                                                                                           {"년", "-"},
                                                                                           {"월", "-"},
                                                                                           {"일", " "},
                                                                                           {"시", ":"},
                                                                                           {"분", ":"},
                                                                                           {"초", ""},
                                                                                           {"- ", "-"}}};
  std::string out(text);
  for (const auto& [from, to] : marks) {
    for (std::size_t at = out.find(from); at != std::string::npos; at = out.find(from, at)) {
      out.replace(at, from.size(), to);
    }
  }
  while (out.ends_with(' ') || out.ends_with(':')) out.pop_back();
  return out;
}

// "08.05.30 AM": dots part the clock too where the half of the day stands behind it.
std::optional<RawStamp> dotted_clock(std::string_view text) {
  const std::size_t end = text.find_first_not_of("0123456789.");
  if (end == std::string_view::npos || end < 4 || !half_day(trimmed(text.substr(end)))) return std::nullopt;
  const auto dots = std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(end), '.');
  if (dots < 1 || dots > 2) return std::nullopt;
  Reader reader(text);
  RawStamp stamp;
  return clock(reader, stamp, true) ? std::optional(stamp) : std::nullopt;
}

// A date, a time of day, or a date before a time of day.
std::optional<RawStamp> date_first(std::string_view text) {
  Reader reader(text);
  RawStamp stamp;
  skip_weekday(reader);
  const std::size_t start = reader.at();
  stamp.date = numeric_date(reader);
  if (!stamp.date) {
    reader.move(start);
    stamp.date = six_digits(reader);
  }
  if (!stamp.date) {
    reader.move(start);
    stamp.date = named_date(reader);
  }
  if (!stamp.date) {
    reader.move(start);
    if (!clock(reader, stamp, false)) return std::nullopt;
    return stamp;
  }
  if (reader.done()) return stamp;
  const bool letter = reader.take('T') || reader.take('t') || (stamp.date->named_month && reader.take(':'));
  if (!letter) {
    const std::size_t before = reader.at();
    reader.take(',');
    reader.blanks();
    while (reader.take('-') || reader.take('_') || reader.take('/')) reader.blanks();
    if (reader.at() == before) return std::nullopt;
    skip_weekday(reader);
  }
  if (!clock(reader, stamp, true)) return std::nullopt;
  return stamp;
}

// "22:50:00 13/05/2024", and "Mon May 13 22:50:00 2024" as the C library writes it.
std::optional<RawStamp> clock_first(std::string_view text) {
  for (std::size_t blank = text.find(' '); blank != std::string_view::npos; blank = text.find(' ', blank + 1)) {
    const auto before = date_first(text.substr(0, blank));
    const auto behind = date_first(trimmed(text.substr(blank)));
    if (!before || !behind || before->date || !behind->date || behind->clock_ms) continue;
    RawStamp stamp = *before;
    stamp.date = behind->date;
    return stamp;
  }
  const std::size_t last = text.rfind(' ');
  const std::size_t colon = text.find(':');
  if (last == std::string_view::npos || colon == std::string_view::npos || last < colon) return std::nullopt;
  const std::size_t clock_at = text.rfind(' ', colon);
  if (clock_at == std::string_view::npos) return std::nullopt;
  const auto day = date_first(std::string(text.substr(0, clock_at)) + std::string(text.substr(last)));
  auto stamp = date_first(text.substr(clock_at + 1, last - clock_at - 1));
  if (!day || !day->date || day->clock_ms || !stamp || stamp->date || !day->date->named_month) return std::nullopt;
  stamp->date = day->date;
  return stamp;
}

}  // namespace

std::optional<RawStamp> parse_stamp(std::string_view text) {
  text = trimmed(text);
  if (text.size() > 2 && ((text.front() == '[' && text.back() == ']') || (text.front() == '(' && text.back() == ')')))
    text = trimmed(text.substr(1, text.size() - 2));
  if (text.size() < 4 || text.size() > 64) return std::nullopt;
  if (!is_digit(text.front()) && !is_letter(text.front())) return std::nullopt;
  if (auto found = compact(text)) return found;
  if (auto found = date_first(text)) return found;
  if (auto found = dotted_clock(text)) return found;
  if (text.find("年") != std::string_view::npos || text.find("년") != std::string_view::npos ||
      text.find("时") != std::string_view::npos || text.find("時") != std::string_view::npos ||
      text.find("시") != std::string_view::npos) {
    return date_first(with_western_marks(text));
  }
  return text.find(':') == std::string_view::npos ? std::nullopt : clock_first(text);
}

std::optional<RawStamp> bare_clock(std::string_view text) {
  std::string digits;
  for (const char c : text) {
    if (c != '.') digits += c;
  }
  if (digits.size() < 3 || digits.size() > 6 || digits.find_first_not_of("0123456789") != std::string::npos)
    return std::nullopt;
  const auto dots = std::count(text.begin(), text.end(), '.');
  const bool grouped = dots == 0 || (dots == 2 && text.size() >= 7 && text[text.size() - 3] == '.' &&
                                     text[text.size() - 6] == '.' && digits.size() >= 5);
  if (!grouped) return std::nullopt;
  // A spreadsheet eats the zeros in front: 92000 is 09:20:00. Four digits and less are hours and minutes.
  const bool seconds = digits.size() > 4;
  const int number = std::stoi(digits);
  const int second = seconds ? number % 100 : 0;
  const int minutes = seconds ? number / 100 : number;
  if (minutes / 100 > 23 || minutes % 100 > 59 || second > 59) return std::nullopt;
  RawStamp stamp;
  stamp.clock_ms = ((minutes / 100 * 60 + minutes % 100) * 60 + second) * 1000;
  stamp.seconds = seconds;
  return stamp;
}

std::optional<double> parse_elapsed(std::string_view text) {
  text = trimmed(text);
  // "1 02:03:04", "1d 02:03:04", "1.02:03:04": days in front.
  const std::size_t colon = text.find(':');
  const std::size_t mark = text.find_first_not_of("0123456789");
  double days = 0;
  if (mark != std::string_view::npos && mark > 0 && mark <= 3 && mark < colon && colon != std::string_view::npos) {
    std::size_t clock = mark;
    if (text[clock] == 'd') ++clock;
    while (clock < text.size() && (text[clock] == ' ' || text[clock] == '.')) ++clock;
    if (clock == mark || std::count(text.begin(), text.end(), ':') != 2) return std::nullopt;
    for (const char c : text.substr(0, mark)) days = days * 10 + (c - '0');
    text.remove_prefix(clock);
  }
  Reader reader(text);
  double total = 0;
  int parts = 0;
  while (true) {
    int count = 0;
    const auto number = reader.number(6, count);
    if (!number || (parts > 0 && (count != 2 || *number > 59))) return std::nullopt;
    total = total * 60 + *number;
    ++parts;
    if (parts > 3) return std::nullopt;
    if (!reader.take(':')) break;
  }
  if (parts < 2) return std::nullopt;
  if (reader.take('.') || reader.take(',')) {
    double scale = 0.1;
    while (is_digit(reader.peek())) {
      total += (reader.peek() - '0') * scale;
      scale /= 10;
      reader.take(reader.peek());
    }
  }
  if (!reader.done()) return std::nullopt;
  return total + days * 86400;
}

std::optional<CivilDate> day_of(const RawDate& date, DateOrder order) {
  const auto full = [](int year, int digits) {
    if (digits >= 4) return year;
    if (digits != 2) return 0;
    return year < 80 ? 2000 + year : 1900 + year;
  };
  CivilDate day;
  if (date.named_month || date.digits[0] > 2 || order == DateOrder::ymd) {
    day = {full(date.parts[0], date.digits[0]), date.parts[1], date.parts[2]};
    if (date.digits[2] > 2) return std::nullopt;
  } else {
    const bool day_first = order == DateOrder::dmy;
    day = {full(date.parts[2], date.digits[2]), date.parts[day_first ? 1 : 0], date.parts[day_first ? 0 : 1]};
  }
  if (day.year < 1900 || day.year > 2199 || !is_date(day)) return std::nullopt;
  return day;
}

}  // namespace trayproof::reading
