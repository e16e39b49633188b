#include "importer/reading/settled.h"

#include <algorithm>
#include <array>
#include <cstring>
#include <limits>

namespace trayproof::reading {
namespace {

constexpr double no_value = std::numeric_limits<double>::quiet_NaN();
constexpr int digits_max = 15;  // of which any is exact in a double
constexpr std::array<double, 16> tens = {1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                         1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};

bool is_digit(char c) { return static_cast<unsigned char>(c - '0') < 10; }

std::optional<char> character_of(Delimiter delimiter) {
  switch (delimiter) {
    case Delimiter::comma:
      return ',';
    case Delimiter::semicolon:
      return ';';
    case Delimiter::tab:
      return '\t';
    case Delimiter::pipe:
      return '|';
    default:
      return std::nullopt;
  }
}

}  // namespace

std::optional<Settled> Settled::plan(const Columns& columns, const Layout& layout, Delimiter delimiter, Decimal decimal,
                                     Encoding encoding) {
  const auto character = character_of(delimiter);
  const TimeColumns& time = columns.time;
  const bool taken = character && time.form != TimeForm::none && time.form != TimeForm::elapsed_clock && !time.half &&
                     !time.bare && !time.date && columns.pairs.empty() && !columns.rows_of_channels &&
                     !columns.channels.empty();
  // Where a name is itself a number, a row may be the header come again.
  const bool numeric = std::any_of(layout.names.begin(), layout.names.end(), [](const std::string& name) {
    return kind_of(name) != Kind::text && !name.empty();
  });
  if (!taken || numeric) return std::nullopt;
  Settled out;
  out.delimiter_ = *character;
  out.mark_ = decimal == Decimal::point ? '.' : ',';
  if (out.mark_ == out.delimiter_) out.mark_ = '\0';  // never plain
  const auto place = [&](std::size_t cell) -> Place& {
    if (cell >= out.places_.size()) out.places_.resize(cell + 1);
    return out.places_[cell];
  };
  const bool clocked = time.form == TimeForm::stamp || time.form == TimeForm::clock;
  place(time.first).use = clocked ? Use::stamp : time.form == TimeForm::apart ? Use::date : Use::number;
  if (time.clock) place(*time.clock).use = Use::clock;
  for (std::size_t k = 0; k < columns.channels.size(); ++k) place(columns.channels[k].cell) = {Use::value, k};
  out.count_ = columns.count;
  out.encoding_ = encoding;
  out.values_.assign(columns.channels.size(), no_value);
  return out;
}

void Settled::learn(const Record& record) {
  learned_ = false;
  const auto cell_of = [&](Use use) -> std::string_view {
    for (std::size_t i = 0; i < places_.size() && i < record.cells.size(); ++i) {
      if (places_[i].use == use) return record.cells[i].text;
    }
    return {};
  };
  time_ = RowTime{};
  before_.clear();
  behind_.clear();
  half_.reset();
  std::string_view clock = cell_of(Use::clock);
  if (clock.empty()) clock = cell_of(Use::stamp);
  if (clock.empty()) {  // time as a number needs nothing learned
    learned_ = true;
    return;
  }
  const auto whole = parse_stamp(clock);
  const std::size_t colon = clock.find(':');
  if (!whole || !whole->clock_ms || colon == std::string_view::npos || colon < 1) return;
  std::size_t first = colon;
  while (first > 0 && is_digit(clock[first - 1]) && colon - first < 2) --first;
  std::size_t last = colon;
  while (last < clock.size() && (is_digit(clock[last]) || clock[last] == ':' || clock[last] == '.')) ++last;
  before_ = clock.substr(0, first);
  behind_ = clock.substr(last);
  // The parts must mean by themselves what the whole means.
  const std::string_view tail = trimmed(behind_);
  if (!tail.empty()) {
    half_ = half_day(tail);
    if (half_ && tail != "AM" && tail != "PM" && tail != "am" && tail != "pm") return;
    if (!half_ && !whole->offset_minutes) return;
    if (whole->offset_minutes) time_.offset_minutes = *whole->offset_minutes;
  }
  std::string_view date = cell_of(Use::date);
  if (date.empty()) {
    date = trimmed(before_);
    while (date.ends_with('T') || date.ends_with(',')) date.remove_suffix(1);
  } else {
    if (!before_.empty()) return;
    before_ = date;
  }
  if (!date.empty()) {
    const auto day = parse_stamp(date);
    const auto expected = cell_of(Use::date).empty() ? whole : day;
    if (!day || !day->date || day->clock_ms || !expected->date || !(*day->date == *expected->date)) return;
    time_.date = *day->date;
    time_.has_date = true;
  } else if (whole->date) {
    return;
  }
  learned_ = true;
}

// The parts of a row. Every read is followed by a look at what it stopped at, and the text ends with a line end: none
// runs past it.

[[gnu::always_inline]] inline const char* Settled::take_text(const char* at, const char* end, const std::string& text) {
  const bool same = static_cast<std::size_t>(end - at) > text.size() && std::memcmp(at, text.data(), text.size()) == 0;
  return same ? at + text.size() : nullptr;
}

const char* Settled::skip(const char* at) const {
  for (; !is_edge(*at); ++at) {
    if (*at == '"' || *at == '\xEF') return nullptr;  // the second may be a damaged byte, which counts otherwise
  }
  return at;
}

[[gnu::always_inline]] inline const char* Settled::number(const char* at, double& value) const {
  const bool negative = *at == '-';
  if (*at == '-' || *at == '+') ++at;
  const char* const first = at;
  std::uint64_t digits = 0;
  for (; is_digit(*at); ++at) digits = digits * 10 + static_cast<unsigned>(*at - '0');
  std::ptrdiff_t count = at - first;
  std::ptrdiff_t decimals = 0;
  if (*at == mark_) {
    const char* const point = ++at;
    for (; is_digit(*at); ++at) digits = digits * 10 + static_cast<unsigned>(*at - '0');
    decimals = at - point;
    count += decimals;
  }
  if (count == 0 || count > digits_max) return nullptr;
  const double size = static_cast<double>(static_cast<std::int64_t>(digits)) / tens[static_cast<std::size_t>(decimals)];
  value = negative ? -size : size;
  return at;
}

// "9:05", "09:05:10", "09:05:10.250"; what the long way would refuse is left to it.
[[gnu::always_inline]] inline const char* Settled::clock(const char* at) {
  const auto two = [&](int& out) {
    if (!is_digit(at[0]) || !is_digit(at[1])) return false;
    out = (at[0] - '0') * 10 + (at[1] - '0');
    at += 2;
    return out < 60;
  };
  if (!is_digit(*at)) return nullptr;
  int hour = *at++ - '0';
  if (is_digit(*at)) hour = hour * 10 + (*at++ - '0');
  int minute = 0;
  int second = 0;
  int ms = 0;
  if (*at++ != ':' || !two(minute)) return nullptr;
  if (*at == ':') {
    ++at;
    if (!two(second)) return nullptr;
    seconds_ = true;
    if (*at == '.') {
      if (!is_digit(*++at)) return nullptr;
      for (int scale = 100; is_digit(*at); ++at, scale /= 10) ms += (*at - '0') * scale;
    }
  }
  if (is_digit(*at) || *at == ':' || *at == '.') return nullptr;
  std::int32_t clock_ms = ((hour * 60 + minute) * 60 + second) * 1000 + ms;
  if (half_) {
    const auto moved = in_half(clock_ms, *half_);
    if (!moved) return nullptr;
    clock_ms = *moved;
  } else if (hour > 23) {
    return nullptr;
  }
  time_.clock_ms = clock_ms;
  return at;
}

[[gnu::always_inline]] inline const char* Settled::cell(const Place& place, const char* at, const char* end) {
  while (*at == ' ') ++at;
  const bool quoted = *at == '"';
  if (quoted) ++at;
  switch (place.use) {
    case Use::skip:
      return quoted ? nullptr : skip(at);
    case Use::stamp:
      at = take_text(at, end, before_);
      if (at != nullptr) at = clock(at);
      if (at != nullptr) at = take_text(at, end, behind_);
      break;
    case Use::date:
      at = take_text(at, end, before_);
      break;
    case Use::clock:
      at = clock(at);
      if (at != nullptr) at = take_text(at, end, behind_);
      break;
    case Use::number:
      at = number(at, time_.number);
      break;
    case Use::value:
      if (is_edge(*at) && !quoted)
        values_[place.channel] = no_value;
      else
        at = number(at, values_[place.channel]);
      break;
  }
  if (at == nullptr || (quoted && *at++ != '"')) return nullptr;
  while (*at == ' ') ++at;
  return is_edge(*at) ? at : nullptr;
}

const char* Settled::row(const char* at, const char* end) {
  bool first = true;
  for (const Place& place : places_) {
    if (!first && *at++ != delimiter_) return nullptr;
    first = false;
    at = cell(place, at, end);
    if (at == nullptr) return nullptr;
  }
  // Behind the last column that is used: what is skipped, up to the last column, and empty cells.
  for (std::size_t i = places_.size(); *at == delimiter_ && i < count_; ++i) {
    at = cell({}, at + 1, end);
    if (at == nullptr) return nullptr;
  }
  while (*at == delimiter_ || *at == ' ') ++at;
  if (*at == '\r') ++at;
  return *at == '\n' ? at + 1 : nullptr;
}

Settled::Taken Settled::take(const TextLine& text, const Sink& sink) {
  Taken taken;
  if (!learned_ || text.text.empty()) return taken;
  const void* const last = ::memrchr(text.text.data(), '\n', text.text.size());
  if (last == nullptr) return taken;
  const char* const end = static_cast<const char*>(last) + 1;
  const char* at = text.text.data();
  seconds_ = false;
  ParsedRow parsed{.line = text.number, .byte = text.byte, .text = {}, .values = values_, .channel = {}};
  while (at < end) {
    const char* const next = row(at, end);
    if (next == nullptr) break;
    parsed.text = {at, static_cast<std::size_t>(next - at)};
    at = next;
    sink(parsed, time_);
    parsed.byte += static_cast<std::int64_t>(encoding_ == Encoding::utf8 ? parsed.text.size()
                                                                         : source_bytes(parsed.text, encoding_));
    ++parsed.line;
    ++taken.rows;
  }
  taken.bytes = static_cast<std::size_t>(at - text.text.data());
  taken.seconds = seconds_;
  return taken;
}

}  // namespace trayproof::reading
