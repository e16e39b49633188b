#include "importer/reading/timeline.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "ledger/words/words.h"

namespace trayproof::reading {
namespace {

constexpr double no_time = std::numeric_limits<double>::quiet_NaN();

// Wall clock to instant in a zone, with the hour's offset kept from row to row.
class Clockwork {
 public:
  explicit Clockwork(const Zone& zone) : zone_(zone) {}

  // Of two instants in a repeated hour the first, unless the row before already passed it.
  std::optional<Instant> at(const CivilDate& day, std::int32_t clock_ms, std::int16_t offset) {
    const std::int64_t wall = days_since_epoch(day) * day_ms + clock_ms;
    if (offset == RowTime::no_offset && file_offset) offset = *file_offset;
    if (offset != RowTime::no_offset) return Instant{wall - offset * minute_ms};
    const std::int64_t hour = wall / hour_ms;
    if (hour != hour_) {
      hour_ = hour;
      const CivilTime civil = civil_of({wall}, 0);
      candidates_ = zone_.instants(civil);
      for (Instant& one : candidates_) one.ms = wall - one.ms;  // kept as offsets
      // An hour that the zone skips: the clock was not put forward yet.
      if (candidates_.empty()) {
        skipped = true;
        candidates_.push_back({zone_.offset_minutes({wall - 24 * hour_ms}) * minute_ms});
      }
    }
    Instant first{wall - candidates_.front().ms};
    if (candidates_.size() > 1) {
      repeated = true;
      if (last_ && first.ms < last_->ms) first = {wall - candidates_.back().ms};
    }
    last_ = first;
    return first;
  }

  std::optional<std::int16_t> file_offset;  // stands for the zone where the file names it
  bool repeated = false;
  bool skipped = false;

 private:
  const Zone& zone_;
  std::int64_t hour_ = std::numeric_limits<std::int64_t>::min();
  std::vector<Instant> candidates_;
  std::optional<Instant> last_;
};

// What one order makes of all rows.
struct Trial {
  DateOrder order = DateOrder::ymd;
  std::size_t impossible = 0;
  std::size_t backward = 0;
  std::size_t leaps = 0;       // steps of more than 20 days
  std::int64_t first = 0;      // days
  std::int64_t last = 0;
};

Trial try_order(const std::vector<RowTime>& rows, DateOrder order) {
  Trial trial{.order = order};
  std::optional<std::int64_t> before;
  std::optional<RawDate> known;
  std::int64_t day = 0;
  for (const RowTime& row : rows) {
    if (!row.has_date) continue;
    if (!known || !(*known == row.date)) {
      const auto found = day_of(row.date, order);
      if (!found) {
        ++trial.impossible;
        continue;
      }
      known = row.date;
      day = days_since_epoch(*found);
    }
    if (!before) trial.first = day;
    if (before && day < *before) ++trial.backward;
    if (before && std::abs(day - *before) > 20) ++trial.leaps;
    before = day;
    trial.last = day;
  }
  return trial;
}

// Keeps the trials with the least of `count`.
void keep_least(std::vector<Trial>& trials, std::size_t Trial::*count) {
  std::size_t least = trials.front().*count;
  for (const Trial& one : trials) least = std::min(least, one.*count);
  std::erase_if(trials, [&](const Trial& one) { return one.*count > least; });
}

bool has_word(const std::string& text, std::initializer_list<std::string_view> wanted) {
  for (const std::string& word : words_of(text)) {
    if (std::find(wanted.begin(), wanted.end(), word) != wanted.end()) return true;
  }
  return false;
}

// Dates of the preamble that can be read in one way only, and what the others say about the order.
void ask_preamble(const std::vector<Metadata>& metadata, std::vector<Trial>& trials) {
  for (const Metadata& line : metadata) {
    const auto stamp = parse_stamp(line.value);
    if (!stamp || !stamp->date) continue;
    std::vector<std::pair<DateOrder, std::int64_t>> days;
    for (const DateOrder order : {DateOrder::dmy, DateOrder::mdy, DateOrder::ymd}) {
      const auto day = day_of(*stamp->date, order);
      if (day && std::none_of(days.begin(), days.end(), [&](const auto& one) { return one.second == days_since_epoch(*day); })) {
        days.emplace_back(order, days_since_epoch(*day));
      }
    }
    if (days.size() != 1) continue;
    const auto [order, day] = days.front();
    const bool same_shape = !stamp->date->named_month && stamp->date->digits[0] <= 2;
    std::vector<Trial> kept = trials;
    if (same_shape) {
      std::erase_if(kept, [&](const Trial& one) { return one.order != order; });
    } else {
      // Written before it was measured: no. Within a day of the rows: yes.
      if (has_word(line.key, {"export", "exported", "printed", "downloaded", "saved", "created", "report", "read"})) {
        std::erase_if(kept, [&](const Trial& one) { return one.last > day + 1; });
      }
      std::vector<Trial> near = kept;
      std::erase_if(near, [&](const Trial& one) { return day < one.first - 1 || day > one.last + 1; });
      if (near.size() == 1) kept = near;
    }
    if (!kept.empty() && kept.size() < trials.size()) {
      trials = kept;
      if (trials.size() == 1) return;
    }
  }
}

class Resolver {
 public:
  Resolver(const std::vector<RowTime>& rows, const TimeColumns& columns, const std::vector<Metadata>& metadata,
           const TimelineChoices& choices)
      : rows_(rows), columns_(columns), metadata_(metadata), choices_(choices), clockwork_(choices.zone) {}

  Timeline run(bool seconds) {
    timeline_.seconds = seconds;
    timeline_.at.assign(rows_.size(), std::nullopt);
    timeline_.elapsed_s.assign(rows_.size(), no_time);
    if (!choices_.zone_said) {
      timeline_.offset_minutes = named_offset();
      clockwork_.file_offset = timeline_.offset_minutes;
    }
    switch (columns_.form) {
      case TimeForm::none: break;
      case TimeForm::stamp:
      case TimeForm::apart: dated(); break;
      case TimeForm::clock: clocks(); break;
      case TimeForm::elapsed:
      case TimeForm::elapsed_clock: elapsed(); break;
      case TimeForm::unix_seconds: numbered(1000, 0); break;
      case TimeForm::unix_milliseconds: numbered(1, 0); break;
      case TimeForm::serial: serial(); break;
    }
    if (clockwork_.repeated) timeline_.notes.push_back(say("importer.note.repeated-hour"));
    if (clockwork_.skipped) timeline_.notes.push_back(say("importer.note.skipped-hour"));
    finish();
    return std::move(timeline_);
  }

 private:
  // "Date Time, GMT+03:00" in the header, "Time zone: UTC+3" above it.
  std::optional<std::int16_t> named_offset() const {
    if (const auto found = offset_in(columns_.name)) return found;
    for (const Metadata& line : metadata_) {
      if (!has_word(line.key, {"zone", "timezone", "tz", "utc", "gmt", "offset"})) continue;
      if (const auto found = offset_in(line.value)) return found;
    }
    return std::nullopt;
  }

  void dated() {
    std::vector<Trial> trials;
    if (choices_.order) {
      trials.push_back(try_order(rows_, *choices_.order));
    } else {
      for (const DateOrder order : {DateOrder::dmy, DateOrder::mdy, DateOrder::ymd}) trials.push_back(try_order(rows_, order));
      const bool any = std::any_of(rows_.begin(), rows_.end(), [](const RowTime& row) { return row.has_date; });
      if (!any) return;
      decide(trials);
    }
    const DateOrder order = trials.front().order;
    if (trials.size() > 1) {
      ask_order(trials);
      return;
    }
    timeline_.order = order;
    place(order);
    timeline_.dated = true;
  }

  void decide(std::vector<Trial>& trials) {
    keep_least(trials, &Trial::impossible);
    if (same(trials)) return;
    const std::size_t before = trials.size();
    keep_least(trials, &Trial::backward);
    if (same(trials)) return note_decided(before, "importer.note.order-by-run", trials);
    keep_least(trials, &Trial::leaps);
    if (same(trials)) return note_decided(before, "importer.note.order-by-run", trials);
    ask_preamble(metadata_, trials);
    if (same(trials)) return note_decided(before, "importer.note.order-by-preamble", trials);
    two_digit_years(trials);
    if (trials.size() == 1) note_decided(before, "importer.note.order-by-year", trials);
  }

  void note_decided(std::size_t before, std::string_view key, const std::vector<Trial>& trials) {
    if (before > 1) timeline_.notes.push_back(say(key, {{"order", name_of(trials.front().order)}}));
  }

  // Orders that give every row the same instant are one order.
  bool same(std::vector<Trial>& trials) const {
    while (trials.size() > 1) {
      bool differ = false;
      for (const RowTime& row : rows_) {
        if (!row.has_date) continue;
        const auto a = day_of(row.date, trials[0].order);
        const auto b = day_of(row.date, trials[1].order);
        if (a != b) {
          differ = true;
          break;
        }
      }
      if (differ) return false;
      // "2024-05-01" and named months are year first; 05/05/2024 is called by the first order that fits.
      const bool year_first = trials.back().order == DateOrder::ymd && !rows_.empty() &&
                              std::all_of(rows_.begin(), rows_.end(), [](const RowTime& r) { return !r.has_date || r.date.named_month; });
      if (year_first) trials.erase(trials.begin());
      else trials.erase(trials.begin() + 1);
    }
    return trials.size() == 1;
  }

  // "15/06/24": year-first too would be a day. Where the two lie years apart, the later one is meant: exports are recent.
  // With dots the year never stands first in two digits.
  void two_digit_years(std::vector<Trial>& trials) {
    const auto year_first = std::find_if(trials.begin(), trials.end(), [](const Trial& one) { return one.order == DateOrder::ymd; });
    if (year_first == trials.end() || trials.size() < 2) return;
    const auto first = std::find_if(rows_.begin(), rows_.end(), [](const RowTime& row) { return row.has_date; });
    const bool dots = first != rows_.end() && first->date.separator == '.';
    std::int64_t latest = std::numeric_limits<std::int64_t>::min();
    for (const Trial& one : trials) {
      if (one.order != DateOrder::ymd) latest = std::max(latest, one.last);
    }
    constexpr std::int64_t apart_days = 3 * 365;
    if (dots || latest > year_first->last + apart_days) {
      trials.erase(year_first);
    } else if (year_first->last > latest + apart_days) {
      trials = {*year_first};
    }
  }

  void ask_order(const std::vector<Trial>& trials) {
    Ask ask{.what = "date-order", .choices = {}, .option = "--date-order"};
    for (const Trial& one : trials) {
      std::optional<Instant> first;
      std::optional<Instant> last;
      Clockwork clockwork(choices_.zone);
      clockwork.file_offset = timeline_.offset_minutes;
      const auto at = [&](const RowTime& row) -> std::optional<Instant> {
        const auto day = row.has_date ? day_of(row.date, one.order) : std::nullopt;
        if (!day) return std::nullopt;
        return clockwork.at(*day, std::max(row.clock_ms, 0), row.offset_minutes);
      };
      for (std::size_t i = 0; i < rows_.size() && !first; ++i) first = at(rows_[i]);
      for (std::size_t i = rows_.size(); i-- > 0 && !last;) last = at(rows_[i]);
      json::Value choice = json::Value::object();
      choice.set("value", name_of(one.order));
      choice.set("first", first ? json::Value(format_date_time(choices_.zone.local(*first))) : json::Value());
      choice.set("last", last ? json::Value(format_date_time(choices_.zone.local(*last))) : json::Value());
      ask.choices.push_back(std::move(choice));
    }
    timeline_.asks.push_back(std::move(ask));
    place(trials.front().order);  // so that steps and counts can be told; nothing is taken
    timeline_.dated = false;
  }

  void place(DateOrder order) {
    std::optional<RawDate> known;
    std::optional<CivilDate> day;
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      const RowTime& row = rows_[i];
      if (!row.has_date) continue;
      if (!known || !(*known == row.date)) {
        known = row.date;
        day = day_of(row.date, order);
      }
      if (day) timeline_.at[i] = clockwork_.at(*day, std::max(row.clock_ms, 0), row.offset_minutes);
    }
  }

  // Time of day without a date: it passes midnight where the clock falls by more than half a day.
  void clocks() {
    const auto start = start_civil();
    CivilDate day = start ? start->date : CivilDate{1970, 1, 1};
    std::int64_t days = days_since_epoch(day);
    std::optional<std::int32_t> before;
    if (start) before = ((start->hour * 60 + start->minute) * 60 + start->second) * 1000;
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      const std::int32_t clock = rows_[i].clock_ms;
      if (clock < 0) continue;
      constexpr std::int32_t half_day_ms = 12 * 3600 * 1000;
      if (before && clock < *before - half_day_ms) ++days;
      before = clock;
      if (start) {
        timeline_.at[i] = clockwork_.at(date_of_days(days), clock, rows_[i].offset_minutes);
      } else {
        timeline_.elapsed_s[i] = (static_cast<double>(days) * static_cast<double>(day_ms) + clock) / 1000;
      }
    }
    timeline_.dated = start.has_value();
  }

  void elapsed() {
    double scale = 1;
    if (columns_.form == TimeForm::elapsed) {
      if (!columns_.unit) {
        ask_unit();
      } else {
        switch (*columns_.unit) {
          case Unit::millisecond: scale = 0.001; break;
          case Unit::minute: scale = 60; break;
          case Unit::hour: scale = 3600; break;
          case Unit::day: scale = 86400; break;
          default: break;
        }
      }
    }
    const auto start = start_instant();
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      if (std::isnan(rows_[i].number)) continue;
      timeline_.elapsed_s[i] = rows_[i].number * scale;
      if (start) timeline_.at[i] = Instant{start->ms + std::llround(rows_[i].number * scale * 1000)};
    }
    timeline_.dated = start.has_value();
  }

  void ask_unit() {
    double last = 0;
    for (const RowTime& row : rows_) {
      if (!std::isnan(row.number)) last = row.number;
    }
    Ask ask{.what = "unit", .choices = {}, .option = "--unit"};
    for (const auto& [unit, seconds] : {std::pair{"s", 1.0}, std::pair{"min", 60.0}, std::pair{"h", 3600.0}}) {
      json::Value choice = json::Value::object();
      choice.set("value", columns_.name + "=" + unit);
      choice.set("channel", columns_.name);
      choice.set("minutes", std::round(last * seconds / 60 * 1000) / 1000);
      ask.choices.push_back(std::move(choice));
    }
    timeline_.asks.push_back(std::move(ask));
  }

  void numbered(double scale, double zero) {
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      if (!std::isnan(rows_[i].number)) timeline_.at[i] = Instant{std::llround((rows_[i].number - zero) * scale)};
    }
    timeline_.dated = true;
  }

  // A spreadsheet's day number is wall-clock time; a millisecond is as fine as its fraction is good for.
  void serial() {
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      if (std::isnan(rows_[i].number)) continue;
      const double days = std::floor(rows_[i].number);
      const auto clock = static_cast<std::int32_t>(std::min(std::round((rows_[i].number - days) * 86400.0) * 1000, 86399999.0));
      timeline_.at[i] = clockwork_.at(date_of_days(static_cast<std::int64_t>(days) - 25569), clock, RowTime::no_offset);
    }
    timeline_.dated = true;
  }

  std::optional<Instant> start_instant() {
    const auto civil = start_civil();
    if (!civil) return std::nullopt;
    if (!start_offset_ && timeline_.offset_minutes && !choices_.start) start_offset_ = *timeline_.offset_minutes;
    if (start_offset_) return instant_of(*civil, *start_offset_);
    const auto found = choices_.zone.instants(*civil);
    if (found.empty()) return instant_of(*civil, choices_.zone.offset_minutes(instant_of(*civil, 0)));
    return found.front();
  }

  // The start that was said, else the preamble's: "Start: 2024-05-01 08:00", or date and time on two lines.
  std::optional<CivilTime> start_civil() {
    if (choices_.start) {
      const auto stamp = parse_stamp(*choices_.start);
      if (stamp && stamp->date) {
        if (auto found = civil_from(*stamp, *stamp)) return found;
      }
      timeline_.start_unread = *choices_.start;
      return std::nullopt;
    }
    std::optional<RawStamp> date;
    std::optional<RawStamp> clock;
    for (const Metadata& line : metadata_) {
      if (has_word(line.key, {"stop", "end", "export", "exported", "printed", "calibration", "calibrated", "until", "created"})) continue;
      const bool start = has_word(line.key, {"start", "started", "begin", "began", "beginn", "inicio", "début", "debut", "startzeit", "startdatum"});
      const bool plain = has_word(line.key, {"date", "time", "datum", "zeit", "uhrzeit", "fecha", "hora"});
      if (!start && !plain) continue;
      const auto stamp = parse_stamp(line.value);
      if (!stamp) continue;
      if (stamp->date && (!date || start)) date = stamp;
      if (stamp->clock_ms && (!clock || start)) clock = stamp;
    }
    if (!date || (!clock && columns_.form != TimeForm::clock)) return std::nullopt;
    auto found = civil_from(*date, clock.value_or(*date));
    // Rows with a clock of their own need only the day.
    if (found && columns_.form == TimeForm::clock && !clock) found->hour = found->minute = found->second = 0;
    return found;
  }

  std::optional<CivilTime> civil_from(const RawStamp& date, const RawStamp& clock) {
    std::vector<CivilDate> days;
    std::vector<DateOrder> orders;
    for (const DateOrder order : {DateOrder::ymd, DateOrder::dmy, DateOrder::mdy}) {
      if (choices_.order && *choices_.order != order && date.date->digits[0] <= 2) continue;
      const auto day = day_of(*date.date, order);
      if (day && std::find(days.begin(), days.end(), *day) == days.end()) {
        days.push_back(*day);
        orders.push_back(order);
      }
    }
    if (days.empty()) return std::nullopt;
    if (days.size() > 1) {
      if (!asked_start_) {
        asked_start_ = true;
        Ask ask{.what = "date-order", .choices = {}, .option = "--date-order"};
        for (std::size_t i = 0; i < days.size(); ++i) {
          json::Value choice = json::Value::object();
          choice.set("value", name_of(orders[i]));
          choice.set("first", format_date(days[i]));
          choice.set("last", format_date(days[i]));
          ask.choices.push_back(std::move(choice));
        }
        timeline_.asks.push_back(std::move(ask));
      }
    }
    timeline_.order = orders.front();
    if (clock.offset_minutes) start_offset_ = *clock.offset_minutes;
    CivilTime civil = civil_of({std::max<std::int64_t>(clock.clock_ms.value_or(0), 0)}, 0);
    civil.date = days.front();
    return civil;
  }

  void finish() {
    std::optional<std::int64_t> first;
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      if (!timeline_.at[i]) continue;
      if (!first) first = timeline_.at[i]->ms;
      timeline_.elapsed_s[i] = static_cast<double>(timeline_.at[i]->ms - *first) / 1000;
    }
    if (columns_.form != TimeForm::elapsed && columns_.form != TimeForm::elapsed_clock && columns_.form != TimeForm::clock) return;
    if (timeline_.dated) return;
    std::optional<double> zero;
    for (double& one : timeline_.elapsed_s) {
      if (std::isnan(one)) continue;
      if (!zero) zero = one;
      one -= *zero;
    }
  }

  const std::vector<RowTime>& rows_;
  const TimeColumns& columns_;
  const std::vector<Metadata>& metadata_;
  const TimelineChoices& choices_;
  Clockwork clockwork_;
  Timeline timeline_;
  std::optional<int> start_offset_;
  bool asked_start_ = false;
};

}  // namespace

Timeline resolve(const std::vector<RowTime>& rows, const TimeColumns& columns, bool seconds,
                 const std::vector<Metadata>& metadata, const TimelineChoices& choices) {
  return Resolver(rows, columns, metadata, choices).run(seconds);
}

}  // namespace trayproof::reading
