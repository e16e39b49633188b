#include "importer/judging/stream.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "ledger/text/locale.h"
#include "ledger/words/words.h"

namespace trayproof::judging {
namespace {

constexpr double none = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t idle_max = 4096;    // samples kept while nothing is hot
constexpr std::size_t settled_rows = 64;  // no row is put in order over more than these
constexpr std::size_t looked_back = 256;

double rounded_ms(double seconds) { return std::round(seconds * 1000) / 1000; }

}  // namespace

void CycleStream::begin(const reading::Reading& known, reading::Extent extent) {
  only_head_ = extent == reading::Extent::head;
  reading::Reading reading = known;
  if (!assumed_.decisions) assumed_.decisions = decide(reading, options_, std::nullopt);
  series_ = series_of(*assumed_.decisions);
  series_.interval_s = assumed_.interval_s;
  steps_.clear();
  raw_steps_.clear();
  rest_ = RestCounts{};
  runs_ = Runs{};
  seen_ = assumed_.passed_twice.empty() ? nullptr : std::make_unique<SeenRows>(assumed_.passed_twice);
  counts_ = OrderCounts{};
  rows_ = equal_ = equal_run_ = forced_ = forced_line_ = 0;
  raw_last_s_ = last_s_ = hot_last_s_ = std::nullopt;
  cold_run_ = orderly_ = cycles_ = 0;
  hot_open_ = interval_used_ = false;
  sink_.begin();
}

double CycleStream::hottest(const Sample& sample) const {
  double best = none;
  for (std::size_t k = 0; k < sample.temperature_c.size(); ++k) {
    const double value = sample.temperature_c[k];
    if (series_.in_load[k] && !std::isnan(value) && !(best >= value)) best = value;
  }
  return best;
}

double CycleStream::reach_s() const {
  return assumed_.order.reach_s > 0 ? assumed_.order.reach_s : 10 * raw_steps_.usual_s();
}

void CycleStream::row(const reading::Row& row) {
  const Decisions& decisions = *assumed_.decisions;
  Sample sample = sample_of(row, decisions, options_.error_k);
  if (decisions.sense_by_rest && decisions.pressure) {
    double warmest = none;
    for (const double value : sample.temperature_c) {
      if (!std::isnan(value) && !(warmest >= value)) warmest = value;
    }
    const PressureUse& use = *decisions.pressure;
    const double kpa = use.channel < row.values.size() ? physics::kilopascals(row.values[use.channel], use.unit) : none;
    if (warmest < warm_c && !std::isnan(kpa)) rest_.add(kpa);
  }
  ++rows_;
  note_run(sample.elapsed_s);
  if (is_repeat(sample)) return;
  keep(std::move(sample));
}

// Of all rows, whether they are kept or stand twice.
void CycleStream::note_run(double at_s) {
  equal_run_ = raw_last_s_ && *raw_last_s_ == at_s ? equal_run_ + 1 : 0;
  if (equal_run_ > 0) ++equal_;
  if (raw_last_s_) {
    const double step = at_s - *raw_last_s_;
    if (step > 0)
      raw_steps_.add(step);
    else if (-step > reach_s())
      runs_.begin(at_s);
  }
  runs_.extend(at_s);
  raw_last_s_ = at_s;
}

bool CycleStream::is_repeat(const Sample& sample) {
  if (!seen_ || !seen_->watches(sample.elapsed_s)) return false;
  if (!seen_->seen(sample, assumed_.order.spread ? equal_run_ : 0)) return false;
  ++counts_.repeats;
  return true;
}

void CycleStream::keep(Sample sample) {
  auto& samples = series_.samples;
  if (!samples.empty()) {
    const double step = sample.elapsed_s - samples.back().elapsed_s;
    const bool far_back = step < 0 && -step > reach_s();
    if (far_back && counts_.backward++ == 0) counts_.backward_line = sample.line;
    if (far_back || step > pause_s) {
      close(samples.size());
    } else if (step < 0) {
      orderly_ = 0;
    }
  }
  const double value = hottest(sample);
  const double at_s = sample.elapsed_s;
  samples.push_back(std::move(sample));
  ++orderly_;
  if (value >= warm_c) {
    hot_last_s_ = at_s;
    hot_open_ = true;
  } else if (value < cooled_c) {
    hot_open_ = false;
  }
  cold_run_ = value < cold_c || (std::isnan(value) && !hot_open_) ? cold_run_ + 1 : 0;
  if (samples.size() * (samples.back().temperature_c.size() + 1) >= stretch_values_max) return cut_by_force();
  if (samples.size() % looked_back == 0 && (hot_last_s_ || samples.size() >= idle_max)) cut_where_quiet();
}

// A place where the file may be cut without any cycle noticing: cold on both sides or long after anything hot, all rows
// in order, and no stamp shared across it.
std::optional<std::size_t> CycleStream::quiet_place() const {
  const std::size_t size = series_.samples.size();
  if (hot_open_ || orderly_ < looked_back || size < 2 * looked_back) return std::nullopt;
  const double now_s = at(size - 1);
  const double since_hot_s = hot_last_s_ ? now_s - *hot_last_s_ : std::numeric_limits<double>::infinity();
  std::size_t place = size - settled_rows;
  if (cold_run_ >= looked_back && since_hot_s > pulse_gap_s) {
    // Cold here: a cycle's lead ends at the first cold row.
  } else if (since_hot_s > 2 * lead_s && now_s - at(0) > lead_s) {
    while (place > 1 && at(place) > now_s - lead_s) --place;
  } else {
    return std::nullopt;
  }
  const std::size_t least = place > looked_back / 2 ? place - looked_back / 2 : 1;
  while (place > least && !(at(place) > at(place - 1))) --place;
  if (place <= least) return std::nullopt;
  return place;
}

void CycleStream::cut_where_quiet() {
  if (const auto place = quiet_place()) close(*place);
}

// Too long for one stretch: what ended before its last cycle goes, and that cycle too where it is all there is.
void CycleStream::cut_by_force() {
  const std::vector<Stretch> stretches = find_cycles(series_);
  if (stretches.size() > 1 && stretches.back().first > series_.samples.size() / 4) return close(stretches.back().first);
  if (stretches.empty()) return close(series_.samples.size() - looked_back);
  if (forced_++ == 0) forced_line_ = series_.samples.back().line;
  close(series_.samples.size());
}

// Gives the samples before `end` with their cycles; the others begin the next stretch.
void CycleStream::close(std::size_t end) {
  auto& samples = series_.samples;
  std::vector<Sample> rest(std::make_move_iterator(samples.begin() + static_cast<std::ptrdiff_t>(end)),
                           std::make_move_iterator(samples.end()));
  samples.resize(end);
  const bool any_hot = hot_last_s_.has_value();
  OrderRules rules = assumed_.order;
  rules.reach_s = reach_s();
  put_in_order(series_, rules, counts_);
  for (const Sample& sample : samples) {
    if (last_s_) steps_.add(sample.elapsed_s - *last_s_);
    last_s_ = sample.elapsed_s;
  }
  if (!series_.interval_s && !steps_.empty()) series_.interval_s = rounded_ms(steps_.usual_s());
  const std::vector<Stretch> stretches = any_hot ? find_cycles(series_) : std::vector<Stretch>{};
  cycles_ += stretches.size();
  if (!stretches.empty()) interval_used_ = true;
  if (!only_head_) sink_.stretch(series_, stretches, assumed_.cycles);
  // The next stretch grows in the same memory: fresh pages cost more than what is written into them.
  Series next = series_of(*assumed_.decisions);
  next.interval_s = assumed_.interval_s;
  samples.assign(std::make_move_iterator(rest.begin()), std::make_move_iterator(rest.end()));
  next.samples = std::move(samples);
  series_ = std::move(next);
  hot_last_s_.reset();
  hot_open_ = false;
  cold_run_ = orderly_ = 0;
  for (const Sample& sample : series_.samples) {
    const double value = hottest(sample);
    ++orderly_;
    if (value >= warm_c) {
      hot_last_s_ = sample.elapsed_s;
      hot_open_ = true;
    } else if (value < cooled_c) {
      hot_open_ = false;
    }
    cold_run_ = value < cold_c || (std::isnan(value) && !hot_open_) ? cold_run_ + 1 : 0;
  }
}

bool CycleStream::end(const reading::Reading& whole) {
  if (!series_.samples.empty()) close(series_.samples.size());
  reading::Reading reading = whole;
  decided_ = decide(reading, options_, rest_.middle());
  channels_ = reading.channels;
  Assumed found;
  found.decisions = decided_;
  found.order.spread = !whole.seconds && rows_ >= 4 && equal_ * 10 >= rows_ * 3;
  found.order.reach_s = 10 * raw_steps_.usual_s();
  found.interval_s = interval_s();
  found.passed_twice = runs_.passed_twice();
  found.cycles = cycles_;
  const bool ordered = counts_.backward == 0 || found.order.reach_s == assumed_.order.reach_s;
  const bool borne_out = decided_.same_as(*assumed_.decisions) && found.order.spread == assumed_.order.spread &&
                         ordered && (!interval_used_ || found.interval_s == assumed_.interval_s) &&
                         found.passed_twice == assumed_.passed_twice &&
                         (!one_matters_ || (found.cycles == 1) == (assumed_.cycles == 1));
  assumed_ = std::move(found);
  return borne_out;
}

std::optional<double> CycleStream::interval_s() const {
  if (steps_.empty()) return std::nullopt;
  return rounded_ms(steps_.usual_s());
}

std::vector<std::string> CycleStream::notes() const {
  std::vector<std::string> out = decided_.notes;
  const auto count = [](std::int64_t number) { return std::to_string(number); };
  if (assumed_.order.spread) out.push_back(say("importer.note.spread-stamps"));
  if (counts_.repeats > 0) out.push_back(say("importer.note.duplicate-stamps", {{"count", count(counts_.repeats)}}));
  if (seen_ && seen_->full()) out.push_back(say("importer.note.repeats-too-many"));
  if (counts_.backward > 0) {
    out.push_back(say("importer.note.backward-stamps",
                      {{"count", count(counts_.backward)}, {"line", count(counts_.backward_line)}}));
  }
  if (counts_.conflicts > 0)
    out.push_back(say("importer.note.conflicting-stamps", {{"count", count(counts_.conflicts)}}));
  const double usual = steps_.usual_s();
  if (const std::int64_t longer = steps_.longer_than(1.5 * usual); longer > 0) {
    out.push_back(say(
        "importer.note.missing-samples",
        {{"count", count(longer)}, {"usual", number_here(usual, 3)}, {"longest", number_here(steps_.longest_s(), 3)}}));
  }
  if (forced_ > 0)
    out.push_back(say("importer.note.stretch-cut", {{"count", count(forced_)}, {"line", count(forced_line_)}}));
  return out;
}

}  // namespace trayproof::judging
