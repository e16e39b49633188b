#include "importer/reading/reading.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "importer/reading/faults.h"
#include "importer/reading/rows.h"
#include "ledger/base/utf8.h"
#include "ledger/words/words.h"

namespace trayproof::reading {
namespace {

constexpr double no_value = std::numeric_limits<double>::quiet_NaN();

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
      reading.refused.push_back(
          {reading.rows[i].line, wanted[reading.rows[i].line], say("importer.refused.no-such-day")});
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
    const bool fresh =
        rows.empty() || rows.back().at != row.at || rows.back().elapsed_s != row.elapsed_s || filled[channel];
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

// Values of set points and the like say nothing about whether a row holds a reading; a channel of another quantity
// counts only where the file has no other.
void count_rows(Reading& reading) {
  const auto measured = [](const ChannelColumn& channel) { return channel.quantity != Quantity::other; };
  const bool any = std::any_of(reading.channels.begin(), reading.channels.end(), measured);
  for (std::size_t i = 0; i < reading.rows.size(); ++i) {
    std::int32_t usable = 0;
    for (std::size_t k = 0; k < reading.channels.size(); ++k) {
      if ((!any || reading.rows[i].lines > 1 || measured(reading.channels[k])) && !std::isnan(reading.value(i, k)))
        ++usable;
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
  if (timeline.start_unread)
    reading.notes.push_back(say("importer.note.start-unread", {{"text", *timeline.start_unread}}));
  std::sort(reading.refused.begin(), reading.refused.end(),
            [](const RefusedRow& a, const RefusedRow& b) { return a.line < b.line; });
  return reading;
}

}  // namespace trayproof::reading
