#include "importer/evidence.h"

#include <algorithm>

#include "importer/refusals.h"
#include "ledger/kept_curves.h"
#include "ledger/store/attachment_stream.h"
#include "ledger/store/small_cache.h"
#include "ledger/version.h"
#include "ledger/words/words.h"

namespace trayproof::importer {
namespace {

using json::Value;

Span span_at(const store::Statement& row, int earliest, int latest) {
  return {{row.integer(earliest)}, {row.integer(latest)}};
}

constexpr std::string_view load_columns =
    "SELECT l.load, l.method, l.start_earliest_ms, l.start_latest_ms, l.end_seq, l.end_earliest_ms, "
    "l.end_latest_ms, l.temperature_c, l.hold_min, "
    "(SELECT count(*) FROM load_packs h JOIN packs p ON p.pack = h.pack "
    " WHERE h.load = l.load AND p.wrap IS NOT 'unwrapped'), l.packs, l.packs_unknown, l.equipment "
    "FROM loads l WHERE l.start_seq IS NOT NULL ";

KnownLoad load_at(const store::Statement& rows) {
  KnownLoad load{.load = std::string(rows.text(0)),
                 .method = std::string(rows.text(1)),
                 .equipment = rows.maybe_text(12).value_or(""),
                 .started = span_at(rows, 2, 3),
                 .ended = std::nullopt,
                 .temperature_c = rows.maybe_real(7),
                 .hold_min = rows.maybe_real(8),
                 .any_wrapped = rows.integer(9) > 0 || rows.integer(10) == 0 || rows.integer(11) != 0};
  if (!rows.is_null(4)) load.ended = span_at(rows, 5, 6);
  return load;
}

Result<std::vector<KnownLoad>> known_loads(links::Links& tables, const std::string& equipment) {
  TRY_LET(auto rows,
          tables.database().prepare(std::string(load_columns) + "AND l.equipment = ? ORDER BY l.start_ms, l.load"));
  rows.bind(1, equipment);
  std::vector<KnownLoad> loads;
  while (true) {
    TRY_LET(const bool row, rows.step());
    if (!row) return loads;
    loads.push_back(load_at(rows));
  }
}

// The altitude last described, and what is registered of one piece of equipment.
Result<void> read_place(links::Links& tables, Surroundings& around, const Source& source) {
  TRY_LET(auto place, tables.database().prepare(
                          "SELECT altitude_m FROM facility_described ORDER BY at_ms DESC, origin DESC LIMIT 1"));
  TRY_LET(const bool described, place.step());
  if (described) around.altitude_m = place.maybe_real(0);
  TRY_LET(auto sort,
          tables.database().prepare(
              "SELECT sort FROM equipment_registered WHERE equipment = ? ORDER BY at_ms DESC, origin DESC LIMIT 1"));
  sort.bind(1, source.equipment);
  TRY_LET(const bool registered, sort.step());
  if (registered) around.equipment_sort = sort.text(0);
  if (!source.logger) return {};
  // A calibration tells the accuracy better than the maker's word at registration.
  TRY_LET(
      auto accuracy,
      tables.database().prepare(
          "SELECT accuracy_k FROM (SELECT accuracy_k, at_ms, origin, 1 AS better FROM equipment_checked "
          "WHERE equipment = ?1 AND \"check\" = 'calibration' AND accuracy_k IS NOT NULL "
          "UNION ALL SELECT accuracy_k, at_ms, origin, 0 FROM equipment_registered "
          "WHERE equipment = ?1 AND accuracy_k IS NOT NULL) ORDER BY better DESC, at_ms DESC, origin DESC LIMIT 1"));
  accuracy.bind(1, *source.logger);
  TRY_LET(const bool known, accuracy.step());
  if (known) around.accuracy_k = accuracy.maybe_real(0);
  return {};
}

// What the entry says of the choices made; lines of the preamble stay in the file, where they can be removed.
Value stored_reading(const Import& import) {
  Value reading = Value::object();
  for (const json::Member& member : import.reading.members()) {
    if (member.name != "metadata" && member.name != "ignored") reading.set(member.name, member.value);
  }
  reading.set("rows", import.rows).set("readings", import.readings).set("marks", import.marks);
  reading.set("refused", static_cast<std::int64_t>(import.refused.size()) + import.refused_more);
  reading.set("cycles", static_cast<std::int64_t>(import.cycles.size()));
  return reading;
}

Value event_of(std::string_view kind, const DateTime& at, const std::string& by) {
  return Value::object().set("kind", kind).set("at", format_date_time(at)).set("by", by);
}

Value measured_event(const Import& import, const Source& source, const std::string& by, std::int64_t part,
                     const DateTime& from, const DateTime& until, double interval_s,
                     std::optional<double> clock_offset_s, const std::optional<Digest>& refusals) {
  Value event = event_of("curve-measured", from, by);
  event.set("equipment", source.equipment);
  if (source.logger) event.set("logger", *source.logger);
  event.set("file", hex(import.file)).set("part", part);
  event.set("from", format_date_time(from)).set("until", format_date_time(until)).set("interval_s", interval_s);
  if (clock_offset_s) event.set("clock_offset_s", *clock_offset_s);
  event.set("reading", stored_reading(import));
  if (refusals) event.set("files", Value::list().push(hex(*refusals)));
  return event;
}

AppendOptions by_program() {
  AppendOptions options;
  options.giver = events::Giver::program;
  return options;
}

std::optional<std::string> text_of(const Value& reading, std::string_view name) {
  const auto text = reading.text_at(name);
  return text ? std::optional<std::string>(*text) : std::nullopt;
}

}  // namespace

Value judged_event(const Cycle& cycle, std::int64_t curve, const DateTime& now, const std::string& by,
                   std::optional<double> error_k) {
  Value event = event_of("curve-judged", now, by);
  event.set("curve", curve).set("sop", cycle.sop_seq).set("program", program_version()).set("method", cycle.method);
  if (error_k) event.set("error_k", *error_k);
  event.set("verdict", cycle.verdict);
  for (const json::Member& member : cycle.judged.members()) event.set(member.name, member.value);
  Value findings = Value::list();
  for (const Finding& one : cycle.findings) {
    findings.push(Value::object().set("what", one.what).set("limit", one.limit).set("found", one.found));
  }
  event.set("findings", std::move(findings));
  return event;
}

Choices choices_of(const Value& reading) {
  Choices choices;
  choices.as_kept = true;
  choices.encoding = text_of(reading, "encoding");
  choices.delimiter = text_of(reading, "delimiter");
  choices.decimal = text_of(reading, "decimal");
  choices.date_order = text_of(reading, "date_order");
  // A zone said by a person holds before the file's own offset: where the file told one, nobody said a zone.
  if (!reading.number_at("offset_minutes")) choices.zone = text_of(reading, "zone");
  choices.start = text_of(reading, "start");
  const auto pressure = text_of(reading, "pressure");
  if (pressure == "gauge" || pressure == "absolute") choices.pressure = pressure;
  if (const Value* units = reading.find("units"); units != nullptr && units->is_list()) {
    for (const Value& one : units->items()) {
      const auto channel = text_of(one, "channel");
      const auto unit = text_of(one, "unit");
      if (channel && unit) choices.units.emplace_back(*channel, *unit);
    }
  }
  return choices;
}

Result<Surroundings> surroundings(const Ledger&, links::Links& tables, const sop::Editions& editions,
                                  const Source& source) {
  Surroundings around;
  around.zone = tables.zone();
  around.editions = &editions;
  around.load = source.load;
  around.equipment = source.equipment;
  TRY(read_place(tables, around, source));
  TRY_LET(around.loads, known_loads(tables, source.equipment));
  const auto is_named = [&](const KnownLoad& one) { return one.load == source.load; };
  if (source.load && !source.equipment.empty() && std::none_of(around.loads.begin(), around.loads.end(), is_named)) {
    return Error(ErrorCode::missing,
                 say("importer.no-such-load", {{"load", *source.load}, {"equipment", source.equipment}}));
  }
  return around;
}

Result<std::optional<KnownLoad>> known_load(links::Links& tables, const std::string& load) {
  TRY_LET(auto rows, tables.database().prepare(std::string(load_columns) + "AND l.load = ?"));
  rows.bind(1, load);
  TRY_LET(const bool there, rows.step());
  return there ? std::optional(load_at(rows)) : std::nullopt;
}

namespace {

// How far an export is taken in.
struct Recorded {
  bool any = false;
  std::int64_t parts = 0;
  std::int64_t cycles = 0;  // that it had when it was read
};

Result<Recorded> recorded_of(links::Links& tables, const Digest& file) {
  Recorded out;
  TRY_LET(auto rows, tables.database().prepare(
                         "SELECT part, reading FROM curve_measured WHERE file = ? ORDER BY part DESC LIMIT 1"));
  rows.bind(1, hex(file));
  TRY_LET(out.any, rows.step());
  if (!out.any) return out;
  out.parts = rows.integer(0);
  const auto reading = json::parse(rows.text(1));
  const auto cycles = reading.ok() ? reading.value().number_at("cycles") : std::nullopt;
  out.cycles = cycles ? static_cast<std::int64_t>(*cycles) : out.parts;
  return out;
}

// Begun, cut short, and read today as it was then.
bool is_to_be_continued(const Recorded& recorded, const Import& import) {
  return recorded.any && recorded.parts < recorded.cycles &&
         recorded.cycles == static_cast<std::int64_t>(import.cycles.size());
}

}  // namespace

Result<bool> is_repeated(links::Links& tables, const Import& import) {
  TRY_LET(const Recorded recorded, recorded_of(tables, import.file));
  return recorded.any && !is_to_be_continued(recorded, import);
}

Result<std::vector<KeptPart>> kept_parts(links::Links& tables, const Digest& file) {
  TRY_LET(auto rows,
          tables.database().prepare("SELECT c.curve, m.part, c.equipment, c.load FROM curves c JOIN curve_measured m "
                                    "ON m.origin = c.curve WHERE m.file = ? ORDER BY m.part, c.curve"));
  rows.bind(1, hex(file));
  std::vector<KeptPart> out;
  while (true) {
    TRY_LET(const bool row, rows.step());
    if (!row) return out;
    out.push_back({.curve = rows.integer(0),
                   .part = rows.integer(1),
                   .equipment = std::string(rows.text(2)),
                   .load = rows.maybe_text(3)});
  }
}

Result<std::string> take_kept_places(links::Links& tables, Import& import, const std::string& equipment) {
  TRY_LET(const auto kept, kept_parts(tables, import.file));
  for (std::size_t i = 0; i < import.cycles.size(); ++i) {
    const auto part = std::find_if(kept.begin(), kept.end(),
                                   [&](const KeptPart& one) { return one.part == static_cast<std::int64_t>(i + 1); });
    import.cycles[i].load = part == kept.end() ? std::nullopt : part->load;
  }
  if (kept.empty() || equipment.empty() || kept.front().equipment == equipment) return std::string();
  return say(
      "command.import-kept-elsewhere",
      {{"equipment", kept.front().equipment}, {"given", equipment}, {"curve", std::to_string(kept.front().curve)}});
}

namespace {

// Among the entries after `known_at`.
Result<bool> was_measured_since(const Ledger& ledger, std::int64_t known_at, const Digest& file) {
  TRY_LET(const auto head, ledger.head());
  bool found = false;
  const std::string name = "\"file\":\"" + hex(file) + "\"";
  TRY(ledger.scan(known_at + 1, head.seq, [&](const store::EntryView& entry) -> Result<void> {
    found = found || (entry.bytes.find(name) != std::string_view::npos &&
                      entry.bytes.find("\"kind\":\"curve-measured\"") != std::string_view::npos);
    return {};
  }));
  return found;
}

constexpr std::int64_t long_export = std::int64_t{8} << 20;
constexpr std::size_t cycles_at_once = 100;  // in one append: the events of thousands would fill the memory

// Of the cycles from `first` on, `cycles_at_once` of them. `refusals` is the list of refused rows, where there is one.
std::vector<GivenEvent> events_of(const Import& import, std::size_t first, const Source& source,
                                  const std::optional<Digest>& refusals, const std::string& by, const DateTime& now,
                                  const Zone& zone, std::int64_t seq) {
  std::vector<GivenEvent> events;
  if (import.cycles.empty()) {
    events.push_back({0, measured_event(import, source, by, 0, *import.from, *import.until,
                                        import.interval_s.value_or(0), std::nullopt, refusals)});
    return events;
  }
  const std::size_t end = std::min(first + cycles_at_once, import.cycles.size());
  for (std::size_t i = first; i < end; ++i) {
    const Cycle& cycle = import.cycles[i];
    const std::int64_t curve = seq + static_cast<std::int64_t>(events.size());
    CHECK(cycle.from && cycle.until);
    events.push_back({0, measured_event(import, source, by, static_cast<std::int64_t>(i + 1), zone.local(*cycle.from),
                                        zone.local(*cycle.until), cycle.interval_s, cycle.clock_offset_s, refusals)});
    Value placed = event_of("curve-placed", now, by);
    placed.set("curve", curve).set("load", cycle.load ? Value(*cycle.load) : Value());
    events.push_back({0, std::move(placed)});
    if (cycle.sop_seq != 0) events.push_back({0, judged_event(cycle, curve, now, by, {})});
  }
  return events;
}

// Part by part as curve-measured counts them.
Result<void> keep_curves(Ledger& ledger, const Import& import, const CodedCurves& curves) {
  if (curves.size() == 0) return {};
  return ledger.in_one_step([&]() -> Result<void> {
    for (std::size_t i = 0; i < curves.size(); ++i) {
      TRY_LET(auto one, curves.at(i));
      TRY(keep_curve(ledger, import.file, static_cast<std::int64_t>(i + 1), std::move(one.bytes),
                     std::move(one.sketch)));
    }
    return {};
  });
}

// The export whole, and the list of its refused rows, whose hash is returned where there is one.
Result<std::optional<Digest>> attach(Ledger& ledger, const Import& import, reading::Source& bytes,
                                     const std::function<void(std::int64_t bytes)>& progress) {
  TRY(ledger.may_write());
  TRY(bytes.rewind());
  store::AttachmentMaker maker(ledger.path());
  std::int64_t done = 0;
  while (true) {
    TRY_LET(const ByteView part, bytes.next(std::size_t{1} << 18));
    if (part.empty()) break;
    TRY(maker.feed(part));
    done += static_cast<std::int64_t>(part.size());
    if (progress) progress(done);
  }
  TRY_LET(const auto made, maker.done());
  if (made.sha256 != import.file) return Error(ErrorCode::conflict, say("importer.file-changed"));
  // A file that was attached before its events were written is no fault.
  TRY_LET(const bool fresh, store::put_attachment(ledger.file(), made));
  static_cast<void>(fresh);
  const auto refusals = refusals_file(import);
  if (!refusals) return std::optional<Digest>();
  TRY_LET(const bool listed_now, ledger.attach(as_bytes(*refusals)));
  static_cast<void>(listed_now);
  return std::optional(crypto::sha256(as_bytes(*refusals)));
}

}  // namespace

Result<Kept> keep(Ledger& ledger, links::Links& tables, const Import& import, ByteView bytes, const Source& source) {
  reading::MemorySource memory(bytes);
  CodedCurves curves(ledger.path());
  for (const judging::Coded& one : import.measured) TRY(curves.add(one));
  return keep(ledger, tables, import, memory, curves, source);
}

Result<Kept> keep(Ledger& ledger, links::Links& tables, const Import& import, reading::Source& bytes,
                  const CodedCurves& curves, const Source& source,
                  const std::function<void(std::int64_t bytes)>& progress) {
  CHECK(import.asks.empty() && import.from && import.until);
  std::optional<store::SmallCache> cache;
  if (import.bytes > long_export) cache.emplace(ledger.file().database());
  TRY_LET(const auto refusals, attach(ledger, import, bytes, progress));
  TRY(keep_curves(ledger, import, curves));
  const DateTime now = tables.zone().local(ledger.clock().now());
  TRY_LET(const Recorded recorded, recorded_of(tables, import.file));
  std::size_t next = is_to_be_continued(recorded, import) ? static_cast<std::size_t>(recorded.parts) : 0;
  Kept kept;
  do {
    Result<bool> measured = false;
    const auto plan = [&](std::int64_t seq) {
      // Others are kept out from here on, and may have taken the file in since the tables were asked.
      if (kept.last == 0) measured = was_measured_since(ledger, tables.known_at(), import.file);
      return measured.ok() && !measured.value()
                 ? events_of(import, next, source, refusals, ledger.station(), now, tables.zone(), seq)
                 : std::vector<GivenEvent>{};
    };
    auto appended = ledger.append_planned(plan, by_program());
    if (!measured.ok()) return std::move(measured).error();
    TRY_LET(const Appended done, std::move(appended));
    kept.repeated = measured.value();
    kept.refusals = done.refusals;
    if (kept.repeated || !kept.refusals.empty()) return kept;
    if (kept.first == 0) kept.first = done.first;
    kept.last = done.last;
    const std::size_t end = std::min(next + cycles_at_once, import.cycles.size());
    kept.curves += static_cast<std::int64_t>(end - next);
    next = end;
  } while (next < import.cycles.size());
  return kept;
}

}  // namespace trayproof::importer
