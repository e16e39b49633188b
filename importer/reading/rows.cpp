#include "importer/reading/rows.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "importer/reading/start.h"
#include "ledger/base/utf8.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"

namespace trayproof::reading {
namespace {

constexpr double no_value = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t waiting_max = 200;
constexpr std::size_t notes_max = 100;
constexpr std::size_t metadata_max = 5000;
constexpr std::size_t channels_max = 256;
constexpr std::size_t nowhere = std::numeric_limits<std::size_t>::max();

// What may stand behind a number: the channel's unit, or a flag that some loggers set.
bool fits(std::string_view suffix, const ChannelColumn& channel) {
  if (suffix == "*" || suffix == "!") return true;
  const auto unit = unit_named(suffix);
  return unit && (!channel.unit || channel.unit->unit == unit->unit);
}

bool begins_with_digit(std::string_view text) { return !text.empty() && text.front() >= '0' && text.front() <= '9'; }

// "Page 2 of 7", as printing into a file leaves between the rows.
bool is_page_mark(std::string_view text) {
  const auto words = words_of(text);
  if (words.size() < 2 || words.size() > 4 || words[1].find_first_not_of("0123456789") != std::string::npos)
    return false;
  return words[0] == "page" || words[0] == "seite" || words[0] == "pagina" || words[0] == "página";
}

}  // namespace

void Rows::take(const Record& record) {
  was_row_ = false;
  if (record.line < layout_.data_line) return;
  cells_.clear();
  for (const Cell& cell : record.cells) cells_.push_back(cell.text);
  const bool blank = std::all_of(cells_.begin(), cells_.end(), [](std::string_view cell) { return cell.empty(); });
  if (blank || is_repeated_header() || is_other_header(record)) return;
  if (foreign_) {
    ++reading_.rows_seen;
    return refuse(record, "importer.refused.other-table");
  }
  if (!columns_.pairs.empty() && !join()) {
    settle_waiting();
    ++reading_.rows_seen;
    return refuse(record, "importer.refused.which-comma");
  }
  RowTime time;
  const auto why = read_time(time);
  if (!why) {
    settle_waiting();
    if (section_date_ && !time.has_date) {
      time.date = *section_date_;
      time.has_date = true;
    }
    section_date_.reset();
    row(record, time);
  } else if (is_comment(record.text)) {
    note_line(record);
  } else {
    unreadable(record, *why);
  }
}

void Rows::finish() {
  for (const Waiting& one : waiting_) {
    keep_metadata(
        metadata_of(one.row.text, one.cells, one.row.line).value_or(Metadata{"", one.row.text, one.row.line}));
  }
  waiting_.clear();
}

bool Rows::is_repeated_header() {
  if (repeats(layout_.names)) {
    places_of_ = header_places_;
    time_ = columns_.time;
    foreign_ = moved_ = false;
    return true;
  }
  return repeats(layout_.units);
}

// A header in the middle of the file that is not the first one: a section of its own. Where it names the same columns
// in another order they are followed; where it does not, what stands under it is refused, not misread.
bool Rows::is_other_header(const Record& record) {
  if (columns_.rows_of_channels || !columns_.pairs.empty() || layout_.names.empty()) return false;
  if (cells_.size() < 2 || cells_.front().empty() || begins_with_digit(cells_.front())) return false;
  HeadRecord head{.line = record.line, .text = {}, .cells = {}};
  for (const std::string_view one : cells_) head.cells.push_back({std::string(one), false, kind_of(one)});
  if (head.count(Kind::number) > 0 || head.count(Kind::stamp) > 0 || header_worth(head, 0) < 3) return false;
  if (is_units_row(head)) {
    compare_units();
  } else {
    follow_header();
  }
  return true;
}

// A row of units in a section: it must give each channel the unit that it has.
void Rows::compare_units() {
  for (std::size_t k = 0; k < columns_.channels.size(); ++k) {
    const auto unit = unit_named(cell(places_of_[k]));
    const auto& known = columns_.channels[k].unit;
    if (unit && (!known || known->unit != unit->unit)) foreign_ = true;
  }
}

void Rows::follow_header() {
  const auto place = [&](std::size_t column) -> std::optional<std::size_t> {
    if (column >= layout_.names.size()) return std::nullopt;
    const auto found = std::find(cells_.begin(), cells_.end(), layout_.names[column]);
    if (found == cells_.end()) return std::nullopt;
    return static_cast<std::size_t>(found - cells_.begin());
  };
  time_ = columns_.time;
  moved_ = true;
  foreign_ = cells_.size() > layout_.names.size();
  // A quantity that the first header does not name would be lost without a word.
  for (const std::string_view one : cells_) {
    const Guess guess = guess_of(one);
    const bool measured = guess == Guess::temperature || guess == Guess::pressure || guess == Guess::humidity;
    if (measured && std::find(layout_.names.begin(), layout_.names.end(), one) == layout_.names.end()) foreign_ = true;
  }
  const auto first = place(columns_.time.first);
  if (first) time_.first = *first;
  foreign_ = foreign_ || !first;
  for (auto* const beside : {&time_.clock, &time_.half}) {
    if (!*beside) continue;
    *beside = place(**beside);
    foreign_ = foreign_ || !*beside;
  }
  bool any = columns_.channels.empty();
  for (std::size_t k = 0; k < columns_.channels.size(); ++k) {
    const auto found = place(columns_.channels[k].cell);
    any = any || found;
    places_of_[k] = found.value_or(nowhere);
  }
  foreign_ = foreign_ || !any;
}

bool Rows::repeats(const std::vector<std::string>& names) const {
  std::size_t alike = 0;
  std::size_t filled = 0;
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (names[i].empty()) continue;
    ++filled;
    if (cell(i) == names[i]) ++alike;
  }
  return filled > 0 && alike * 10 >= filled * 8;
}

// "2024-05-01 10:00,121,3": the commas of the values are joined again. What is no row is left as it is.
bool Rows::join() {
  const bool any_number = std::any_of(cells_.begin(), cells_.end(), [](std::string_view one) {
    return kind_of(one) == Kind::number || kind_of(one) == Kind::stamp;
  });
  if (!any_number) return true;
  auto joined = join_pairs(cells_, columns_.pairs);
  if (!joined) return cells_.size() < columns_.pairs.size();  // too few cells: told otherwise
  joined_ = std::move(*joined);
  cells_.assign(joined_.begin(), joined_.end());
  return true;
}

std::optional<std::string_view> Rows::read_time(RowTime& time) {
  time.number = no_value;
  const std::string_view text = cell(time_.first);
  switch (time_.form) {
    case TimeForm::none:
      return "importer.refused.no-time-column";
    case TimeForm::stamp:
    case TimeForm::apart:
    case TimeForm::clock:
      return read_stamp(time);
    case TimeForm::elapsed_clock: {
      const auto found = parse_elapsed(text);
      if (!found) return "importer.refused.no-time";
      time.number = *found;
      time.two_parts = std::count(text.begin(), text.end(), ':') == 1 && *found == std::floor(*found);
      return std::nullopt;
    }
    default: {
      const auto found = parse_quantity(text, reading_.decimal);
      if (!found) return "importer.refused.no-time";
      time.number = found->value;
      return std::nullopt;
    }
  }
}

std::optional<std::string_view> Rows::read_stamp(RowTime& time) {
  const TimeColumns& columns = time_;
  auto stamp = parse_stamp(cell(columns.first));
  if (!stamp) return "importer.refused.no-time";
  if (columns.form == TimeForm::apart) {
    const auto clock = columns.bare ? bare_clock(cell(*columns.clock)) : parse_stamp(cell(*columns.clock));
    if (!clock || !clock->clock_ms || !stamp->date) return "importer.refused.no-time";
    stamp->clock_ms = clock->clock_ms;
    stamp->seconds = clock->seconds;
    if (clock->offset_minutes) stamp->offset_minutes = clock->offset_minutes;
  }
  if (columns.form != TimeForm::clock && !stamp->date) return "importer.refused.no-date";
  if ((columns.form == TimeForm::clock || columns.clocked) && !stamp->clock_ms) return "importer.refused.no-time";
  if (columns.half && stamp->clock_ms) {
    const auto half = half_day(cell(*columns.half));
    const auto moved = half ? in_half(*stamp->clock_ms, *half) : std::nullopt;
    if (!moved) return "importer.refused.no-half-day";
    stamp->clock_ms = moved;
  }
  if (columns.form == TimeForm::clock && columns.date) {
    const auto beside = parse_stamp(cell(*columns.date));
    if (beside && beside->date) stamp->date = beside->date;
  }
  if (stamp->date) {
    time.date = *stamp->date;
    time.has_date = true;
  }
  time.clock_ms = stamp->clock_ms.value_or(-1);
  if (stamp->offset_minutes) time.offset_minutes = *stamp->offset_minutes;
  if (stamp->seconds) seconds_ = true;
  return std::nullopt;
}

void Rows::row(const Record& record, const RowTime& time) {
  ++reading_.rows_seen;
  if (columns_.rows_of_channels) return long_row(record, time);
  if (has_number_past_columns()) return refuse(record, "importer.refused.too-many-cells");
  if (is_cut_off()) return refuse(record, "importer.refused.cut-off");
  values_.clear();
  bool usable = false;
  bool garbage = false;
  for (std::size_t k = 0; k < columns_.channels.size(); ++k) {
    const ChannelColumn& channel = columns_.channels[k];
    const double value = read_value(record, places_of_[k], channel, garbage);
    if (!std::isnan(value)) usable = true;
    values_.push_back(value);
  }
  if (!usable && garbage) return refuse(record, "importer.refused.no-number", garbage_column_);
  keep_garbage_notes();
  give(record, time, std::nullopt);
}

void Rows::give(const Record& record, const RowTime& time, std::optional<std::size_t> channel) {
  was_row_ = true;
  sink_({.line = record.line, .byte = record.byte, .text = record.text, .values = values_, .channel = channel}, time);
}

double Rows::read_value(const Record& record, std::size_t place, const ChannelColumn& channel, bool& garbage) {
  const std::string_view text = cell(place);
  if (text.empty()) return no_value;
  const auto number = parse_quantity(text, reading_.decimal);
  if (number && (number->unit.empty() || fits(number->unit, channel))) return number->value;
  if (!number && is_mark(text)) return no_value;
  if (!garbage) garbage_column_ = channel.name;
  garbage = true;
  garbage_.push_back(
      say("importer.note.unreadable-cell",
          {{"line", std::to_string(record.line)}, {"column", channel.name}, {"text", shortened(text, 40)}}));
  return no_value;
}

void Rows::keep_garbage_notes() {
  for (std::string& one : garbage_) {
    if (reading_.notes.size() < notes_max) reading_.notes.push_back(std::move(one));
  }
  garbage_.clear();
}

// A line that ends with its time was cut; one with empty cells behind it holds no values but is whole.
bool Rows::is_cut_off() const {
  const std::size_t last = std::max({time_.first, time_.clock.value_or(0), time_.half.value_or(0)});
  return cells_.size() <= last + 1 && !places_of_.empty() && places_of_.back() > last;
}

bool Rows::has_number_past_columns() const {
  for (std::size_t i = columns_.count; i < cells_.size(); ++i) {
    if (kind_of(cells_[i]) == Kind::number) return true;
  }
  return false;
}

void Rows::long_row(const Record& record, const RowTime& time) {
  const LongForm& form = *columns_.rows_of_channels;
  const std::string name(cell(form.channel));
  if (name.empty()) return refuse(record, "importer.refused.no-channel");
  auto known = channel_named_.find(name);
  if (known == channel_named_.end()) {
    if (channel_named_.size() >= channels_max) return refuse(record, "importer.refused.too-many-channels");
    known = channel_named_.emplace(name, columns_.channels.size()).first;
    const std::string_view unit = form.unit ? cell(*form.unit) : std::string_view();
    columns_.channels.push_back(long_channel(name, unit, options_.units));
  }
  bool garbage = false;
  const double value = read_value(record, form.value, columns_.channels[known->second], garbage);
  if (garbage) return refuse(record, "importer.refused.no-number", name);
  values_.assign(1, value);
  give(record, time, known->second);
}

RefusedRow Rows::refused(const Record& record, std::string_view why, std::string column) const {
  const Speaking in_english(Language::english);
  return {.line = record.line,
          .byte = record.byte,
          .column = std::move(column),
          .text = shortened(record.text, shown_code_points),
          .why = say(why),
          .mend = say("importer.mend." + std::string(why.substr(why.rfind('.') + 1)))};
}

void Rows::refuse(const Record& record, std::string_view why, std::string column) {
  garbage_.clear();
  reading_.refused.add(refused(record, why, std::move(column)));
}

void Rows::refuse(const ParsedRow& row, std::string_view why) {
  Record record;
  record.line = row.line;
  record.byte = row.byte;
  record.text = row.text.substr(0, row.text.find_last_not_of("\r\n") + 1);
  refuse(record, why, columns_.time.name);
}

void Rows::keep_metadata(Metadata line) {
  if (reading_.metadata.size() < metadata_max) reading_.metadata.push_back(std::move(line));
}

// "Date: 2024-05-15" above a section of clock times.
void Rows::keep_date(const Metadata& line) {
  if (time_.form != TimeForm::clock || !names_day(line.key)) return;
  const auto stamp = parse_stamp(line.value);
  if (stamp && stamp->date) section_date_ = stamp->date;
}

// A comment or a parameter between the rows is kept beside them and is no row.
void Rows::note_line(const Record& record) {
  const auto line = metadata_of(record.text, owned_cells(), record.line);
  if (line) keep_date(*line);
  keep_metadata(line.value_or(Metadata{"", std::string(record.text), record.line}));
}

// A line without a time: a closing line where nothing follows, else a refused row or a note between rows.
void Rows::unreadable(const Record& record, std::string_view why) {
  RefusedRow row = refused(record, why, columns_.time.name);
  if (begins_with_digit(trimmed(record.text)) || waiting_.size() >= waiting_max) {
    settle_waiting();
    ++reading_.rows_seen;
    reading_.refused.add(std::move(row));
  } else {
    waiting_.push_back({std::move(row), owned_cells()});
  }
}

// Rows follow, so the waiting lines stood between rows.
void Rows::settle_waiting() {
  for (Waiting& one : waiting_) {
    const auto filled =
        std::count_if(one.cells.begin(), one.cells.end(), [](const std::string& text) { return !text.empty(); });
    auto line = metadata_of(one.row.text, one.cells, one.row.line);
    const bool keyed = one.row.text.find(':') != std::string::npos || one.row.text.find('=') != std::string::npos;
    if (is_page_mark(one.row.text)) {
      keep_metadata(line.value_or(Metadata{"", one.row.text, one.row.line}));
    } else if (line && keyed && filled <= 2 && kind_of(one.cells.front()) == Kind::text) {
      keep_date(*line);
      keep_metadata(std::move(*line));
    } else {
      ++reading_.rows_seen;
      reading_.refused.add(std::move(one.row));
    }
  }
  waiting_.clear();
}

}  // namespace trayproof::reading
