#include "importer/register/matching.h"

#include <algorithm>
#include <map>

#include "ledger/base/number.h"

namespace trayproof::registers {
namespace {

// A heading merged over several columns stands in the first of them only, and how far it reaches the file does not say:
// it is put before a heading below it where that alone says nothing, or says only that it is a time.
std::vector<std::string> with_row_above(const KeptRow& above, const KeptRow& row, const events::Kind& kind) {
  std::vector<std::string> out;
  std::string carried;
  const std::size_t width = std::max(above.cells.size(), row.cells.size());
  for (std::size_t i = 0; i < width; ++i) {
    const std::string over = i < above.cells.size() ? above.cells[i] : std::string();
    const std::string own = i < row.cells.size() ? row.cells[i] : std::string();
    if (!over.empty()) carried = over;
    if (own.empty() || carried.empty()) {
      out.push_back(own.empty() ? over : own);
      continue;
    }
    const auto alone = meanings(own, kind);
    const bool settled = alone.size() == 1 && !is_time(*alone.front());
    out.push_back(settled || meanings(carried + " " + own, kind).empty() ? own : carried + " " + own);
  }
  return out;
}

// Where a heading that was said stands. "#3" is the third column.
std::vector<std::size_t> cells_said(const std::vector<std::string>& headings, const std::string& heading) {
  std::vector<std::size_t> cells;
  if (heading.starts_with('#')) {
    const auto number = parse_number(std::string_view(heading).substr(1));
    if (number && *number >= 1 && *number <= static_cast<double>(headings.size()))
      cells.push_back(static_cast<std::size_t>(*number) - 1);
    return cells;
  }
  const std::string key = heading_key(heading);
  for (std::size_t i = 0; i < headings.size(); ++i) {
    if (headings[i] == heading || (!key.empty() && heading_key(headings[i]) == key)) cells.push_back(i);
  }
  return cells;
}

class Matcher {
 public:
  Matcher(std::vector<std::string> headings, const events::Kind& kind, const SaidColumns& said)
      : kind_(kind), said_(said) {
    out_.headings = std::move(headings);
    taken_.resize(out_.headings.size());
  }

  Matching match() {
    take_said();
    propose();
    std::stable_sort(out_.columns.begin(), out_.columns.end(),
                     [](const MatchedColumn& a, const MatchedColumn& b) { return a.cell < b.cell; });
    return std::move(out_);
  }

 private:
  MatchedColumn column(std::size_t cell, const events::Field* field, bool said) {
    const std::string& heading = out_.headings[cell];
    return {.cell = cell, .heading = heading, .field = field, .unit = unit_in_heading(heading), .said = said};
  }

  void take_said() {
    for (const auto& [name, heading] : said_) {
      const auto cells = cells_said(out_.headings, heading);
      if (cells.empty()) out_.not_found.push_back(heading);
      const events::Field* field = register_field(kind_, name);
      for (const std::size_t cell : cells) {
        taken_[cell] = true;
        if (field == nullptr)
          out_.unread.push_back({cell, out_.headings[cell], {}});
        else
          out_.columns.push_back(column(cell, field, true));
      }
    }
  }

  void propose() {
    std::map<std::string_view, std::vector<MatchedColumn>> proposed;
    for (std::size_t i = 0; i < out_.headings.size(); ++i) {
      if (taken_[i] || out_.headings[i].empty()) continue;
      const auto found = meanings(out_.headings[i], kind_);
      if (found.size() == 1 && !out_.holds(found.front()->name))
        proposed[found.front()->name].push_back(column(i, found.front(), false));
      else
        out_.unread.push_back({i, out_.headings[i], found});
    }
    for (auto& [name, columns] : proposed) {
      const events::Field* field = columns.front().field;
      if (columns.size() == 1 || is_list(*field))
        out_.columns.insert(out_.columns.end(), columns.begin(), columns.end());
      else
        out_.contested.push_back({field, std::move(columns)});
    }
  }

  const events::Kind& kind_;
  const SaidColumns& said_;
  Matching out_;
  std::vector<bool> taken_;
};

std::size_t worth(const Matching& matching) {
  std::size_t worth = 4 * (matching.columns.size() + matching.contested.size());
  // Of two readings that say as much, the one that leaves less open.
  for (const Contested& one : matching.contested) worth -= std::min<std::size_t>(worth, one.columns.size() - 1);
  return worth;
}

}  // namespace

bool Matching::holds(std::string_view field) const {
  return std::any_of(columns.begin(), columns.end(),
                     [&](const MatchedColumn& column) { return column.field->name == field; });
}

std::optional<Matching> match_columns(const std::vector<KeptRow>& rows, const events::Kind& kind,
                                      const SaidColumns& said, std::optional<std::int64_t> header_row) {
  if (header_row == 0) {
    std::size_t width = 0;
    for (const KeptRow& row : rows) width = std::max(width, row.cells.size());
    return Matcher(std::vector<std::string>(width), kind, said).match();
  }
  std::optional<Matching> best;
  std::size_t best_worth = 0;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (header_row && rows[i].row != *header_row) continue;
    std::vector<std::vector<std::string>> readings = {rows[i].cells};
    if (i > 0) readings.push_back(with_row_above(rows[i - 1], rows[i], kind));
    for (auto& headings : readings) {
      Matching matching = Matcher(std::move(headings), kind, said).match();
      matching.header_row = rows[i].row;
      const std::size_t value = worth(matching);
      if (value <= best_worth) continue;
      best_worth = value;
      best = std::move(matching);
    }
  }
  return best;
}

}  // namespace trayproof::registers
