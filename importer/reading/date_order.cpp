#include "importer/reading/date_order.h"

#include <algorithm>
#include <limits>

#include "importer/reading/units.h"

namespace trayproof::reading {
namespace {

// What one order makes of all rows.
struct Trial {
  DateOrder order = DateOrder::ymd;
  std::size_t impossible = 0;
  std::size_t backward = 0;
  std::size_t leaps = 0;   // steps of more than 20 days
  std::int64_t first = 0;  // days
  std::int64_t last = 0;
};

Trial try_order(const std::vector<RowTime>& rows, DateOrder order) {
  Trial trial{.order = order};
  std::optional<std::int64_t> before;
  std::optional<RawDate> known;
  std::int64_t day = 0;
  for (const RowTime& row : rows) {
    if (!row.has_date) continue;
    if (!known || !(*known == row.date)) {
      const auto found = day_of(row.date, order);
      if (!found) {
        ++trial.impossible;
        continue;
      }
      known = row.date;
      day = days_since_epoch(*found);
    }
    if (!before) trial.first = day;
    if (before && day < *before) ++trial.backward;
    if (before && std::abs(day - *before) > 20) ++trial.leaps;
    before = day;
    trial.last = day;
  }
  return trial;
}

// Keeps the trials with the least of `count`.
void keep_least(std::vector<Trial>& trials, std::size_t Trial::*count) {
  std::size_t least = trials.front().*count;
  for (const Trial& one : trials) least = std::min(least, one.*count);
  std::erase_if(trials, [&](const Trial& one) { return one.*count > least; });
}

// Dates of the preamble that can be read in one way only, and what the others say about the order.
void ask_preamble(const std::vector<Metadata>& metadata, std::vector<Trial>& trials) {
  for (const Metadata& line : metadata) {
    const auto stamp = parse_stamp(line.value);
    if (!stamp || !stamp->date) continue;
    std::vector<std::pair<DateOrder, std::int64_t>> days;
    for (const DateOrder order : {DateOrder::dmy, DateOrder::mdy, DateOrder::ymd}) {
      const auto day = day_of(*stamp->date, order);
      if (day && std::none_of(days.begin(), days.end(),
                              [&](const auto& one) { return one.second == days_since_epoch(*day); })) {
        days.emplace_back(order, days_since_epoch(*day));
      }
    }
    if (days.size() != 1) continue;
    const auto [order, day] = days.front();
    const bool same_shape = !stamp->date->named_month && stamp->date->digits[0] <= 2;
    std::vector<Trial> kept = trials;
    if (same_shape) {
      std::erase_if(kept, [&](const Trial& one) { return one.order != order; });
    } else {
      // Written before it was measured: no. Within a day of the rows: yes.
      if (any_word(line.key, {"export", "exported", "printed", "downloaded", "saved", "created", "report", "read"})) {
        std::erase_if(kept, [&](const Trial& one) { return one.last > day + 1; });
      }
      std::vector<Trial> near = kept;
      std::erase_if(near, [&](const Trial& one) { return day < one.first - 1 || day > one.last + 1; });
      if (near.size() == 1) kept = near;
    }
    if (!kept.empty() && kept.size() < trials.size()) {
      trials = kept;
      if (trials.size() == 1) return;
    }
  }
}

// Orders that give every row the same instant are one order.
bool same(const std::vector<RowTime>& rows, std::vector<Trial>& trials) {
  while (trials.size() > 1) {
    bool differ = false;
    for (const RowTime& row : rows) {
      if (!row.has_date) continue;
      const auto a = day_of(row.date, trials[0].order);
      const auto b = day_of(row.date, trials[1].order);
      if (a != b) {
        differ = true;
        break;
      }
    }
    if (differ) return false;
    // "2024-05-01" and named months are year first; 05/05/2024 is called by the first order that fits.
    if (trials.back().order == DateOrder::ymd && all_year_first(rows))
      trials.erase(trials.begin());
    else
      trials.erase(trials.begin() + 1);
  }
  return trials.size() == 1;
}

// "15/06/24": year-first too would be a day. Where the two lie years apart, the later one is meant: exports are recent.
// With dots the year never stands first in two digits.
void two_digit_years(const std::vector<RowTime>& rows, std::vector<Trial>& trials) {
  const auto year_first =
      std::find_if(trials.begin(), trials.end(), [](const Trial& one) { return one.order == DateOrder::ymd; });
  if (year_first == trials.end() || trials.size() < 2) return;
  const auto first = std::find_if(rows.begin(), rows.end(), [](const RowTime& row) { return row.has_date; });
  const bool dots = first != rows.end() && first->date.separator == '.';
  std::int64_t latest = std::numeric_limits<std::int64_t>::min();
  for (const Trial& one : trials) {
    if (one.order != DateOrder::ymd) latest = std::max(latest, one.last);
  }
  constexpr std::int64_t apart_days = 3 * 365;
  if (dots || latest > year_first->last + apart_days) {
    trials.erase(year_first);
  } else if (year_first->last > latest + apart_days) {
    trials = {*year_first};
  }
}

OrdersLeft left(const std::vector<Trial>& trials, std::string_view by = {}) {
  OrdersLeft out{.orders = {}, .decided_by = by};
  for (const Trial& one : trials) out.orders.push_back(one.order);
  return out;
}

}  // namespace

bool any_word(std::string_view text, std::initializer_list<std::string_view> wanted) {
  for (const std::string& word : words_of(text)) {
    if (std::find(wanted.begin(), wanted.end(), word) != wanted.end()) return true;
  }
  return false;
}

bool all_year_first(const std::vector<RowTime>& rows) {
  return std::all_of(rows.begin(), rows.end(), [](const RowTime& row) {
    return !row.has_date || row.date.named_month || row.date.digits[0] > 2;
  });
}

OrdersLeft orders_left(const std::vector<RowTime>& rows, const std::vector<Metadata>& metadata) {
  std::vector<Trial> trials;
  for (const DateOrder order : {DateOrder::dmy, DateOrder::mdy, DateOrder::ymd})
    trials.push_back(try_order(rows, order));
  keep_least(trials, &Trial::impossible);
  if (same(rows, trials)) return left(trials);
  keep_least(trials, &Trial::backward);
  if (same(rows, trials)) return left(trials, "importer.note.order-by-run");
  keep_least(trials, &Trial::leaps);
  if (same(rows, trials)) return left(trials, "importer.note.order-by-run");
  ask_preamble(metadata, trials);
  if (same(rows, trials)) return left(trials, "importer.note.order-by-preamble");
  two_digit_years(rows, trials);
  return left(trials, trials.size() == 1 ? "importer.note.order-by-year" : "");
}

}  // namespace trayproof::reading
