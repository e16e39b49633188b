#include "importer/reading/reading.h"

#include <algorithm>

#include "importer/reading/pass.h"
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

// Dialect, layout and columns; nothing when the head holds no table, which is then said in the notes of `known`.
std::optional<Plan> plan_of(const Head& head, Encoding encoding, const Options& options, Reading& known) {
  known = Reading{};
  known.encoding = encoding;
  const Bytes& bytes = head.bytes;
  known.byte_order_mark = bytes.size() >= 2 && (bytes[0] == 0xEF || bytes[0] == 0xFF || bytes[0] == 0xFE);
  const std::vector<HeadLine> lines = head_of(bytes, head.extent, encoding);
  known.delimiter = options.delimiter ? options.delimiter : detect_delimiter(lines);
  auto layout = known.delimiter ? find_layout(lines, *known.delimiter) : std::nullopt;
  if (!layout) {
    known.notes.push_back(say("importer.note.no-table"));
    return std::nullopt;
  }
  const DecimalFound decimal = detect_decimal(*layout, *known.delimiter);
  known.decimal = options.decimal.value_or(decimal.decimal);
  if (decimal.open && !options.decimal) known.asks.push_back(ask_decimal(decimal));
  known.header_line = layout->header_line;
  known.metadata = layout->metadata;
  Columns columns = find_columns(*layout, known.decimal, *known.delimiter, options.units);
  if (columns.comma_pairs) known.decimal = Decimal::comma;
  known.time_form = columns.time.form;
  known.ignored = columns.ignored;
  known.channels = columns.channels;
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
    if (sink.end(pass.reading()) || last) return pass.take_reading();
  }
  sink.begin(known, Extent::whole);
  static_cast<void>(sink.end(known));
  return known;
}

}  // namespace trayproof::reading
