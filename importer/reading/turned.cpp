#include "importer/reading/turned.h"

#include "importer/reading/stamps.h"

namespace trayproof::reading {
namespace {

// Later than, earlier than, or neither to be told: dates of which no order is known are not compared.
int step(const RawStamp& before, const RawStamp& now) {
  if (before.date && now.date && !(*before.date == *now.date)) {
    if (now.date->digits[0] <= 2 && !now.date->named_month) return 0;
    return now.date->parts > before.date->parts ? 1 : -1;
  }
  if (!before.clock_ms || !now.clock_ms || *before.clock_ms == *now.clock_ms) return 0;
  return *now.clock_ms > *before.clock_ms ? 1 : -1;
}

}  // namespace

bool runs_backward(const Layout& layout, const Columns& columns) {
  const TimeColumns& time = columns.time;
  if (time.form == TimeForm::none || time.form == TimeForm::elapsed_clock || time.bare) return false;
  std::size_t falls = 0;
  std::size_t rises = 0;
  const bool is_number = time.form != TimeForm::stamp && time.form != TimeForm::apart && time.form != TimeForm::clock;
  std::optional<RawStamp> before;
  std::optional<double> number_before;
  for (const HeadRecord& row : layout.rows) {
    const auto text = [&](std::size_t place) -> std::string_view {
      return place < row.cells.size() ? std::string_view(row.cells[place].text) : std::string_view();
    };
    int went = 0;
    if (is_number) {
      auto number = parse_quantity(text(time.first), Decimal::point);
      if (!number) number = parse_quantity(text(time.first), Decimal::comma);
      if (!number) continue;
      if (number_before) went = number->value > *number_before ? 1 : number->value < *number_before ? -1 : 0;
      number_before = number->value;
    } else {
      auto stamp = parse_stamp(text(time.first));
      if (!stamp) continue;
      if (time.clock) {
        const auto clock = parse_stamp(text(*time.clock));
        if (!clock) continue;
        stamp->clock_ms = clock->clock_ms;
      }
      if (time.half && stamp->clock_ms) {
        if (const auto half = half_day(text(*time.half))) stamp->clock_ms = in_half(*stamp->clock_ms, *half);
      }
      if (before) went = step(*before, *stamp);
      before = stamp;
    }
    if (went < 0) ++falls;
    if (went > 0) ++rises;
  }
  return falls >= 5 && falls > 9 * rises;
}

bool Turned::keep(const ParsedRow& row, const RowTime& time) {
  const std::size_t bytes = (rows_.size() + 1) * sizeof(Waiting) + (values_.size() + row.values.size()) * sizeof(double);
  if (bytes > turned_bytes_max) return false;
  rows_.push_back({.line = row.line,
                   .byte = row.byte,
                   .time = time,
                   .values = values_.size(),
                   .channel = row.channel.value_or(0),
                   .count = static_cast<std::uint16_t>(row.values.size()),
                   .of_channel = row.channel.has_value()});
  values_.insert(values_.end(), row.values.begin(), row.values.end());
  return true;
}

void Turned::give(const Rows::Sink& sink) {
  for (auto one = rows_.rbegin(); one != rows_.rend(); ++one) {
    const ParsedRow row{.line = one->line,
                        .byte = one->byte,
                        .text = {},
                        .values = {values_.data() + one->values, one->count},
                        .channel = one->of_channel ? std::optional(one->channel) : std::nullopt};
    sink(row, one->time);
  }
  rows_.clear();
  values_.clear();
}

}  // namespace trayproof::reading
