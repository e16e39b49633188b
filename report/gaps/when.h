// Times that are known to the second, the minute, the hour or the day, and what can be told from them. A question that
// the coarseness would decide is answered with `open`, and the rule then says that it cannot tell.
#pragma once

#include <algorithm>
#include <cstdint>
#include <limits>

#include "ledger/base/time.h"
#include "report/gaps/decimal.h"

namespace trayproof::gaps {

// Yes, no, or not to be told from the record.
enum class Told { no, yes, open };

inline Told told(bool yes) { return yes ? Told::yes : Told::no; }
inline Told operator!(Told a) { return a == Told::open ? Told::open : told(a == Told::no); }
inline Told operator&&(Told a, Told b) {
  if (a == Told::no || b == Told::no) return Told::no;
  return a == Told::yes && b == Told::yes ? Told::yes : Told::open;
}
inline Told operator||(Told a, Told b) { return !(!a && !b); }

struct When {
  Instant at;  // as written; orders and names the occasion
  Instant earliest;
  Instant latest;  // inclusive

  static When exactly(Instant instant) { return {instant, instant, instant}; }
  static When of(const DateTime& time, Precision precision) {
    const Span span = span_of(time, precision);
    return {time.instant, span.earliest, span.latest};
  }
  bool operator==(const When&) const = default;
};

// Whether a happened after b; at the same instant it did not.
inline Told later(const When& a, const When& b) {
  if (a.earliest > b.latest) return Told::yes;
  return a.latest <= b.earliest ? Told::no : Told::open;
}

// How long from one time to another, in milliseconds.
struct Elapsed {
  std::int64_t least_ms = 0;
  std::int64_t most_ms = 0;
};
inline Elapsed elapsed(const When& from, const When& until) {
  return {until.earliest.ms - from.latest.ms, until.latest.ms - from.earliest.ms};
}

// `limit` counts units of `unit_ms`: 30 and minute_ms is half an hour. Exact, and the limit itself is within it.
inline Told longer(const Elapsed& time, double limit, std::int64_t unit_ms) {
  const Decimal limit_ms = Decimal::of(limit) * Decimal(unit_ms);
  if (Decimal(time.least_ms) > limit_ms) return Told::yes;
  return Decimal(time.most_ms) > limit_ms ? Told::open : Told::no;
}
inline Told shorter(const Elapsed& time, double limit, std::int64_t unit_ms) {
  const Decimal limit_ms = Decimal::of(limit) * Decimal(unit_ms);
  if (Decimal(time.most_ms) < limit_ms) return Told::yes;
  return Decimal(time.least_ms) < limit_ms ? Told::open : Told::no;
}

// The last whole millisecond within `limit` units, for deadlines: whatever is later is past it.
inline std::int64_t whole_ms(double limit, std::int64_t unit_ms) {
  const Decimal exact = Decimal::of(limit) * Decimal(unit_ms);
  auto ms = static_cast<std::int64_t>(limit * static_cast<double>(unit_ms));
  while (Decimal(ms) > exact) --ms;
  while (Decimal(ms + 1) <= exact) ++ms;
  return ms;
}
inline When after(const When& time, double limit, std::int64_t unit_ms) {
  const std::int64_t ms = whole_ms(limit, unit_ms);
  return {{time.at.ms + ms}, {time.earliest.ms + ms}, {time.latest.ms + ms}};
}

}  // namespace trayproof::gaps
