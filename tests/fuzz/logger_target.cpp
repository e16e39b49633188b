// The importer's stages: text out of bytes, records out of text, rows out of a file, cycles out of rows.
#include <algorithm>
#include <cmath>

#include "importer/document.h"
#include "importer/import.h"
#include "importer/reading/encoding.h"
#include "importer/reading/reading.h"
#include "importer/reading/records.h"
#include "importer/refusals.h"
#include "importer/refused_row.h"
#include "ledger/base/utf8.h"
#include "ledger/sop/default.h"
#include "tests/fuzz/target.h"

namespace trayproof::fuzz {
namespace {

// Sizes of the pieces that bytes are fed in.
constexpr std::size_t pieces[] = {1, 2, 3, 7, 64};

std::string decoded(std::string_view bytes, reading::Encoding encoding, std::size_t piece) {
  reading::Decoder decoder(encoding);
  std::string text;
  for (std::size_t at = 0; at < bytes.size(); at += piece) decoder.feed(as_bytes(bytes.substr(at, piece)), text);
  decoder.finish(text);
  return text;
}

// Every record with its line and cells.
std::string records_of(std::string_view text, reading::Delimiter delimiter, std::size_t piece) {
  std::string out;
  std::int64_t last_line = 0;
  // A mark at the beginning of a line is no text, and one byte of a damaged file may stand as three here.
  const bool has_marks =
      text.find("\xEF\xBB\xBF") != std::string_view::npos || text.find("\xEF\xBF\xBD") != std::string_view::npos;
  reading::Records records(delimiter, [&](const reading::Record& record) {
    must_hold(record.line > last_line, "lines go on");
    last_line = record.line;
    const std::string_view first = record.text.substr(0, record.text.find_first_of("\r\n"));
    if (!has_marks) must_hold(text.substr(static_cast<std::size_t>(record.byte)).starts_with(first), "where it lies");
    out += std::to_string(record.line) + "@" + std::to_string(record.byte) + ":" + std::string(record.text) + "\n";
    for (const reading::Cell& cell : record.cells) out += (cell.quoted ? "\"" : "'") + std::string(cell.text) + "\n";
  });
  reading::Lines lines([&](const reading::TextLine& line) { records.line(line); });
  for (std::size_t at = 0; at < text.size(); at += piece) lines.feed(text.substr(at, piece));
  lines.finish();
  records.finish();
  return out;
}

// Rows as text; what came before the last beginning is void.
class Told : public reading::RowSink {
 public:
  void begin(const reading::Reading&, reading::Extent) override { rows_.clear(); }
  void row(const reading::Row& row) override {
    rows_ += std::to_string(row.line) + "+" + std::to_string(row.lines) + " " +
             (row.at ? std::to_string(row.at->ms) : std::string("-")) + " " + std::to_string(row.elapsed_s);
    for (const double value : row.values) rows_ += std::isnan(value) ? " -" : " " + std::to_string(value);
    // A channel that is known later has no value here.
    while (rows_.ends_with(" -")) rows_.resize(rows_.size() - 2);
    rows_ += "\n";
  }
  bool end(const reading::Reading&) override { return true; }
  const std::string& rows() const { return rows_; }

 private:
  std::string rows_;
};

std::string told(std::string_view bytes, const reading::Options& options) {
  reading::MemorySource source(as_bytes(bytes));
  Told told;
  const auto read = reading::read(source, options, told);
  must_hold(read.ok(), "reading fails only where its source does");
  const reading::Reading& reading = read.value();
  must_hold(reading.rows_seen == reading.readings + reading.marks + reading.refused.count(), "every row is counted");
  std::string out = told.rows() + std::string(reading::name_of(reading.encoding)) + " " + std::to_string(reading.rows) +
                    " " + std::to_string(reading.rows_seen) + " " + std::to_string(reading.readings) + " " +
                    std::to_string(reading.marks) + " " + std::to_string(reading.faults) + "\n";
  for (const reading::ChannelColumn& one : reading.channels)
    out += one.name + "|" + std::string(reading::name_of(one.quantity)) + "|" + one.unit_text + "\n";
  for (const reading::RefusedRow& one : reading.refused.kept()) {
    must_hold(!first_bad_utf8(one.text) && !first_bad_utf8(one.why), "a refusal is text");
    out += std::to_string(one.line) + "@" + std::to_string(one.byte) + " " + one.column + " " + one.why + "\n";
  }
  for (const reading::Ask& one : reading.asks) out += one.what + " " + one.option + "\n";
  for (const std::string& one : reading.notes) out += one + "\n";
  return out;
}

const sop::Editions& editions() {
  static const sop::Editions adopted = [] {
    sop::Editions editions;
    auto sop = sop::read(sop::default_sop());
    must_hold(sop.ok(), "the default edition is read");
    editions.add(5, std::move(sop).value(), Instant{0}, Instant{0});
    return editions;
  }();
  return adopted;
}

}  // namespace

void logger_text(std::string_view bytes) {
  const reading::Encoding detected = reading::detect_encoding(as_bytes(bytes));
  for (const auto encoding : {detected, reading::Encoding::utf8, reading::Encoding::utf16le, reading::Encoding::utf16be,
                              reading::Encoding::windows1252}) {
    const std::string whole = decoded(bytes, encoding, std::max<std::size_t>(1, bytes.size()));
    must_hold(!first_bad_utf8(whole), "text out of any bytes");
    for (const std::size_t piece : pieces) must_hold(decoded(bytes, encoding, piece) == whole, "in pieces the same");
    std::string room;
    reading::Decoder at_once(encoding);
    std::string text(at_once.text(as_bytes(bytes), room));
    std::string rest;
    at_once.finish(rest);
    must_hold(text + rest == whole, "at once the same");
  }
  const bool marked = bytes.starts_with("\xEF\xBB\xBF");
  if (!marked && !first_bad_utf8(bytes))
    must_hold(decoded(bytes, reading::Encoding::utf8, 5) == bytes, "valid UTF-8 stays as it is");
}

void logger_records(std::string_view bytes) {
  using enum reading::Delimiter;
  const std::string text = decoded(bytes, reading::Encoding::utf8, 64);
  for (const auto delimiter : {comma, semicolon, tab, pipe, blanks, wide_blanks}) {
    const std::string whole = records_of(text, delimiter, std::max<std::size_t>(1, text.size()));
    for (const std::size_t piece : pieces)
      must_hold(records_of(text, delimiter, piece) == whole, "in pieces the same records");
  }
}

// Neither the short way for settled rows nor the size of the pieces changes what is read.
void logger_reading(std::string_view bytes) {
  reading::Options options;
  const std::string first = told(bytes, options);
  options.speed = reading::Speed::tolerant;
  must_hold(told(bytes, options) == first, "the long way reads the same");
  for (const std::size_t piece : {std::size_t{13}, std::size_t{256}}) {
    options.chunk_bytes = piece;
    options.speed = reading::Speed::settled;
    must_hold(told(bytes, options) == first, "in pieces the same rows");
  }
}

// A file is read and judged alike each time, and what is said of it is JSON.
void logger_import(std::string_view bytes) {
  importer::Surroundings around;
  around.editions = &editions();
  around.altitude_m = 1200;
  around.equipment = "AC-1";
  around.equipment_sort = "steam-sterilizer";
  importer::Choices choices;
  choices.pressure = "gauge";
  const importer::Import import = importer::read_and_judge(as_bytes(bytes), choices, around);
  const std::string said = json::plain(importer::to_json(import, false));
  const auto document = json::parse(said);
  must_hold(document.ok() || said.find("e") != std::string::npos, "what is said is JSON");
  const std::string again =
      json::plain(importer::to_json(importer::read_and_judge(as_bytes(bytes), choices, around), false));
  must_hold(again == said, "judged alike each time");
  const auto list = importer::refusals_file(import);
  must_hold(list.has_value() == !import.refused.empty(), "refused rows have a list");
  if (!list) return;
  const auto kept = json::parse(*list);
  must_hold(kept.ok() && kept.value().find("rows")->items().size() == import.refused.size(), "the list is read again");
  for (std::size_t i = 0; i < import.refused.size(); ++i)
    must_hold(kept.value().find("rows")->items()[i] == importer::to_json(import.refused[i]), "row by row");
}

}  // namespace trayproof::fuzz
