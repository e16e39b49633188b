#include "importer/reading/dialect.h"

#include <algorithm>
#include <map>

namespace trayproof::reading {
namespace {

// In order of preference where two fit equally well. A comma comes late, because it may be a decimal mark.
constexpr Delimiter tried[] = {Delimiter::tab,   Delimiter::semicolon,   Delimiter::pipe,
                               Delimiter::comma, Delimiter::wide_blanks, Delimiter::blanks};

bool is_blanks(Delimiter delimiter) { return delimiter == Delimiter::blanks || delimiter == Delimiter::wide_blanks; }

// What the numbers of the rows say about the decimal mark.
struct Hints {
  std::size_t points = 0;
  std::size_t commas = 0;
  std::string open_comma;  // a cell with one comma and three digits behind it
};

void add_hints(Hints& hints, const HeadRecord& record) {
  for (const HeadCell& cell : record.cells) {
    if (cell.kind != Kind::number) continue;
    switch (decimal_hint(cell.text)) {
      case DecimalHint::point:
        ++hints.points;
        break;
      case DecimalHint::comma:
        ++hints.commas;
        break;
      case DecimalHint::comma_or_thousands:
        if (hints.open_comma.empty()) hints.open_comma = cell.text;
        break;
      case DecimalHint::point_or_thousands:
      case DecimalHint::none:
        break;
    }
  }
}

// The cells of a row that are a time, a mark or a number under that decimal mark, as a share of the filled ones.
double fitting(const HeadRecord& record, Decimal decimal) {
  std::size_t fit = 0;
  for (const HeadCell& cell : record.cells) {
    if (cell.kind == Kind::mark || cell.kind == Kind::stamp) ++fit;
    if (cell.kind == Kind::number && parse_quantity(cell.text, decimal)) ++fit;
  }
  return static_cast<double>(fit) / static_cast<double>(record.filled());
}

struct Under {
  std::vector<HeadRecord> records;
  std::size_t rows = 0;
  double alike = 0;  // share of the rows that have the most common width
  bool headed = false;
  Hints hints;
};

Under lines_under(const std::vector<HeadLine>& head, Delimiter delimiter) {
  Under out;
  out.records = records_of(head, delimiter);
  std::map<std::size_t, std::size_t> widths;
  std::optional<std::size_t> first;
  for (std::size_t i = 0; i < out.records.size(); ++i) {
    if (!out.records[i].is_data()) continue;
    if (!first) first = i;
    ++out.rows;
    ++widths[out.records[i].cells.size()];
    add_hints(out.hints, out.records[i]);
  }
  if (out.rows == 0) return out;
  const auto most =
      *std::max_element(widths.begin(), widths.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
  out.alike = static_cast<double>(most.second) / static_cast<double>(out.rows);
  // A line of as many names right above the rows speaks for the separator.
  for (std::size_t i = *first; i-- > 0 && *first - i <= 3;) {
    if (out.records[i].cells.size() == most.first && header_worth(out.records[i], most.first) > 1) out.headed = true;
  }
  return out;
}

Decimal decimal_by(const Hints& hints) { return hints.commas > hints.points ? Decimal::comma : Decimal::point; }

// A header and no row: the mark that cuts the most known names apart.
std::optional<Delimiter> by_names(const std::vector<HeadLine>& head, std::optional<Delimiter> said) {
  std::optional<Delimiter> best = said;
  std::size_t most = 2;
  for (const Delimiter delimiter : tried) {
    if (said) continue;
    for (const HeadRecord& record : records_of(head, delimiter)) {
      const std::size_t worth = header_worth(record, 2);
      if (worth <= most) continue;
      most = worth;
      best = delimiter;
    }
  }
  return best;
}

}  // namespace

std::optional<Dialect> find_dialect(const std::vector<HeadLine>& head, std::optional<Delimiter> delimiter,
                                    std::optional<Decimal> decimal) {
  std::vector<DialectTrial> trials;
  std::map<Delimiter, Hints> hints;
  for (const Delimiter one : tried) {
    // A person says "blanks" of one and of many.
    if (delimiter && *delimiter != one && !(is_blanks(*delimiter) && is_blanks(one))) continue;
    const Under lines = lines_under(head, one);
    if (lines.rows == 0) continue;
    hints[one] = lines.hints;
    const Decimal first = decimal.value_or(decimal_by(lines.hints));
    for (const Decimal mark : {first, first == Decimal::point ? Decimal::comma : Decimal::point}) {
      if (decimal && mark != *decimal) continue;
      double fit = 0;
      for (const HeadRecord& record : lines.records) {
        if (record.is_data()) fit += fitting(record, mark);
      }
      double worth = fit * (0.5 + 0.5 * lines.alike);
      if (is_blanks(one)) worth *= 0.9;
      if (lines.headed) worth *= 1.02;
      trials.push_back({.delimiter = one, .decimal = mark, .worth = worth, .rows = lines.rows});
    }
  }
  if (trials.empty()) {
    const auto named = by_names(head, delimiter);
    if (!named) return std::nullopt;
    return Dialect{.delimiter = *named, .decimal = decimal.value_or(Decimal::point), .example = {}, .runner_up = {}};
  }
  // Of equals the first: the decimal mark that the cells hint at comes before the other one.
  const auto best = std::max_element(trials.begin(), trials.end(), [](const DialectTrial& a, const DialectTrial& b) {
    return a.worth * 1.0001 < b.worth;
  });
  Dialect out{
      .delimiter = best->delimiter, .decimal = best->decimal, .example = {}, .runner_up = {}, .worth = best->worth};
  const Hints& found = hints[out.delimiter];
  out.decimal_open = !decimal && found.points == 0 && found.commas == 0 && !found.open_comma.empty();
  if (out.decimal_open) out.example = found.open_comma;
  for (const DialectTrial& one : trials) {
    // The same separator with the other mark is a rival only where some cell reads otherwise under it.
    const bool same =
        one.delimiter == out.delimiter && (one.decimal == out.decimal || found.points + found.commas == 0);
    if (same || (is_blanks(one.delimiter) && is_blanks(out.delimiter))) continue;
    if (one.worth > 0 && (!out.runner_up || one.worth > out.runner_up->worth)) out.runner_up = one;
  }
  return out;
}

}  // namespace trayproof::reading
