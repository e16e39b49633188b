#include "importer/reading/date_order.h"

#include <algorithm>
#include <limits>

#include "importer/reading/units.h"

namespace trayproof::reading {
namespace {

using Trial = OrderTrials::Trial;

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

OrdersLeft orders_of(const std::vector<Trial>& trials, std::string_view by) {
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

ThreeDays three_days(const RawDate& date) {
  ThreeDays out;
  for (std::size_t i = 0; i < date_orders.size(); ++i) {
    if (const auto day = day_of(date, date_orders[i])) out.days[i] = days_since_epoch(*day);
  }
  return out;
}

void OrderTrials::row(const RowTime& row) {
  if (!row.has_date) return;
  if (!row_ || !(row_->date == row.date)) new_date(row);
  row_ = row;
  if (!any_impossible_) return;
  for (std::size_t i = 0; i < trials_.size(); ++i) {
    if (!now_.days[i]) ++trials_[i].impossible;
  }
}

void OrderTrials::new_date(const RowTime& row) {
  if (!any_) separator_ = row.date.separator;
  any_ = true;
  if (!row.date.named_month && row.date.digits[0] <= 2) year_first_ = false;
  if (row_) {
    for (std::size_t i = 0; i < trials_.size(); ++i) {
      if (now_.days[i]) lasts_[i] = row_;
    }
  }
  now_ = three_days(row.date);
  any_impossible_ = false;
  for (std::size_t i = 0; i < trials_.size(); ++i) {
    Trial& trial = trials_[i];
    for (std::size_t k = 0; k < i; ++k) {
      if (now_.days[i] != now_.days[k]) differ_[i][k] = differ_[k][i] = true;
    }
    if (!now_.days[i]) {
      any_impossible_ = true;
      continue;
    }
    const std::int64_t day = *now_.days[i];
    if (!trial.before) {
      trial.first = day;
      firsts_[i] = row;
    }
    if (trial.before && day < *trial.before) ++trial.backward;
    if (trial.before && std::abs(day - *trial.before) > 20) ++trial.leaps;
    trial.before = trial.last = day;
  }
}

const std::optional<RowTime>& OrderTrials::last(DateOrder order) const {
  const auto i = static_cast<std::size_t>(order);
  return now_.days[i] ? row_ : lasts_[i];
}

// Orders that give every row the same instant are one order.
bool OrderTrials::same(std::vector<Trial>& trials) const {
  while (trials.size() > 1) {
    if (differ_[static_cast<std::size_t>(trials[0].order)][static_cast<std::size_t>(trials[1].order)]) return false;
    // "2024-05-01" and named months are year first; 05/05/2024 is called by the first order that fits.
    if (trials.back().order == DateOrder::ymd && year_first_)
      trials.erase(trials.begin());
    else
      trials.erase(trials.begin() + 1);
  }
  return trials.size() == 1;
}

// "15/06/24": year-first too would be a day. Where the two lie years apart, the later one is meant: exports are recent.
// With dots the year never stands first in two digits.
void OrderTrials::two_digit_years(std::vector<Trial>& trials) const {
  const auto year_first =
      std::find_if(trials.begin(), trials.end(), [](const Trial& one) { return one.order == DateOrder::ymd; });
  if (year_first == trials.end() || trials.size() < 2) return;
  std::int64_t latest = std::numeric_limits<std::int64_t>::min();
  for (const Trial& one : trials) {
    if (one.order != DateOrder::ymd) latest = std::max(latest, one.last);
  }
  constexpr std::int64_t apart_days = 3 * 365;
  if (separator_ == '.' || latest > year_first->last + apart_days) {
    trials.erase(year_first);
  } else if (year_first->last > latest + apart_days) {
    trials = {*year_first};
  }
}

OrdersLeft OrderTrials::left(const std::vector<Metadata>& metadata) const {
  std::vector<Trial> trials(trials_.begin(), trials_.end());
  keep_least(trials, &Trial::impossible);
  if (same(trials)) return orders_of(trials, "");
  keep_least(trials, &Trial::backward);
  if (same(trials)) return orders_of(trials, "importer.note.order-by-run");
  keep_least(trials, &Trial::leaps);
  if (same(trials)) return orders_of(trials, "importer.note.order-by-run");
  ask_preamble(metadata, trials);
  if (same(trials)) return orders_of(trials, "importer.note.order-by-preamble");
  two_digit_years(trials);
  return orders_of(trials, trials.size() == 1 ? "importer.note.order-by-year" : "");
}

}  // namespace trayproof::reading
