#include "report/command/table.h"

#include <algorithm>

#include "report/command/layout.h"

namespace trayproof::command {
namespace {

using Rows = std::vector<std::vector<std::string>>;
constexpr std::size_t gap = 2;

std::size_t longest_word(std::string_view text) {
  std::size_t most = 0;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    most = std::max(most, display_width(text.substr(at, end - at)));
    at = end + 1;
  }
  return most;
}

// A day and a clock as languages other than English write them: the day's own blanks are not folded at
// (ledger/text/locale.h).
bool is_day_with_clock(std::string_view text) {
  return text.find("\u00A0") != std::string_view::npos && std::count(text.begin(), text.end(), ' ') == 1;
}

bool of_days_with_clocks(const Rows& rows, std::size_t column) {
  bool any = false;
  for (const auto& row : rows) {
    if (row[column].empty()) continue;
    if (!is_day_with_clock(row[column])) return false;
    any = true;
  }
  return any;
}

std::string padded(const std::string& text, std::size_t width, bool right) {
  const std::size_t used = display_width(text);
  const std::string blanks(width > used ? width - used : 0, ' ');
  return right ? blanks + text : text + blanks;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> lines;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    lines.push_back(text.substr(at, end - at));
    at = end + 1;
  }
  return lines;
}

void add_row(std::string& out, const std::vector<std::string>& cells, const std::vector<TableColumn>& columns,
             const std::vector<std::size_t>& widths) {
  std::vector<std::vector<std::string>> folded_cells;
  std::size_t height = 1;
  for (std::size_t i = 0; i < cells.size(); ++i) {
    folded_cells.push_back(lines_of(folded(cells[i], widths[i])));
    height = std::max(height, folded_cells.back().size());
  }
  for (std::size_t line = 0; line < height; ++line) {
    std::string text;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const std::string piece = line < folded_cells[i].size() ? folded_cells[i][line] : std::string();
      text += (i > 0 ? std::string(gap, ' ') : std::string()) + padded(piece, widths[i], columns[i].right);
    }
    text.erase(text.find_last_not_of(' ') + 1);
    out += text + '\n';
  }
}

std::string as_cards(const std::vector<TableColumn>& columns, const Rows& rows, std::size_t width) {
  std::size_t widest = 0;
  for (const TableColumn& one : columns) widest = std::max(widest, display_width(one.head));
  std::string out;
  for (const auto& row : rows) {
    if (!out.empty()) out += '\n';
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (row[i].empty()) continue;
      out += folded("  " + padded(columns[i].head, widest, false) + "  " + row[i], width, widest + 2 * gap) + '\n';
    }
  }
  return out;
}

}  // namespace

std::string table_text(const std::vector<TableColumn>& columns, const Rows& rows, std::size_t width) {
  std::vector<std::size_t> widths, least;
  std::size_t total = 0, total_least = 0;
  for (std::size_t i = 0; i < columns.size(); ++i) {
    std::size_t natural = display_width(columns[i].head);
    std::size_t narrow = longest_word(columns[i].head);
    for (const auto& row : rows) {
      natural = std::max(natural, display_width(row[i]));
      narrow = std::max(narrow, columns[i].right ? display_width(row[i]) : longest_word(row[i]));
    }
    widths.push_back(natural);
    least.push_back(narrow);
    total += natural + (i > 0 ? gap : 0);
    total_least += narrow + (i > 0 ? gap : 0);
  }
  if (total_least > width) return as_cards(columns, rows, width);
  std::vector<bool> last(columns.size());
  for (std::size_t i = 0; i < columns.size(); ++i) last[i] = of_days_with_clocks(rows, i);
  while (total > width) {
    // The widest that can still give gives a column; those of days only when no other can.
    const auto gives_before = [&](std::size_t one, std::size_t other) {
      return last[one] != last[other] ? last[other] : widths[one] > widths[other];
    };
    std::size_t giver = columns.size();
    for (std::size_t i = 0; i < columns.size(); ++i) {
      if (widths[i] > least[i] && (giver == columns.size() || gives_before(i, giver))) giver = i;
    }
    --widths[giver];
    --total;
  }
  std::string out;
  std::vector<std::string> heads, rules;
  for (std::size_t i = 0; i < columns.size(); ++i) {
    heads.push_back(columns[i].head);
    rules.emplace_back(widths[i], '-');
  }
  add_row(out, heads, columns, widths);
  add_row(out, rules, columns, widths);
  for (const auto& row : rows) add_row(out, row, columns, widths);
  return out;
}

}  // namespace trayproof::command
