#include "importer/import.h"

#include <algorithm>
#include <cmath>

#include "importer/judging/findings.h"
#include "importer/judging/phases.h"
#include "importer/judging/placement.h"
#include "importer/judging/series.h"
#include "importer/judging/verdict.h"
#include "importer/reading/reading.h"
#include "ledger/base/utf8.h"
#include "ledger/crypto/hash.h"
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
  out.options.time.start = choices.start;
  out.options.units = choices.units;
  for (const auto& [channel, unit] : choices.units) {
    if (!reading::unit_named(unit)) {
      unknown.push_back(say("importer.note.unknown-option", {{"option", "--unit"}, {"value", channel + "=" + unit}}));
    }
  }
  return out;
}

std::vector<Channel> channels_of(const reading::Reading& reading) {
  std::vector<Channel> out;
  for (std::size_t k = 0; k < reading.channels.size(); ++k) {
    const reading::ChannelColumn& column = reading.channels[k];
    Channel channel{.name = clean(column.name),
                    .quantity = std::string(reading::name_of(column.quantity)),
                    .unit = clean(column.unit_text),
                    .min = {},
                    .max = {},
                    .missing = 0};
    for (std::size_t i = 0; i < reading.rows.size(); ++i) {
      const double value = reading.value(i, k);
      if (std::isnan(value)) {
        ++channel.missing;
        continue;
      }
      channel.min = std::min(channel.min.value_or(value), value);
      channel.max = std::max(channel.max.value_or(value), value);
    }
    out.push_back(std::move(channel));
  }
  return out;
}

json::Value reading_of(const reading::Reading& reading, const judging::Series& series, const Choices& choices,
                       const Zone& zone) {
  json::Value out = json::Value::object();
  const auto text = [](const std::optional<std::string>& value) { return value ? json::Value(*value) : json::Value(); };
  out.set("encoding", reading::name_of(reading.encoding));
  out.set("delimiter", reading.delimiter ? json::Value(reading::name_of(*reading.delimiter)) : json::Value());
  out.set("decimal", reading::name_of(reading.decimal));
  out.set("date_order", reading.date_order ? json::Value(reading::name_of(*reading.date_order)) : json::Value());
  out.set("zone", zone.name());
  if (reading.offset_minutes) out.set("offset_minutes", static_cast<int>(*reading.offset_minutes));
  out.set("header_line", reading.header_line ? json::Value(*reading.header_line) : json::Value());
  out.set("profile", text(choices.profile));
  if (choices.start) out.set("start", clean(*choices.start));
  if (!series.pressure_name.empty()) {
    out.set("pressure", series.pressure_sense == reading::Sense::gauge      ? "gauge"
                        : series.pressure_sense == reading::Sense::absolute ? "absolute"
                                                                            : "unknown");
  }
  json::List units;
  for (const reading::ChannelColumn& column : reading.channels) {
    if (column.unit_text.empty() || units.size() >= told_metadata) continue;
    units.push_back(json::Value::object().set("channel", clean(column.name)).set("unit", clean(column.unit_text)));
  }
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

json::Value number_or_null(const std::optional<double>& value) { return value ? json::Value(*value) : json::Value(); }
json::Value time_or_null(const std::optional<DateTime>& value) {
  return value ? json::Value(format_date_time(*value)) : json::Value();
}

json::Value cycle_json(const Cycle& cycle) {
  json::Value out = json::Value::object();
  out.set("load", cycle.load ? json::Value(*cycle.load) : json::Value());
  out.set("method", cycle.method);
  for (const json::Member& member : cycle.judged.members()) out.set(member.name, member.value);
  out.set("verdict", cycle.verdict);
  json::List findings;
  for (const Finding& finding : cycle.findings) {
    findings.push_back(json::Value::object()
                           .set("what", finding.what)
                           .set("limit", finding.limit)
                           .set("found", finding.found)
                           .set("says", judging::sentence(finding)));
  }
  out.set("findings", std::move(findings));
  json::List checks;
  for (const Check& check : cycle.checks) {
    checks.push_back(json::Value::object()
                         .set("what", check.what)
                         .set("limit", check.limit)
                         .set("found", check.found)
                         .set("margin", check.margin));
  }
  out.set("checks", std::move(checks));
  out.set("sop", cycle.sop_seq == 0 ? json::Value() : json::Value(cycle.sop_seq));
  out.set("set_temperature_c", number_or_null(cycle.set_temperature_c));
  out.set("hold_interpolated_minutes", number_or_null(cycle.hold_interpolated_min));
  out.set("f0_reference_c", number_or_null(cycle.f0_reference_c));
  out.set("clock_offset_s", number_or_null(cycle.clock_offset_s));
  out.set("accuracy_band", cycle.band);
  return out;
}

}  // namespace

std::optional<std::string> unknown_choice(const Choices& choices) {
  const Understood understood = understand(choices, Zone::utc());
  if (understood.unknown.empty()) return std::nullopt;
  return understood.unknown.front();
}

Import read_and_judge(std::span<const std::uint8_t> bytes, const Choices& choices, const Surroundings& around) {
  Import out;
  out.file = crypto::sha256(bytes);
  out.bytes = static_cast<std::int64_t>(bytes.size());
  Understood understood = understand(choices, around.zone);
  const Zone& zone = understood.options.time.zone;
  reading::Reading reading = reading::read(bytes, understood.options);
  judging::Series series = judging::make_series(
      reading,
      {.pressure = understood.pressure, .altitude_m = around.altitude_m, .error_k = around.error_k.value_or(0)});
  out.reading = reading_of(reading, series, choices, zone);
  out.channels = channels_of(reading);
  out.rows = reading.rows_seen;
  out.readings = reading.readings;
  out.marks = reading.marks;
  out.refused = std::move(reading.refused);
  out.asks = std::move(reading.asks);
  out.asks.insert(out.asks.end(), series.asks.begin(), series.asks.end());
  out.interval_s = series.interval_s;
  for (auto* notes : {&understood.unknown, &reading.notes, &series.notes}) {
    out.notes.insert(out.notes.end(), notes->begin(), notes->end());
  }
  if (reading.faults > 0)
    out.notes.push_back(say("importer.note.fault-values", {{"count", std::to_string(reading.faults)}}));
  if (!reading.dated && !reading.rows.empty() && out.asks.empty()) out.notes.push_back(say("importer.note.no-date"));
  if (reading.dated && !reading.rows.empty()) {
    std::optional<Instant> first;
    std::optional<Instant> last;
    for (const reading::ReadRow& row : reading.rows) {
      if (!row.at) continue;
      first = std::min(first.value_or(*row.at), *row.at);
      last = std::max(last.value_or(*row.at), *row.at);
    }
    if (first) out.from = zone.local(*first);
    if (last) out.until = zone.local(*last);
  }
  if (out.asks.empty()) {
    const auto stretches = judging::find_cycles(series);
    for (const judging::Stretch& stretch : stretches) {
      const KnownLoad* load = judging::place(series, stretch, stretches.size(), around);
      out.cycles.push_back(judging::judge(series, stretch, load, around));
    }
    if (stretches.empty() && !series.samples.empty()) out.notes.push_back(say("importer.note.no-cycle"));
  }
  out.temperatures = std::move(series.temperatures);
  out.in_load = std::move(series.in_load);
  out.pressure = clean(series.pressure_name);
  out.samples = std::move(series.samples);
  return out;
}

json::Value to_json(const Import& import, bool repeated) {
  json::Value out = json::Value::object();
  json::List asks;
  for (const Ask& ask : import.asks) {
    asks.push_back(json::Value::object().set("what", ask.what).set("choices", ask.choices).set("option", ask.option));
  }
  out.set("asks", std::move(asks));
  out.set("file", hex(import.file)).set("bytes", import.bytes).set("repeated", repeated).set("reading", import.reading);
  out.set("rows", import.rows).set("readings", import.readings).set("marks", import.marks);
  json::List refused;
  for (const RefusedRow& row : import.refused) {
    refused.push_back(json::Value::object().set("line", row.line).set("text", row.text).set("why", row.why));
  }
  out.set("refused", std::move(refused));
  json::List channels;
  for (const Channel& channel : import.channels) {
    channels.push_back(json::Value::object()
                           .set("name", channel.name)
                           .set("quantity", channel.quantity)
                           .set("unit", channel.unit.empty() ? json::Value() : json::Value(channel.unit))
                           .set("min", number_or_null(channel.min))
                           .set("max", number_or_null(channel.max))
                           .set("missing", channel.missing));
  }
  out.set("channels", std::move(channels));
  out.set("from", time_or_null(import.from)).set("until", time_or_null(import.until));
  out.set("interval_s", number_or_null(import.interval_s));
  json::List cycles;
  for (const Cycle& cycle : import.cycles) cycles.push_back(cycle_json(cycle));
  out.set("cycles", std::move(cycles));
  json::List notes;
  for (const std::string& note : import.notes) notes.push_back(note);
  out.set("notes", std::move(notes));
  return out;
}

std::string sentence(const Finding& finding) { return judging::sentence(finding); }

}  // namespace trayproof::importer
