#include "importer/reading/records.h"

#include <cstring>

namespace trayproof::reading {
namespace {

constexpr std::size_t line_bytes_max = std::size_t{1}
                                       << 20;  // a longer line is cut, and its parts will not be readable
constexpr std::size_t quoted_lines_max = 8;
constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
constexpr std::string_view no_break_space = "\xC2\xA0";

bool is_blank(char c) { return c == ' ' || c == '\t'; }

char character_of(Delimiter delimiter) {
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
      return ' ';
  }
}

}  // namespace

std::string_view name_of(Delimiter delimiter) {
  switch (delimiter) {
    case Delimiter::comma:
      return ",";
    case Delimiter::semicolon:
      return ";";
    case Delimiter::tab:
      return "tab";
    case Delimiter::pipe:
      return "|";
    default:
      return "blanks";
  }
}

std::optional<Delimiter> delimiter_named(std::string_view name) {
  for (const auto one : {Delimiter::comma, Delimiter::semicolon, Delimiter::tab, Delimiter::pipe, Delimiter::blanks}) {
    if (name_of(one) == name) return one;
  }
  return std::nullopt;
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty()) {
    if (is_blank(text.front())) {
      text.remove_prefix(1);
    } else if (text.starts_with(no_break_space)) {
      text.remove_prefix(no_break_space.size());
    } else if (text.starts_with(byte_order_mark)) {
      text.remove_prefix(byte_order_mark.size());
    } else {
      break;
    }
  }
  while (!text.empty()) {
    if (is_blank(text.back()) || text.back() == '\r' || text.back() == '\n') {
      text.remove_suffix(1);
    } else if (text.ends_with(no_break_space)) {
      text.remove_suffix(no_break_space.size());
    } else {
      break;
    }
  }
  return text;
}

bool Splitter::split(std::string_view text, std::vector<Cell>& cells) {
  cells.clear();
  kept_.clear();
  if (delimiter_ == Delimiter::blanks || delimiter_ == Delimiter::wide_blanks) {
    split_blanks(text, delimiter_ == Delimiter::blanks ? 1 : 2, cells);
    return true;
  }
  return split_at(character_of(delimiter_), text, cells);
}

bool Splitter::split_at(char delimiter, std::string_view text, std::vector<Cell>& cells) {
  bool closed = true;
  std::size_t at = 0;
  while (true) {
    std::size_t first = at;
    while (first < text.size() && text[first] == ' ') ++first;
    // ="13/05/2024" keeps a spreadsheet from reading the cell as it likes.
    if (text.substr(first).starts_with("=\"")) ++first;
    if (first < text.size() && text[first] == '"') {
      std::size_t end = first + 1;
      while (end < text.size()) {
        if (text[end] != '"') {
          ++end;
        } else if (end + 1 < text.size() && text[end + 1] == '"') {
          end += 2;
        } else {
          break;
        }
      }
      if (end < text.size()) {
        std::size_t after = end + 1;
        while (after < text.size() && text[after] == ' ') ++after;
        if (after >= text.size() || text[after] == delimiter) {
          cells.push_back({trimmed(unquoted(text.substr(first + 1, end - first - 1))), true});
          if (after >= text.size()) return closed;
          at = after + 1;
          continue;
        }
        // Something follows the closing quote: the quotes belong to the text.
      } else {
        closed = false;
      }
    }
    const std::size_t next = text.find(delimiter, at);
    cells.push_back({trimmed(text.substr(at, next == std::string_view::npos ? next : next - at)), false});
    if (next == std::string_view::npos) return closed;
    at = next + 1;
  }
}

void Splitter::split_blanks(std::string_view text, std::size_t least, std::vector<Cell>& cells) {
  text = trimmed(text);
  std::size_t at = 0;
  while (at < text.size()) {
    std::size_t end = at;
    std::size_t next = text.size();
    bool quoted = false;
    const std::size_t close = text[at] == '"' ? text.find('"', at + 1) : std::string_view::npos;
    if (close != std::string_view::npos && (close + 1 == text.size() || is_blank(text[close + 1]))) {
      quoted = true;
      end = close + 1;
    }
    while (end < text.size()) {
      std::size_t run = end;
      while (run < text.size() && is_blank(text[run])) ++run;
      if (run - end >= least || (run > end && text.substr(end, run - end).find('\t') != std::string_view::npos)) {
        next = run;
        break;
      }
      end = run > end ? run : end + 1;
    }
    const std::string_view cell = text.substr(at, end - at);
    cells.push_back({quoted ? trimmed(cell.substr(1, close - at - 1)) : trimmed(cell), quoted});
    at = next;
  }
  if (cells.empty()) cells.push_back({});
}

std::string_view Splitter::unquoted(std::string_view inner) {
  if (inner.find('"') == std::string_view::npos) return inner;
  std::string& text = kept_.emplace_back();
  for (std::size_t i = 0; i < inner.size(); ++i) {
    text += inner[i];
    if (inner[i] == '"') ++i;
  }
  return text;
}

void Lines::feed(std::string_view text) {
  while (!text.empty()) {
    if (after_return_) {
      after_return_ = false;
      if (text.front() == '\n') {
        byte_ += static_cast<std::int64_t>(source_bytes(text.substr(0, 1), encoding_));
        text.remove_prefix(1);
        continue;
      }
    }
    if (!open_ && offer(text)) continue;
    const void* const feed_at = std::memchr(text.data(), '\n', text.size());
    std::size_t end =
        feed_at == nullptr ? text.size() : static_cast<std::size_t>(static_cast<const char*>(feed_at) - text.data());
    const void* const return_at = std::memchr(text.data(), '\r', end);
    if (return_at != nullptr) end = static_cast<std::size_t>(static_cast<const char*>(return_at) - text.data());
    if (end == text.size()) return take(text);
    const std::string_view line = text.substr(0, end);
    const std::string_view mark = text.substr(end, 1);
    after_return_ = mark == "\r";
    text.remove_prefix(end + 1);
    if (line_.empty() && line.size() <= line_bytes_max) {
      emit(line);
    } else {
      take(line);
      emit(line_);
    }
    byte_ += static_cast<std::int64_t>(source_bytes(mark, encoding_));
  }
}

bool Lines::offer(std::string_view& text) {
  if (!taker_) return false;
  const Taken taken = taker_({text, number_ + 1, byte_});
  if (taken.lines == 0) return false;
  byte_ += static_cast<std::int64_t>(source_bytes(text.substr(0, taken.bytes), encoding_));
  number_ += taken.lines;
  text.remove_prefix(taken.bytes);
  return true;
}

void Lines::take(std::string_view text) {
  if (text.empty()) return;
  open_ = true;
  while (line_.size() + text.size() > line_bytes_max) {
    const std::size_t part = line_bytes_max - line_.size();
    line_ += text.substr(0, part);
    text.remove_prefix(part);
    emit(line_);
    open_ = true;
  }
  line_ += text;
}

void Lines::emit(std::string_view line) {
  const auto bytes = static_cast<std::int64_t>(source_bytes(line, encoding_));
  std::string_view shown = line;
  if (shown.starts_with(byte_order_mark)) shown.remove_prefix(byte_order_mark.size());
  sink_({shown, ++number_, byte_});
  byte_ += bytes;
  line_.clear();
  open_ = false;
}

void Lines::finish() {
  if (open_) emit(line_);
}

void Records::line(const TextLine& line) {
  if (waiting_.empty()) return give(line);
  waiting_.push_back({std::string(line.text), line.byte});
  std::string joined;
  for (const Waiting& part : waiting_) {
    if (!joined.empty()) joined += '\n';
    joined += part.text;
  }
  if (splitter_.split(joined, record_.cells)) {
    record_.line = waiting_line_;
    record_.byte = waiting_.front().byte;
    record_.text = joined;
    waiting_.clear();
    sink_(record_);
  } else if (waiting_.size() >= quoted_lines_max) {
    release();
  }
}

void Records::give(const TextLine& line) {
  if (!splitter_.split(line.text, record_.cells)) {
    waiting_line_ = line.number;
    waiting_.push_back({std::string(line.text), line.byte});
    return;
  }
  record_.line = line.number;
  record_.byte = line.byte;
  record_.text = line.text;
  sink_(record_);
}

// The quote of the first waiting line never closed: that line is a record of its own, and the rest begins anew.
void Records::release() {
  const std::vector<Waiting> lines = std::move(waiting_);
  const std::int64_t first = waiting_line_;
  waiting_.clear();
  splitter_.split(lines.front().text, record_.cells);
  record_.line = first;
  record_.byte = lines.front().byte;
  record_.text = lines.front().text;
  sink_(record_);
  for (std::size_t i = 1; i < lines.size(); ++i) {
    line({lines[i].text, first + static_cast<std::int64_t>(i), lines[i].byte});
  }
}

void Records::finish() {
  while (!waiting_.empty()) release();
}

}  // namespace trayproof::reading
