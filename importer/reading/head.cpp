#include "importer/reading/head.h"

#include <algorithm>
#include <map>
#include <utility>

#include "importer/reading/stamps.h"
#include "importer/reading/units.h"

namespace trayproof::reading {
namespace {

constexpr std::size_t head_lines = 1000;

bool is_rule(const HeadRecord& record) { return record.filled() > 0 && record.count(Kind::mark) == record.filled(); }

// Words that stand for a format or a unit in a row of units.
bool is_unit_cell(std::string_view cell) {
  if (unit_named(cell)) return true;
  std::string text;
  for (const char c : cell) text += c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c;
  return text == "ts" || text == "rn" || text == "none" || text.find("yyyy") != std::string::npos ||
         text.find("hh:mm") != std::string::npos || text.find("dd/mm") != std::string::npos || text == "date" ||
         text == "time";
}

std::string strip_comment(std::string_view text) {
  std::string_view rest = trimmed(text);
  while (!rest.empty() && (rest.front() == '#' || rest.front() == '%' || rest.front() == '!')) rest.remove_prefix(1);
  while (rest.starts_with("//")) rest.remove_prefix(2);
  return std::string(trimmed(rest));
}

std::vector<std::string> texts_of(const HeadRecord& record) {
  std::vector<std::string> out;
  for (const HeadCell& cell : record.cells) out.push_back(cell.text);
  return out;
}

// The header of a table in blanks: names may hold blanks of their own, units stand in brackets behind them.
std::vector<std::string> blank_names(const HeadRecord& record, std::size_t width) {
  std::vector<std::string> names = texts_of(record);
  if (names.size() <= width) return names;
  std::vector<Cell> wide;
  Splitter splitter(Delimiter::wide_blanks);
  splitter.split(record.text, wide);
  if (wide.size() == width) {
    names.clear();
    for (const Cell& cell : wide) names.emplace_back(cell.text);
    return names;
  }
  std::vector<std::string> joined;
  for (const std::string& name : names) {
    const bool behind = !joined.empty() && (name.front() == '(' || name.front() == '[' || unit_named(name).has_value());
    if (behind && joined.size() + (names.size() - width) > 0)
      joined.back() += " " + name;
    else
      joined.push_back(name);
  }
  return joined.size() == width ? joined : names;
}

void name_apart(std::vector<std::string>& names) {
  std::map<std::string, int> seen;
  for (std::string& name : names) {
    if (name.empty()) continue;
    const int times = ++seen[name];
    if (times > 1) name += " (" + std::to_string(times) + ")";
  }
}

// A row that has its time there, and perhaps a date in front of it that the others do not repeat.
bool has_time_at(const HeadRecord& record, int place) {
  if (record.time_place() == place) return true;
  const auto at = static_cast<std::size_t>(place);
  return place >= 0 && at < record.cells.size() && record.cells[at].kind == Kind::stamp;
}

// Columns that hold anything: separators at the end of each row make none.
std::size_t used_width(const Layout& layout) {
  std::vector<bool> used(layout.width, false);
  for (const HeadRecord& row : layout.rows) {
    for (std::size_t i = 0; i < row.cells.size() && i < used.size(); ++i) {
      if (row.cells[i].kind != Kind::empty) used[i] = true;
    }
  }
  return static_cast<std::size_t>(std::count(used.begin(), used.end(), true));
}

}  // namespace

bool is_units_row(const HeadRecord& record) {
  std::size_t units = 0;
  std::size_t real = 0;
  for (const HeadCell& cell : record.cells) {
    if (cell.kind == Kind::empty) continue;
    const auto unit = unit_named(cell.text);
    if (unit) ++real;
    if (unit || is_unit_cell(cell.text) || cell.kind == Kind::mark) ++units;
  }
  return real > 0 && units * 10 >= record.filled() * 6;
}

std::size_t header_worth(const HeadRecord& record, std::size_t width) {
  const std::size_t texts = record.count(Kind::text) + record.count(Kind::mark);
  if (record.filled() < 2 || record.filled() * 2 < width || is_rule(record)) return 0;
  std::size_t known = 0;
  bool first_is_time = false;
  for (const HeadCell& cell : record.cells) {
    if (cell.kind == Kind::empty) continue;
    const Guess guess = guess_of(cell.text);
    if (guess != Guess::none || unit_in(cell.text)) ++known;
    if (&cell == &record.cells.front()) first_is_time = guess == Guess::time || guess == Guess::date;
  }
  if (record.count(Kind::stamp) > 0) return 0;
  const std::string_view first = record.cells.front().text;
  if (first.ends_with(':') && record.filled() <= 2) return 0;
  if (texts * 2 < record.filled() && !first_is_time) return 0;
  return 1 + known;
}

Kind kind_of(std::string_view cell) {
  if (cell.empty()) return Kind::empty;
  if (looks_numeric(cell)) return Kind::number;
  if (is_mark(cell)) return Kind::mark;
  if (parse_stamp(cell)) return Kind::stamp;
  if (cell.find(':') != std::string_view::npos && parse_elapsed(cell)) return Kind::stamp;
  return Kind::text;
}

std::vector<HeadLine> head_of(ByteView bytes, Extent extent, Encoding encoding) {
  std::vector<HeadLine> head;
  std::string text;
  Decoder decoder(encoding);
  decoder.feed(bytes, text);
  if (extent == Extent::whole) decoder.finish(text);
  Lines lines([&](const TextLine& line) {
    if (head.size() < head_lines) head.push_back({line.number, std::string(line.text)});
  });
  lines.feed(text);
  if (extent == Extent::whole) lines.finish();
  return head;
}

std::size_t HeadRecord::count(Kind kind) const {
  return static_cast<std::size_t>(
      std::count_if(cells.begin(), cells.end(), [&](const HeadCell& cell) { return cell.kind == kind; }));
}

int HeadRecord::time_place() const {
  for (std::size_t i = 0; i < cells.size(); ++i) {
    if (cells[i].kind == Kind::stamp) return static_cast<int>(i);
  }
  return -1;
}

bool HeadRecord::is_data() const {
  const std::size_t values = count(Kind::number) + count(Kind::mark);
  if (count(Kind::stamp) > 0) return values > 0 && cells.size() > 1;
  const auto first =
      std::find_if(cells.begin(), cells.end(), [](const HeadCell& one) { return one.kind != Kind::empty; });
  return first != cells.end() && first->kind == Kind::number && values >= 2 && count(Kind::text) <= values;
}

std::vector<HeadRecord> records_of(const std::vector<HeadLine>& head, Delimiter delimiter) {
  std::vector<HeadRecord> out;
  Records records(delimiter, [&](const Record& record) {
    HeadRecord& kept = out.emplace_back();
    kept.line = record.line;
    kept.text = std::string(record.text);
    for (const Cell& cell : record.cells)
      kept.cells.push_back({std::string(cell.text), cell.quoted, kind_of(cell.text)});
  });
  for (const HeadLine& line : head) records.line({line.text, line.number, 0});
  records.finish();
  return out;
}

bool is_comment(std::string_view text) {
  text = trimmed(text);
  return text.starts_with('#') || text.starts_with("//") || text.starts_with('%') || text.starts_with('!');
}

namespace {

bool is_within_clock(std::string_view text, std::size_t colon) {
  const auto digit = [&](std::size_t at) { return at < text.size() && text[at] >= '0' && text[at] <= '9'; };
  return colon > 0 && digit(colon - 1) && digit(colon + 1);
}

// What stands before the date and time with which a line ends, and these: "started 2026-11-04 10:15:00",
// "Started on 17 Nov 2026 at 08:00".
std::optional<std::pair<std::string, std::string>> stamp_at_end(std::string_view text) {
  constexpr std::string_view between = " at ";
  for (std::size_t blank = text.find(' '); blank != std::string_view::npos; blank = text.find(' ', blank + 1)) {
    std::string rest(text.substr(blank + 1));
    if (const std::size_t at = rest.find(between); at != std::string::npos) rest.replace(at, between.size(), " ");
    const auto stamp = parse_stamp(rest);
    if (stamp && stamp->clock_ms) return std::pair(std::string(text.substr(0, blank)), std::move(rest));
  }
  return std::nullopt;
}

}  // namespace

std::optional<Metadata> metadata_of(std::string_view text, const std::vector<std::string>& cells, std::int64_t line) {
  std::vector<std::string> filled;
  for (const std::string& cell : cells) {
    if (!cell.empty()) filled.push_back(cell);
  }
  const auto keyed = [&](std::string key, std::string value) -> std::optional<Metadata> {
    key = strip_comment(key);
    while (!key.empty() && (key.back() == ':' || key.back() == '=')) key.pop_back();
    key = std::string(trimmed(key));
    if (key.empty() || key.size() > 80 || parse_stamp(key)) return std::nullopt;
    return Metadata{std::move(key), std::string(trimmed(value)), line};
  };
  // "Sensor: gauge, 0 to 400 kPa" is one sentence, whatever the comma parts.
  const bool sentence = filled.size() == 2 && filled[0].find(": ") != std::string::npos;
  if (filled.size() == 2 && !sentence && kind_of(filled[0]) == Kind::text) return keyed(filled[0], filled[1]);
  if (filled.size() > 2 && filled[0].ends_with(':')) {
    std::string value = filled[1];
    for (std::size_t i = 2; i < filled.size(); ++i) value += " " + filled[i];
    return keyed(filled[0], value);
  }
  // "CH2,chamber pressure,kPa"
  if (filled.size() > 2 && filled.size() <= 6 && kind_of(filled[0]) == Kind::text && kind_of(filled[1]) == Kind::text &&
      filled[0].find(':') == std::string::npos && filled[0].find('=') == std::string::npos) {
    std::string value = filled[1];
    for (std::size_t i = 2; i < filled.size(); ++i) value += " " + filled[i];
    return keyed(filled[0], value);
  }
  std::string whole = strip_comment(filled.size() == 1 ? std::string_view(filled[0]) : text);
  for (const std::string_view mark : {": ", "=", ":"}) {
    const std::size_t at = whole.find(mark);
    if (at == std::string::npos || at == 0) continue;
    if (mark == ":" && is_within_clock(whole, at)) {
      if (auto found = stamp_at_end(whole)) return keyed(std::move(found->first), std::move(found->second));
    }
    return keyed(whole.substr(0, at), whole.substr(at + mark.size()));
  }
  return std::nullopt;
}

std::optional<Layout> find_layout(const std::vector<HeadLine>& head, Delimiter delimiter) {
  std::vector<HeadRecord> records = records_of(head, delimiter);
  std::map<int, std::size_t> places;
  std::map<std::size_t, std::size_t> widths;
  for (const HeadRecord& record : records) {
    if (record.is_data()) ++places[record.time_place()];
  }
  Layout layout;
  std::size_t first = records.size();
  if (!places.empty()) {
    const auto most = std::max_element(places.begin(), places.end(),
                                       [](const auto& a, const auto& b) { return a.second < b.second; });
    for (std::size_t i = 0; i < records.size(); ++i) {
      if (!records[i].is_data() || !has_time_at(records[i], most->first)) continue;
      first = std::min(first, i);
      ++widths[records[i].cells.size()];
      layout.rows.push_back(records[i]);
    }
    layout.width = std::max_element(widths.begin(), widths.end(), [](const auto& a, const auto& b) {
                     return a.second < b.second;
                   })->first;
  }
  const std::size_t used = used_width(layout);
  // Upward from the first row: rows of units, names, and what only fills.
  std::optional<std::size_t> names;
  std::optional<std::size_t> units;
  std::size_t best = 0;
  std::size_t filled = 0;  // of the best so far: a line above with fewer cells is preamble, whatever it names
  std::size_t looked = 0;
  for (std::size_t i = first; i-- > 0 && looked < 6;) {
    HeadRecord& record = records[i];
    if (record.filled() == 0 || is_rule(record)) continue;
    if (is_comment(record.text)) {
      // The names may stand in the last comment.
      HeadRecord bare = records_of({{record.line, strip_comment(record.text)}}, delimiter).front();
      bare.line = record.line;
      record = bare;
    }
    ++looked;
    if (is_units_row(record) && record.filled() * 2 >= used) {
      if (!units) units = i;
      continue;
    }
    // The names of every column stand nearest to the rows: what stands above them is another table's.
    const bool complete = names && filled >= used && best == filled + 1;
    const std::size_t worth = header_worth(record, used);
    if (worth > best && record.filled() >= filled && !complete) {
      best = worth;
      filled = record.filled();
      names = i;
    }
  }
  // Where no row can be read, the header is the line of the whole file that names most.
  for (std::size_t i = 0; places.empty() && i < records.size(); ++i) {
    const std::size_t worth = is_units_row(records[i]) ? 0 : header_worth(records[i], 0);
    if (worth < best || (worth == best && names && *names < i)) continue;
    best = worth;
    names = i;
    units.reset();
  }
  if (!names && units) {
    names = units;
    units.reset();
  }
  if (names && units && (*units > *names ? *units - *names : *names - *units) > 3) units.reset();
  if (!names && places.empty()) return std::nullopt;
  if (names) {
    const HeadRecord& record = records[*names];
    layout.header_line = record.line;
    if (layout.width == 0) layout.width = record.cells.size();
    const bool blank = delimiter == Delimiter::blanks || delimiter == Delimiter::wide_blanks;
    layout.names = blank ? blank_names(record, layout.width) : texts_of(record);
    name_apart(layout.names);
    if (units) layout.units = texts_of(records[*units]);
  }
  const std::size_t last_header = std::max(names.value_or(0), units.value_or(0));
  layout.data_line = names ? records[last_header].line + 1 : first < records.size() ? records[first].line : 0;
  // Between the header and the first row stand only fillers and further rows of the header.
  if (names && first < records.size()) {
    std::size_t next = last_header + 1;
    while (next < first && (records[next].filled() == 0 || is_rule(records[next]) ||
                            records[next].count(Kind::text) == records[next].filled()))
      ++next;
    layout.data_line = records[next].line;
  }
  for (std::size_t i = 0; i < first && i < records.size(); ++i) {
    if ((names && i == *names) || (units && i == *units) || records[i].filled() == 0) continue;
    if (auto found = metadata_of(records[i].text, texts_of(records[i]), records[i].line))
      layout.metadata.push_back(std::move(*found));
  }
  return layout;
}

}  // namespace trayproof::reading
