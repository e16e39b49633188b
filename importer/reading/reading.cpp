#include "importer/reading/reading.h"

#include <algorithm>
#include <cmath>

#include "importer/reading/foreign.h"
#include "importer/reading/pass.h"
#include "importer/reading/turned.h"
#include "ledger/base/utf8.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"

namespace trayproof::reading {
namespace {

constexpr int rounds_max = 5;

struct Head {
  Bytes bytes;
  Extent extent = Extent::whole;
};

Result<Head> head_from(Source& source) {
  Head head;
  while (head.bytes.size() < head_bytes) {
    TRY_LET(const ByteView part, source.next(head_bytes - head.bytes.size()));
    if (part.empty()) return head;
    head.bytes.insert(head.bytes.end(), part.begin(), part.end());
  }
  head.extent = Extent::head;
  return head;
}

Ask ask_decimal(const Dialect& found) {
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

// Many lines that look like names with values and not one row: JSON or a dump, not an export with a long preamble.
bool is_no_table(const Reading& reading) {
  constexpr std::size_t preamble_most = 60;
  return reading.rows_seen == 0 && reading.metadata.size() > preamble_most;
}

// "121,880" everywhere: as a thousand and more it would be no temperature of any chamber.
bool too_hot_with_point(const Layout& layout, const Columns& columns) {
  constexpr double hottest = 1000;
  bool any = false;
  for (const ChannelColumn& channel : columns.channels) {
    if (!channel.unit || !is_temperature(channel.unit->unit)) continue;
    for (const HeadRecord& row : layout.rows) {
      if (channel.cell >= row.cells.size()) continue;
      const auto number = parse_quantity(row.cells[channel.cell].text, Decimal::point);
      if (!number) continue;
      if (std::abs(number->value) < hottest) return false;
      any = true;
    }
  }
  return any;
}

// Dialect, layout and columns; nothing when the head holds no table, which is then said in the notes of `known`.
std::optional<Plan> plan_of(const Head& head, Encoding encoding, const Options& options, Reading& known) {
  known = Reading{};
  known.encoding = encoding;
  const Bytes& bytes = head.bytes;
  if (const auto format = is_foreign(bytes)) {
    known.notes.push_back(say("importer.note.foreign", {{"format", *format}}));
    return std::nullopt;
  }
  known.byte_order_mark = bytes.size() >= 2 && (bytes[0] == 0xEF || bytes[0] == 0xFF || bytes[0] == 0xFE);
  const std::vector<HeadLine> lines = head_of(bytes, head.extent, encoding);
  const auto dialect = find_dialect(lines, options.delimiter, options.decimal);
  auto layout = dialect ? find_layout(lines, dialect->delimiter) : std::nullopt;
  if (dialect) known.delimiter = dialect->delimiter;
  if (!layout) {
    known.notes.push_back(say("importer.note.no-table"));
    return std::nullopt;
  }
  known.decimal = dialect->decimal;
  known.runner_up = dialect->runner_up;
  known.dialect_worth = dialect->worth;
  known.header_line = layout->header_line;
  Columns columns = find_columns(*layout, known.decimal, *known.delimiter, options.units);
  if (dialect->decimal_open) {
    if (too_hot_with_point(*layout, columns)) {
      known.decimal = Decimal::comma;
      known.notes.push_back(say("importer.note.decimal-by-size", {{"cell", dialect->example}}));
      columns = find_columns(*layout, known.decimal, *known.delimiter, options.units);
    } else {
      known.asks.push_back(ask_decimal(*dialect));
    }
  }
  if (columns.first_date) layout->metadata.push_back(*columns.first_date);
  known.metadata = layout->metadata;
  if (!columns.pairs.empty()) known.decimal = Decimal::comma;
  known.time_form = columns.time.form;
  known.time_name = columns.time.name;
  known.ignored = columns.ignored;
  known.channels = columns.channels;
  known.descending = runs_backward(*layout, columns);
  return Plan{.known = known, .layout = std::move(*layout), .columns = std::move(columns)};
}

// Of a mere head, up to its last whole line.
void feed_head(Pass& pass, const Head& head, Encoding encoding) {
  Decoder decoder(encoding);
  std::string text;
  decoder.feed(head.bytes, text);
  text.resize(text.find_last_of("\r\n") + 1);
  pass.feed(text);
  pass.finish();
}

Result<void> feed_all(Pass& pass, Source& source, const Options& options, Encoding encoding, Utf8Watch& watch) {
  TRY(source.rewind());
  Decoder decoder(encoding);
  std::string text;
  std::int64_t read = 0;
  while (true) {
    TRY_LET(const ByteView part, source.next(options.chunk_bytes));
    if (part.empty()) break;
    watch.feed(part);
    pass.feed(decoder.text(part, text));
    read += static_cast<std::int64_t>(part.size());
    if (options.progress) options.progress(read);
  }
  text.clear();
  decoder.finish(text);
  pass.feed(text);
  pass.finish();
  return {};
}

// Of a file without a table: the lines with digits are what somebody may have meant as rows.
Result<void> list_lines(Source& source, Encoding encoding, Reading& known) {
  TRY(source.rewind());
  Decoder decoder(encoding);
  std::string text;
  Lines lines(
      [&](const TextLine& line) {
        if (line.text.find_first_of("0123456789") == std::string_view::npos) return;
        ++known.rows_seen;
        const Speaking in_english(Language::english);
        known.refused.add({.line = line.number,
                           .byte = line.byte,
                           .column = {},
                           .text = shortened(line.text, shown_code_points),
                           .why = say("importer.refused.no-table"),
                           .mend = say("importer.mend.no-table")});
      },
      encoding);
  while (true) {
    TRY_LET(const ByteView part, source.next(head_bytes));
    if (part.empty()) break;
    lines.feed(decoder.text(part, text));
  }
  text.clear();
  decoder.finish(text);
  lines.feed(text);
  lines.finish();
  return {};
}

}  // namespace

Result<Reading> read(Source& source, const Options& options, RowSink& sink) {
  TRY(source.rewind());
  TRY_LET(const Head head, head_from(source));
  Encoding encoding = options.encoding.value_or(detect_encoding(head.bytes));
  const bool by_content = !options.encoding && (encoding == Encoding::utf8 || encoding == Encoding::windows1252);
  Reading known;
  auto plan = plan_of(head, encoding, options, known);
  TimeAssumed assumed;
  if (plan && head.extent == Extent::head) {
    sink.begin(plan->known, Extent::head);
    Pass pass(*plan, options, assumed, sink);
    feed_head(pass, head, encoding);
    static_cast<void>(sink.end(pass.reading()));
    assumed = pass.decided();
    plan->known.metadata = pass.reading().metadata;
  }
  for (int round = 0; plan; ++round) {
    sink.begin(plan->known, Extent::whole);
    Pass pass(*plan, options, assumed, sink);
    Utf8Watch watch;
    TRY(feed_all(pass, source, options, encoding, watch));
    const bool last = round + 1 == rounds_max;
    const Encoding found = watch.is_utf8() ? Encoding::utf8 : Encoding::windows1252;
    if (by_content && !known.byte_order_mark && found != encoding && !last) {
      encoding = found;
      plan = plan_of(head, encoding, options, known);
      continue;
    }
    assumed = pass.decided();
    plan->known.metadata = pass.reading().metadata;
    if (!pass.borne_out() && !last) continue;
    if (is_no_table(pass.reading())) {
      known = Reading{};
      known.encoding = encoding;
      known.notes.push_back(say("importer.note.no-table"));
      break;
    }
    if (sink.end(pass.reading()) || last) return pass.take_reading();
  }
  if (!is_foreign(head.bytes)) TRY(list_lines(source, encoding, known));
  sink.begin(known, Extent::whole);
  static_cast<void>(sink.end(known));
  return known;
}

}  // namespace trayproof::reading
