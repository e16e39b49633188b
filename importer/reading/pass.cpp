#include "importer/reading/pass.h"

#include <algorithm>
#include <cmath>

#include "ledger/words/words.h"

namespace trayproof::reading {

Pass::Pass(const Plan& plan, const Options& options, const TimeAssumed& assumed, RowSink& sink)
    : sink_(sink),
      reading_(plan.known),
      columns_(plan.columns),
      timekeeper_(columns_.time, options.time, assumed, plan.known.metadata),
      faults_([this](const Row& row) { placed(row); }),
      widener_([this](const Row& row) { faults_.take(row, columns_.channels); }),
      rows_(plan.layout, options, reading_, columns_,
            [this](const ParsedRow& row, const RowTime& time) { parsed(row, time); }),
      settled_sink_([this](const ParsedRow& row, const RowTime& time) {
        ++reading_.rows_seen;
        parsed(row, time);
      }),
      records_(*plan.known.delimiter, [this](const Record& one) { record(one); }),
      lines_([this](const TextLine& line) { records_.line(line); }, plan.known.encoding,
             [this](const TextLine& text) { return take_settled(text); }) {
  // Lines of metadata are read again with the rows below the header.
  reading_.metadata = plan.layout.metadata;
  if (options.speed == Speed::settled) {
    settled_ = Settled::plan(columns_, plan.layout, *plan.known.delimiter, reading_.decimal, reading_.encoding);
  }
}

Lines::Taken Pass::take_settled(const TextLine& text) {
  if (!settled_ || !records_.idle() || !rows_.is_plain()) return {};
  const Settled::Taken taken = settled_->take(text, settled_sink_);
  if (taken.seconds) rows_.show_seconds();
  return {.bytes = taken.bytes, .lines = taken.rows};
}

void Pass::record(const Record& record) {
  rows_.take(record);
  if (settled_ && rows_.was_row() && rows_.is_plain()) settled_->learn(record);
}

void Pass::parsed(const ParsedRow& row, const RowTime& time) {
  if (!reading_.descending) return in_order(row, time);
  const ThreeDays days = three_days(time.date);
  const bool no_day = time.has_date && !days.days[0] && !days.days[1] && !days.days[2];
  if (no_day) return rows_.refuse(row, "importer.refused.no-such-day");
  if (!turned_.keep(row, time)) rows_.refuse(row, "importer.refused.too-long-to-turn");
}

void Pass::in_order(const ParsedRow& row, const RowTime& time) {
  const auto placed = timekeeper_.place(time);
  if (!placed) return rows_.refuse(row, "importer.refused.no-such-day");
  const Row out{.line = row.line, .lines = 1, .at = placed->at, .elapsed_s = placed->elapsed_s, .values = row.values};
  if (row.channel)
    widener_.take(out, *row.channel, row.values.front());
  else
    faults_.take(out, columns_.channels);
}

// Values of set points and the like say nothing about whether a row holds a reading; a channel of another quantity
// counts only where the file has no other. In a long layout each line speaks for itself.
bool Pass::is_measured(std::size_t channel) const {
  return !any_measured_ || columns_.rows_of_channels || columns_.channels[channel].quantity != Quantity::other;
}

void Pass::placed(const Row& row) {
  for (; channels_looked_at_ < columns_.channels.size(); ++channels_looked_at_) {
    reading_.counts.emplace_back();
    if (columns_.channels[channels_looked_at_].quantity != Quantity::other) any_measured_ = true;
  }
  std::int32_t usable = 0;
  for (std::size_t k = 0; k < row.values.size(); ++k) {
    const double value = row.values[k];
    if (std::isnan(value)) continue;
    ChannelCounts& counts = reading_.counts[k];
    if (counts.present == 0 || value < counts.min) counts.min = value;
    if (counts.present == 0 || value > counts.max) counts.max = value;
    ++counts.present;
    if (is_measured(k)) ++usable;
  }
  const std::int32_t with = std::min(usable, row.lines);
  reading_.readings += with;
  reading_.marks += row.lines - with;
  ++reading_.rows;
  if (row.at) {
    if (!reading_.from || *row.at < *reading_.from) reading_.from = row.at;
    if (!reading_.until || *row.at > *reading_.until) reading_.until = row.at;
  }
  sink_.row(row);
}

void Pass::finish() {
  lines_.finish();
  records_.finish();
  rows_.finish();
  if (reading_.descending) {
    turned_.give([this](const ParsedRow& row, const RowTime& time) { in_order(row, time); });
    reading_.notes.push_back(say("importer.note.turned"));
  }
  widener_.finish();
  faults_.finish();
  reading_.channels = columns_.channels;
  reading_.counts.resize(reading_.channels.size());
  reading_.faults = faults_.dropped();
  reading_.seconds = rows_.seconds();
  Timeline timeline = timekeeper_.finish(reading_.metadata);
  reading_.date_order = timeline.order;
  reading_.offset_minutes = timeline.offset_minutes;
  reading_.dated = timeline.dated;
  if (!timeline.dated) reading_.from = reading_.until = std::nullopt;
  for (Ask& ask : timeline.asks) reading_.asks.push_back(std::move(ask));
  for (std::string& note : timeline.notes) reading_.notes.push_back(std::move(note));
  if (timeline.start_unread)
    reading_.notes.push_back(say("importer.note.start-unread", {{"text", *timeline.start_unread}}));
  reading_.refused.sort_by_line();
  decided_ = timeline.decided;
  borne_out_ = timeline.borne_out;
}

}  // namespace trayproof::reading
