#include "importer/reading/reading.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "importer/reading/faults.h"
#include "ledger/base/utf8.h"
#include "ledger/words/words.h"

namespace trayproof::reading {
namespace {

constexpr double no_value = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t waiting_max = 200;
constexpr std::size_t notes_max = 100;
constexpr std::size_t shown_code_points = 200;

void feed_all(ByteView bytes, Encoding encoding, std::size_t chunk, Lines& lines) {
  Decoder decoder(encoding);
  std::string text;
  for (std::size_t at = 0; at < bytes.size(); at += chunk) {
    text.clear();
    decoder.feed(bytes.subspan(at, std::min(chunk, bytes.size() - at)), text);
    lines.feed(text);
  }
  text.clear();
  decoder.finish(text);
  lines.feed(text);
  lines.finish();
}

// Takes the records of the data part one after the other.
class Rows {
 public:
  Rows(const Layout& layout, const Options& options, Reading& reading, Columns& columns)
      : layout_(layout), options_(options), reading_(reading), columns_(columns) {}

  void take(const Record& record) {
    if (record.line < layout_.data_line) return;
    cells_.clear();
    for (const Cell& cell : record.cells) cells_.push_back(cell.text);
    const bool blank = std::all_of(cells_.begin(), cells_.end(), [](std::string_view cell) { return cell.empty(); });
    if (blank || is_repeated_header()) return;
    if (columns_.comma_pairs) join_pairs();
    RowTime time;
    const auto why = read_time(time);
    if (!why) {
      settle_waiting();
      row(record, time);
    } else if (is_comment(record.text)) {
      note_line(record);
    } else {
      unreadable(record, *why);
    }
  }

  void finish() {
    // Text behind the last row is the file's own closing, not a row.
    for (Waiting& one : waiting_) {
      reading_.metadata.push_back(metadata_of(one.row.text, one.cells, one.row.line)
                                      .value_or(Metadata{"", one.row.text, one.row.line}));
    }
    waiting_.clear();
  }

  std::vector<RowTime>& times() { return times_; }
  // Of a long layout: which channel each row's one value belongs to.
  std::vector<std::size_t>& channel_of_row() { return channel_of_row_; }
  bool seconds() const { return seconds_; }

 private:
  struct Waiting {
    RefusedRow row;
    std::vector<std::string> cells;
  };

  std::string_view cell(std::size_t place) const { return place < cells_.size() ? cells_[place] : std::string_view(); }

  bool is_repeated_header() const {
    const auto equals = [&](const std::vector<std::string>& names) {
      if (names.empty()) return false;
      std::size_t alike = 0;
      std::size_t filled = 0;
      for (std::size_t i = 0; i < names.size() || i < cells_.size(); ++i) {
        const std::string_view name = i < names.size() ? std::string_view(names[i]) : std::string_view();
        if (!name.empty()) ++filled;
        if (!name.empty() && cell(i) == name) ++alike;
      }
      return filled > 0 && alike * 10 >= filled * 8;
    };
    return equals(layout_.names) || equals(layout_.units);
  }

  // "2024-05-01 10:00,121,3": the commas of the values are joined again.
  void join_pairs() {
    const std::size_t time_cells = columns_.pairs_from;
    const std::size_t values = columns_.count - time_cells;
    if (cells_.size() != time_cells + 2 * values) return;
    joined_.clear();
    for (std::size_t i = 0; i < values; ++i) {
      joined_.push_back(std::string(cells_[time_cells + 2 * i]) + "," + std::string(cells_[time_cells + 2 * i + 1]));
    }
    cells_.resize(time_cells);
    for (const std::string& one : joined_) cells_.push_back(one);
  }

  // Nothing when the time was read, else why not.
  std::optional<std::string_view> read_time(RowTime& time) {
    const TimeColumns& columns = columns_.time;
    const std::string_view first = cell(columns.first);
    time.number = no_value;
    switch (columns.form) {
      case TimeForm::none: return "importer.refused.no-time-column";
      case TimeForm::stamp:
      case TimeForm::apart:
      case TimeForm::clock: break;
      case TimeForm::elapsed_clock: {
        const auto found = parse_elapsed(first);
        if (!found) return "importer.refused.no-time";
        time.number = *found;
        return std::nullopt;
      }
      default: {
        const auto found = parse_quantity(first, reading_.decimal);
        if (!found) return "importer.refused.no-time";
        time.number = found->value;
        return std::nullopt;
      }
    }
    auto stamp = parse_stamp(first);
    if (!stamp) return "importer.refused.no-time";
    if (columns.form == TimeForm::apart) {
      const auto clock = parse_stamp(cell(*columns.clock));
      if (!clock || !clock->clock_ms || !stamp->date) return "importer.refused.no-time";
      stamp->clock_ms = clock->clock_ms;
      stamp->seconds = clock->seconds;
      if (clock->offset_minutes) stamp->offset_minutes = clock->offset_minutes;
    }
    if (columns.form != TimeForm::clock && !stamp->date) return "importer.refused.no-date";
    if (columns.form == TimeForm::clock && !stamp->clock_ms) return "importer.refused.no-time";
    if (columns.half && stamp->clock_ms) {
      const auto half = half_day(cell(*columns.half));
      const auto moved = half ? in_half(*stamp->clock_ms, *half) : std::nullopt;
      if (!moved) return "importer.refused.no-half-day";
      stamp->clock_ms = moved;
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

  void row(const Record& record, const RowTime& time) {
    ++reading_.rows_seen;
    if (columns_.rows_of_channels) {
      long_row(record, time);
      return;
    }
    if (has_number_past_columns()) {
      refuse(record, "importer.refused.too-many-cells");
      return;
    }
    // A line that ends with its time was cut; one with empty cells behind it holds no values but is whole.
    if (cells_.size() <= last_time_cell() + 1 && ends_with_time()) {
      refuse(record, "importer.refused.cut-off");
      return;
    }
    const std::size_t first = reading_.values.size();
    bool usable = false;
    bool garbage = false;
    for (const ChannelColumn& channel : columns_.channels) {
      const double value = read_value(record, channel.cell, channel.name, garbage);
      if (!std::isnan(value)) usable = true;
      reading_.values.push_back(value);
    }
    if (!usable && garbage) {
      reading_.values.resize(first);
      refuse(record, "importer.refused.no-number");
      return;
    }
    keep_garbage_notes();
    reading_.rows.push_back({.line = record.line, .at = {}, .elapsed_s = 0});
    times_.push_back(time);
  }

  std::size_t last_time_cell() const {
    const TimeColumns& time = columns_.time;
    return std::max({time.first, time.clock.value_or(0), time.half.value_or(0)});
  }

  bool ends_with_time() const {
    return !columns_.channels.empty() && columns_.channels.back().cell > last_time_cell();
  }

  double read_value(const Record& record, std::size_t place, const std::string& name, bool& garbage) {
    const std::string_view text = cell(place);
    if (text.empty()) return no_value;
    if (const auto number = parse_quantity(text, reading_.decimal)) return number->value;
    if (is_mark(text)) return no_value;
    garbage = true;
    garbage_.push_back(say("importer.note.unreadable-cell",
                           {{"line", std::to_string(record.line)}, {"column", name}, {"text", shortened(text, 40)}}));
    return no_value;
  }

  void keep_garbage_notes() {
    for (std::string& one : garbage_) {
      if (reading_.notes.size() < notes_max) reading_.notes.push_back(std::move(one));
    }
    garbage_.clear();
  }

  bool has_number_past_columns() const {
    for (std::size_t i = columns_.count; i < cells_.size(); ++i) {
      if (kind_of(cells_[i]) == Kind::number) return true;
    }
    return false;
  }

  void long_row(const Record& record, const RowTime& time) {
    const LongForm& form = *columns_.rows_of_channels;
    const std::string name(cell(form.channel));
    if (name.empty()) return refuse(record, "importer.refused.no-channel");
    bool garbage = false;
    const double value = read_value(record, form.value, name, garbage);
    if (garbage) return refuse(record, "importer.refused.no-number");
    auto known = places_.find(name);
    if (known == places_.end()) {
      if (places_.size() >= 256) return refuse(record, "importer.refused.too-many-channels");
      known = places_.emplace(name, columns_.channels.size()).first;
      columns_.channels.push_back(long_channel(name, form.unit ? cell(*form.unit) : std::string_view(), options_.units));
    }
    channel_of_row_.push_back(known->second);
    reading_.values.push_back(value);
    reading_.rows.push_back({.line = record.line, .at = {}, .elapsed_s = 0});
    times_.push_back(time);
  }

  void refuse(const Record& record, std::string_view why) {
    garbage_.clear();
    reading_.refused.push_back({record.line, shortened(record.text, shown_code_points), say(why)});
  }

  // A comment or a parameter between the rows is kept beside them and is no row.
  void note_line(const Record& record) {
    reading_.metadata.push_back(metadata_of(record.text, owned_cells(), record.line)
                                    .value_or(Metadata{"", std::string(record.text), record.line}));
  }

  std::vector<std::string> owned_cells() const { return {cells_.begin(), cells_.end()}; }

  // A line without a time: a closing line where nothing follows, else a refused row or a note between rows.
  void unreadable(const Record& record, std::string_view why) {
    const std::string_view text = trimmed(record.text);
    const bool digit_first = !text.empty() && text.front() >= '0' && text.front() <= '9';
    RefusedRow refused{record.line, shortened(record.text, shown_code_points), say(why)};
    if (digit_first || waiting_.size() >= waiting_max) {
      settle_waiting();
      ++reading_.rows_seen;
      reading_.refused.push_back(std::move(refused));
    } else {
      waiting_.push_back({std::move(refused), owned_cells()});
    }
  }

  // Rows follow, so the waiting lines stood between rows.
  void settle_waiting() {
    for (Waiting& one : waiting_) {
      const std::size_t filled = static_cast<std::size_t>(
          std::count_if(one.cells.begin(), one.cells.end(), [](const std::string& text) { return !text.empty(); }));
      auto line = metadata_of(one.row.text, one.cells, one.row.line);
      const bool note = line && filled <= 2 && kind_of(one.cells.front()) == Kind::text &&
                        (one.row.text.find(':') != std::string::npos || one.row.text.find('=') != std::string::npos);
      if (note) {
        reading_.metadata.push_back(std::move(*line));
      } else {
        ++reading_.rows_seen;
        reading_.refused.push_back(std::move(one.row));
      }
    }
    waiting_.clear();
  }

  const Layout& layout_;
  const Options& options_;
  Reading& reading_;
  Columns& columns_;
  std::vector<std::string_view> cells_;
  std::vector<std::string> joined_;
  std::vector<std::string> garbage_;
  std::vector<RowTime> times_;
  std::vector<std::size_t> channel_of_row_;
  std::map<std::string, std::size_t> places_;
  std::vector<Waiting> waiting_;
  bool seconds_ = false;
};

// Rows whose stamp names no instant are refused after all; their text is read again from the file.
void refuse_undated(ByteView bytes, const Options& options, Reading& reading, std::vector<bool>& keep) {
  std::map<std::int64_t, std::string> wanted;
  for (std::size_t i = 0; i < reading.rows.size(); ++i) {
    if (!keep[i]) wanted.emplace(reading.rows[i].line, "");
  }
  if (wanted.empty()) return;
  Lines lines([&](std::string_view line, std::int64_t number) {
    const auto found = wanted.find(number);
    if (found != wanted.end()) found->second = shortened(line, shown_code_points);
  });
  feed_all(bytes, reading.encoding, options.chunk_bytes, lines);
  const std::size_t width = reading.rows.empty() ? 0 : reading.values.size() / reading.rows.size();
  std::size_t to = 0;
  for (std::size_t i = 0; i < reading.rows.size(); ++i) {
    if (!keep[i]) {
      reading.refused.push_back({reading.rows[i].line, wanted[reading.rows[i].line], say("importer.refused.no-such-day")});
      continue;
    }
    if (to != i) {
      reading.rows[to] = reading.rows[i];
      for (std::size_t k = 0; k < width; ++k) reading.values[to * width + k] = reading.values[i * width + k];
    }
    ++to;
  }
  reading.rows.resize(to);
  reading.values.resize(to * width);
}

// A long layout laid out wide: rows of one stamp become one row, until a channel comes again.
void widen(Reading& reading, const std::vector<std::size_t>& channel_of_row) {
  const std::size_t width = reading.channels.size();
  std::vector<ReadRow> rows;
  std::vector<double> values;
  std::vector<bool> filled(width, false);
  for (std::size_t i = 0; i < reading.rows.size(); ++i) {
    const ReadRow& row = reading.rows[i];
    const std::size_t channel = channel_of_row[i];
    const bool fresh = rows.empty() || rows.back().at != row.at || rows.back().elapsed_s != row.elapsed_s || filled[channel];
    if (fresh) {
      rows.push_back(row);
      rows.back().lines = 0;
      values.resize(rows.size() * width, no_value);
      filled.assign(width, false);
    }
    ++rows.back().lines;
    filled[channel] = true;
    values[(rows.size() - 1) * width + channel] = reading.values[i];
  }
  reading.rows = std::move(rows);
  reading.values = std::move(values);
}

// Values of set points and the like say nothing about whether a row holds a reading; a channel of another quantity counts
// only where the file has no other.
void count_rows(Reading& reading) {
  const auto measured = [](const ChannelColumn& channel) { return channel.quantity != Quantity::other; };
  const bool any = std::any_of(reading.channels.begin(), reading.channels.end(), measured);
  for (std::size_t i = 0; i < reading.rows.size(); ++i) {
    std::int32_t usable = 0;
    for (std::size_t k = 0; k < reading.channels.size(); ++k) {
      if ((!any || reading.rows[i].lines > 1 || measured(reading.channels[k])) && !std::isnan(reading.value(i, k))) ++usable;
    }
    const std::int32_t with = std::min(usable, reading.rows[i].lines);
    reading.readings += with;
    reading.marks += reading.rows[i].lines - with;
  }
}

Ask ask_decimal(const DecimalFound& found) {
  Ask ask{.what = "decimal", .choices = {}, .option = "--decimal"};
  for (const Decimal one : {Decimal::comma, Decimal::point}) {
    const auto number = parse_quantity(found.example, one);
    json::Value choice = json::Value::object();
    choice.set("value", name_of(one));
    choice.set("cell", found.example);
    choice.set("reads", number ? json::Value(number->value) : json::Value());
    ask.choices.push_back(std::move(choice));
  }
  return ask;
}

}  // namespace

Reading read(ByteView bytes, const Options& options) {
  Reading reading;
  reading.encoding = options.encoding.value_or(detect_encoding(bytes));
  reading.byte_order_mark = bytes.size() >= 2 && (bytes[0] == 0xEF || bytes[0] == 0xFF || bytes[0] == 0xFE);
  const std::vector<HeadLine> head = head_of(bytes, reading.encoding);
  reading.delimiter = options.delimiter ? options.delimiter : detect_delimiter(head);
  if (!reading.delimiter) {
    reading.notes.push_back(say("importer.note.no-table"));
    return reading;
  }
  const auto layout = find_layout(head, *reading.delimiter);
  if (!layout) {
    reading.notes.push_back(say("importer.note.no-table"));
    return reading;
  }
  const DecimalFound decimal = detect_decimal(*layout, *reading.delimiter);
  reading.decimal = options.decimal.value_or(decimal.decimal);
  if (decimal.open && !options.decimal) reading.asks.push_back(ask_decimal(decimal));
  reading.header_line = layout->header_line;
  reading.metadata = layout->metadata;
  Columns columns = find_columns(*layout, reading.decimal, *reading.delimiter, options.units);
  if (columns.comma_pairs) reading.decimal = Decimal::comma;
  reading.time_form = columns.time.form;
  reading.ignored = columns.ignored;

  Rows rows(*layout, options, reading, columns);
  Records records(*reading.delimiter, [&](const Record& record) { rows.take(record); });
  Lines lines([&](std::string_view line, std::int64_t number) { records.line(line, number); });
  feed_all(bytes, reading.encoding, options.chunk_bytes, lines);
  records.finish();
  rows.finish();
  reading.channels = columns.channels;

  Timeline timeline = resolve(rows.times(), columns.time, rows.seconds(), reading.metadata, options.time);
  reading.date_order = timeline.order;
  reading.offset_minutes = timeline.offset_minutes;
  reading.dated = timeline.dated;
  reading.seconds = timeline.seconds;
  std::vector<bool> keep(reading.rows.size(), true);
  std::vector<std::size_t> kept_channels;
  for (std::size_t i = 0; i < reading.rows.size(); ++i) {
    reading.rows[i].at = timeline.dated ? timeline.at[i] : std::nullopt;
    reading.rows[i].elapsed_s = timeline.elapsed_s[i];
    keep[i] = !std::isnan(timeline.elapsed_s[i]);
    if (keep[i] && !rows.channel_of_row().empty()) kept_channels.push_back(rows.channel_of_row()[i]);
  }
  refuse_undated(bytes, options, reading, keep);
  if (!rows.channel_of_row().empty()) widen(reading, kept_channels);
  reading.faults = drop_faults(reading);
  count_rows(reading);
  for (Ask& ask : timeline.asks) reading.asks.push_back(std::move(ask));
  for (std::string& note : timeline.notes) reading.notes.push_back(std::move(note));
  if (timeline.start_unread) reading.notes.push_back(say("importer.note.start-unread", {{"text", *timeline.start_unread}}));
  std::sort(reading.refused.begin(), reading.refused.end(), [](const RefusedRow& a, const RefusedRow& b) { return a.line < b.line; });
  return reading;
}

}  // namespace trayproof::reading
