#include "importer/import.h"

#include <algorithm>
#include <cmath>

#include "importer/hashed_source.h"
#include "importer/judging/findings.h"
#include "importer/judging/phases.h"
#include "importer/judging/placement.h"
#include "importer/judging/stream.h"
#include "importer/judging/verdict.h"
#include "importer/reading/reading.h"
#include "ledger/base/utf8.h"
#include "ledger/crypto/hash.h"
#include "ledger/text/locale.h"
#include "ledger/text/unicode.h"
#include "ledger/words/words.h"

namespace trayproof::importer {
namespace {

constexpr std::size_t told_metadata = 100;
constexpr std::size_t told_code_points = 200;

// Names and values of the file as they may stand in an event: no control characters, normal form, short.
std::string clean(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const char32_t point = next_code_point(text, at);
    if (point != U'\n' && !is_control(point) && !is_direction_mark(point)) append_utf8(out, point);
  }
  return shortened(nfc(out), told_code_points - 1);
}

// A choice spelled in one of a few words.
template <typename T, typename Named>
std::optional<T> chosen(const std::optional<std::string>& said, Named named, std::string_view option,
                        std::vector<std::string>& unknown) {
  if (!said) return std::nullopt;
  const auto found = named(*said);
  if (!found) unknown.push_back(say("importer.note.unknown-option", {{"option", option}, {"value", *said}}));
  return found;
}

std::optional<reading::Sense> sense_named(std::string_view name) {
  if (name == "gauge") return reading::Sense::gauge;
  if (name == "absolute") return reading::Sense::absolute;
  return std::nullopt;
}

struct Understood {
  reading::Options options;
  std::optional<reading::Sense> pressure;
  std::vector<std::string> left_out;  // channels
  std::vector<std::string> unknown;
};

Understood understand(const Choices& choices, const Zone& facility) {
  Understood out;
  auto& unknown = out.unknown;
  out.options.encoding = chosen<reading::Encoding>(choices.encoding, reading::encoding_named, "--encoding", unknown);
  out.options.delimiter =
      chosen<reading::Delimiter>(choices.delimiter, reading::delimiter_named, "--delimiter", unknown);
  out.options.decimal = chosen<reading::Decimal>(choices.decimal, reading::decimal_named, "--decimal", unknown);
  out.options.time.order =
      chosen<reading::DateOrder>(choices.date_order, reading::date_order_named, "--date-order", unknown);
  out.pressure = chosen<reading::Sense>(choices.pressure, sense_named, "--pressure", unknown);
  out.options.time.zone = facility;
  if (choices.zone) {
    auto zone = Zone::find(*choices.zone);
    if (zone.ok()) {
      out.options.time.zone = std::move(zone).value();
      out.options.time.zone_said = true;
    } else {
      unknown.push_back(say("importer.note.unknown-option", {{"option", "--zone"}, {"value", *choices.zone}}));
    }
  }
  out.options.time.as_kept = choices.as_kept;
  out.options.time.start = choices.start;
  for (const auto& [channel, unit] : choices.units) {
    if (unit == judging::no_unit) {
      out.left_out.push_back(channel);
      continue;
    }
    out.options.units.emplace_back(channel, unit);
    if (!reading::unit_named(unit)) {
      unknown.push_back(say("importer.note.unknown-option", {{"option", "--unit"}, {"value", channel + "=" + unit}}));
    }
  }
  return out;
}

// Whether an edition limits how far steam may be from saturation, and this equipment may be what makes it.
bool needs_pressure(const Surroundings& around) {
  const std::string& sort = around.equipment_sort;
  if (sort == "dry-heat-sterilizer" || sort == "boiler" || sort == "washer-disinfector") return false;
  if (around.editions == nullptr) return false;
  const auto& all = around.editions->all();
  return std::any_of(all.begin(), all.end(),
                     [](const sop::Edition& one) { return one.sop.steam_saturation_k.has_value(); });
}

std::vector<Channel> channels_of(const reading::Reading& reading) {
  std::vector<Channel> out;
  for (std::size_t k = 0; k < reading.channels.size(); ++k) {
    const reading::ChannelColumn& column = reading.channels[k];
    const reading::ChannelCounts& counts = reading.counts[k];
    Channel channel{.name = clean(column.name),
                    .quantity = std::string(reading::name_of(column.quantity)),
                    .unit = clean(column.unit_text),
                    .min = {},
                    .max = {},
                    .missing = reading.rows - counts.present};
    if (counts.present > 0) {
      channel.min = counts.min;
      channel.max = counts.max;
    }
    out.push_back(std::move(channel));
  }
  return out;
}

json::Value reading_of(const reading::Reading& reading, const judging::Decisions& decisions, const Choices& choices,
                       const Zone& zone) {
  json::Value out = json::Value::object();
  const auto text = [](const std::optional<std::string>& value) { return value ? json::Value(*value) : json::Value(); };
  out.set("encoding", reading::name_of(reading.encoding));
  out.set("delimiter", reading.delimiter ? json::Value(reading::name_of(*reading.delimiter)) : json::Value());
  out.set("decimal", reading::name_of(reading.decimal));
  if (reading.runner_up) {
    out.set("runner_up", json::Value::object()
                             .set("delimiter", reading::name_of(reading.runner_up->delimiter))
                             .set("decimal", reading::name_of(reading.runner_up->decimal))
                             .set("worth", std::round(100 * reading.runner_up->worth / reading.dialect_worth) / 100));
  }
  if (reading.descending) out.set("descending", true);
  out.set("date_order", reading.date_order ? json::Value(reading::name_of(*reading.date_order)) : json::Value());
  out.set("zone", zone.name());
  if (reading.offset_minutes) out.set("offset_minutes", static_cast<int>(*reading.offset_minutes));
  out.set("header_line", reading.header_line ? json::Value(*reading.header_line) : json::Value());
  out.set("profile", text(choices.profile));
  if (choices.start) out.set("start", clean(*choices.start));
  if (!decisions.pressure_name.empty()) {
    out.set("pressure", decisions.pressure_sense == reading::Sense::gauge      ? "gauge"
                        : decisions.pressure_sense == reading::Sense::absolute ? "absolute"
                                                                               : "unknown");
  }
  json::List units;
  for (const reading::ChannelColumn& column : reading.channels) {
    if (column.unit_text.empty() || units.size() >= told_metadata) continue;
    units.push_back(json::Value::object().set("channel", clean(column.name)).set("unit", clean(column.unit_text)));
  }
  // Of elapsed time: what a person said that it counts.
  for (const auto& [channel, unit] : choices.units) {
    if (channel == reading.time_name && unit != judging::no_unit)
      units.push_back(json::Value::object().set("channel", clean(channel)).set("unit", clean(unit)));
  }
  for (const std::string& channel : decisions.left_out)
    units.push_back(json::Value::object().set("channel", clean(channel)).set("unit", judging::no_unit));
  out.set("units", std::move(units));
  json::List ignored;
  for (const reading::IgnoredColumn& column : reading.ignored) {
    if (ignored.size() >= told_metadata) break;
    ignored.push_back(json::Value::object().set("column", clean(column.name)).set("why", column.why));
  }
  out.set("ignored", std::move(ignored));
  json::List metadata;
  for (const reading::Metadata& line : reading.metadata) {
    if (metadata.size() >= told_metadata) break;
    metadata.push_back(
        json::Value::object().set("line", line.line).set("key", clean(line.key)).set("value", clean(line.value)));
  }
  out.set("metadata", std::move(metadata));
  return out;
}

}  // namespace

std::optional<std::string> unknown_choice(const Choices& choices) {
  const Understood understood = understand(choices, Zone::utc());
  if (understood.unknown.empty()) return std::nullopt;
  return understood.unknown.front();
}

namespace {

// What is told of the file as a whole; the cycles stand in `out` already.
void describe(Import& out, reading::Reading& reading, const judging::CycleStream& stream, const Choices& choices,
              Understood& understood) {
  const Zone& zone = understood.options.time.zone;
  if (!stream.channels().empty()) reading.channels = stream.channels();
  out.reading = reading_of(reading, stream.decisions(), choices, zone);
  out.channels = channels_of(reading);
  out.rows = reading.rows_seen;
  out.readings = reading.readings;
  out.marks = reading.marks;
  out.refused = reading.refused.kept();
  out.refused_more = reading.refused.more();
  out.asks = std::move(reading.asks);
  const auto& asks = stream.decisions().asks;
  out.asks.insert(out.asks.end(), asks.begin(), asks.end());
  // Where no value was read, nothing hangs on what unit it would have.
  if (out.readings == 0) {
    std::erase_if(out.asks, [](const Ask& ask) { return ask.what == "unit" || ask.what == "pressure"; });
  }
  out.interval_s = stream.interval_s();
  const std::vector<std::string> told = stream.notes();
  for (const auto* notes : {&std::as_const(understood.unknown), &std::as_const(reading.notes), &told}) {
    out.notes.insert(out.notes.end(), notes->begin(), notes->end());
  }
  if (reading.faults > 0)
    out.notes.push_back(say("importer.note.fault-values", {{"count", std::to_string(reading.faults)}}));
  if (!reading.dated && reading.rows > 0 && out.asks.empty()) out.notes.push_back(say("importer.note.no-date"));
  if (reading.from) out.from = zone.local(*reading.from);
  if (reading.until) out.until = zone.local(*reading.until);
  out.temperatures = stream.decisions().temperatures;
  out.in_load = stream.decisions().in_load;
  out.pressure = clean(stream.decisions().pressure_name);
  if (!out.asks.empty()) {
    out.cycles.clear();
    out.saturation_unchecked_k.reset();
  }
  if (out.asks.empty() && out.cycles.empty() && reading.rows > 0) out.notes.push_back(say("importer.note.no-cycle"));
}

Result<Import> read_stretches(
    reading::Source& source, const Choices& choices, const Surroundings& around, const Listener& listener,
    const std::function<void(const judging::Series& series, Cycle* first, std::size_t count)>& stretch) {
  Import out;
  Understood understood = understand(choices, around.zone);
  understood.options.progress = listener.progress;
  const judging::CycleStream::Sink sink{
      .begin =
          [&] {
            out.cycles.clear();
            out.saturation_unchecked_k.reset();
            if (listener.begin) listener.begin();
          },
      .stretch =
          [&](const judging::Series& series, const std::vector<judging::Stretch>& stretches, std::size_t cycles) {
            for (const judging::Stretch& one : stretches) {
              const KnownLoad* load = judging::place(series, one, cycles, around);
              // A copy takes no more room than it needs: a long export has thousands.
              const Cycle cycle = judging::judge(series, one, load, around);
              out.cycles.push_back(cycle);
              if (cycle.saturation_unchecked_k) out.saturation_unchecked_k = cycle.saturation_unchecked_k;
              if (listener.cycle) listener.cycle(series, one, out.cycles.back());
            }
            if (stretch) stretch(series, out.cycles.data() + out.cycles.size() - stretches.size(), stretches.size());
          }};
  judging::CycleStream stream({.pressure = understood.pressure,
                               .altitude_m = around.altitude_m,
                               .error_k = around.error_k.value_or(0),
                               .needs_pressure = needs_pressure(around) && !choices.as_kept,
                               .left_out = understood.left_out},
                              around.load.has_value(), sink);
  TRY_LET(reading::Reading reading, reading::read(source, understood.options, stream));
  describe(out, reading, stream, choices, understood);
  return out;
}

}  // namespace

Result<Import> read_and_judge(reading::Source& source, const Choices& choices, const Surroundings& around,
                              const Listener& listener) {
  return read_stretches(source, choices, around, listener, {});
}

Result<Import> read_and_judge(reading::Source& source, const Choices& choices, const Surroundings& around,
                              const Listener& listener, CodedCurves& curves) {
  HashedSource hashed(source);
  Result<void> set_aside;
  Listener with = listener;
  with.begin = [&] {
    curves.clear();
    if (listener.begin) listener.begin();
  };
  with.cycle = [&](const judging::Series& series, const judging::Stretch& stretch, const Cycle& cycle) {
    if (set_aside.ok()) set_aside = curves.add(judging::coded(series, stretch));
    if (listener.cycle) listener.cycle(series, stretch, cycle);
  };
  TRY_LET(Import out, read_and_judge(hashed, choices, around, with));
  TRY(set_aside);
  // Made with an error taken off they would not be what was measured.
  if (around.error_k || out.cycles.empty()) curves.clear();
  TRY_LET(const auto whole, hashed.whole());
  out.file = whole.sha256;
  out.bytes = whole.bytes;
  return out;
}

Import read_and_judge(std::span<const std::uint8_t> bytes, const Choices& choices, const Surroundings& around) {
  reading::MemorySource source(bytes);
  std::vector<Sample> samples;
  std::vector<judging::Coded> measured;
  const Listener listener{.begin =
                              [&] {
                                samples.clear();
                                measured.clear();
                              },
                          .cycle = [&](const judging::Series& series, const judging::Stretch& stretch,
                                       const Cycle&) { measured.push_back(judging::coded(series, stretch)); },
                          .progress = {}};
  auto done = read_stretches(source, choices, around, listener,
                             [&](const judging::Series& series, Cycle* cycles, std::size_t count) {
                               for (std::size_t i = 0; i < count; ++i) {
                                 cycles[i].first_row += samples.size();
                                 cycles[i].last_row += samples.size();
                                 for (auto* const row : {&cycles[i].hold_first_row, &cycles[i].hold_last_row}) {
                                   if (*row) **row += samples.size();
                                 }
                               }
                               samples.insert(samples.end(), series.samples.begin(), series.samples.end());
                             });
  CHECK(done.ok());  // memory does not fail
  Import out = std::move(done).value();
  out.samples = std::move(samples);
  // Made with an error taken off they would not be what was measured.
  if (!around.error_k && !out.cycles.empty()) out.measured = std::move(measured);
  out.file = crypto::sha256(bytes);
  out.bytes = static_cast<std::int64_t>(bytes.size());
  return out;
}

std::string sentence(const Finding& finding) { return judging::sentence(finding); }

std::string saturation_unchecked(double limit_k) {
  return say("importer.saturation-unchecked", {{"limit", number_here(limit_k, 2)}});
}

}  // namespace trayproof::importer
