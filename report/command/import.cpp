#include <algorithm>
#include <cmath>

#include "importer/curve_profile.h"
#include "importer/evidence.h"
#include "importer/twins.h"
#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/base/number.h"
#include "ledger/base/utf8.h"
#include "ledger/words/words.h"
#include "report/cautions/cautions.h"
#include "report/command/import_verbs.h"
#include "report/command/verbs.h"
#include "report/picture/draw.h"
#include "report/picture/of_cycle.h"
#include "report/picture/terminal.h"

namespace trayproof::command {
namespace {

using importer::Import;
using json::Value;

struct Asked {
  importer::Choices choices;
  std::optional<std::string> misuse;
};

Asked choices_of(const ImportCurveOptions& options) {
  Asked asked;
  asked.choices = {.encoding = options.encoding,
                   .delimiter = options.delimiter,
                   .decimal = options.decimal,
                   .date_order = options.date_order,
                   .zone = options.zone,
                   .start = options.start,
                   .pressure = options.pressure,
                   .units = {},
                   .profile = {}};
  for (const std::string& word : options.units) {
    const std::size_t equals = word.rfind('=');
    if (equals == std::string::npos || equals == 0) {
      asked.misuse = say("command.unit-form", {{"found", word}});
      return asked;
    }
    asked.choices.units.emplace_back(word.substr(0, equals), word.substr(equals + 1));
  }
  asked.misuse = importer::unknown_choice(asked.choices);
  return asked;
}

std::string number(const Value* value, int decimals) {
  return value != nullptr && value->is_number() ? rounded(value->number(), decimals) : say("command.none");
}

void print_asks(const Context& context, const Import& import) {
  for (const importer::Ask& ask : import.asks) {
    context.line(say("command.asks", {{"what", say("command.ask-" + ask.what)}, {"option", ask.option}}));
    for (const Value& choice : ask.choices) {
      std::string shown;
      for (const json::Member& member : choice.members()) {
        if (member.name == "value") continue;
        shown +=
            (shown.empty() ? "" : ", ") + (member.value.is_text() ? member.value.text() : json::plain(member.value));
      }
      const Value* value = choice.find("value");
      context.line(
          say("command.ask-choice", {{"option", ask.option},
                                     {"value", value != nullptr && value->is_text() ? value->text() : std::string()},
                                     {"shown", shown}}));
    }
  }
}

void print_cycle(const Context& context, const importer::Cycle& cycle, const Zone& zone) {
  const Value* hold = cycle.judged.find("hold");
  const Value* minutes = hold == nullptr ? nullptr : hold->find("minutes");
  const Value* temperature = cycle.judged.find("temperature_c");
  const auto inside = [&](const Value* object, std::string_view name) {
    return number(object == nullptr ? nullptr : object->find(name), 2);
  };
  context.line(
      say("command.cycle", {{"from", cycle.from ? format_date_time(zone.local(*cycle.from)) : say("command.none")},
                            {"load", cycle.load.value_or(say("command.unplaced"))},
                            {"method", cycle.method},
                            {"verdict", cycle.verdict}}));
  context.line(
      say("command.cycle-hold",
          {{"minutes", number(minutes, 2)}, {"min", inside(temperature, "min")}, {"max", inside(temperature, "max")}}));
  std::string phases;
  for (const Value& one : cycle.phases.items()) {
    phases += phases.empty() ? "    " : ", ";
    phases += say("curves.phase", {{"what", say("curves.phase-" + std::string(one.text_at("what").value_or("")))},
                                   {"minutes", number(one.find("minutes"), 1)}});
  }
  if (cycle.pulses > 0) phases += say("curves.pulses", {{"count", count_text(cycle.pulses)}});
  if (!phases.empty()) context.line(phases);
  for (const importer::Finding& one : cycle.findings) context.line("    - " + importer::sentence(one));
  if (cycle.clock_offset_s && std::abs(*cycle.clock_offset_s) >= 60)
    context.line("  " + say("curves.clock-off", {{"ahead", clock_ahead(*cycle.clock_offset_s)}}));
}

void print_import(const Context& context, const std::string& file, const Import& import,
                  const importer::Choices& choices, bool repeated, const Zone& zone) {
  const auto text = [&](std::string_view name) {
    const auto found = import.reading.text_at(name);
    return found ? std::string(*found) : say("command.none");
  };
  context.line(say("command.read-file", {{"file", file},
                                         {"rows", count_text(import.rows)},
                                         {"readings", count_text(import.readings)},
                                         {"marks", count_text(import.marks)},
                                         {"refused", std::to_string(import.refused.size())}}));
  context.line(say("command.read-how", {{"encoding", text("encoding")},
                                        {"delimiter", text("delimiter")},
                                        {"decimal", text("decimal")},
                                        {"order", text("date_order")},
                                        {"zone", text("zone")}}));
  if (choices.profile)
    context.line(say("profile.used", {{"name", *choices.profile}, {"what", importer::told(choices)}}));
  for (const importer::Channel& channel : import.channels) {
    context.line(say("command.channel", {{"name", channel.name},
                                         {"quantity", channel.quantity},
                                         {"unit", channel.unit.empty() ? say("command.none") : channel.unit},
                                         {"min", channel.min ? rounded(*channel.min, 2) : say("command.none")},
                                         {"max", channel.max ? rounded(*channel.max, 2) : say("command.none")},
                                         {"missing", count_text(channel.missing)}}));
  }
  std::size_t shown = 0;
  for (const importer::RefusedRow& row : import.refused) {
    if (++shown > 20) {
      context.line(say("command.more-rows", {{"count", std::to_string(import.refused.size() - 20)}}));
      break;
    }
    context.line(say("command.refused-row",
                     {{"line", count_text(row.line)}, {"why", row.why}, {"text", shortened(row.text, 80)}}));
  }
  for (const std::string& note : import.notes) context.line("  " + note);
  for (const importer::Cycle& cycle : import.cycles) print_cycle(context, cycle, zone);
  std::vector<std::string> methods;
  for (const importer::Cycle& cycle : import.cycles) methods.push_back(cycle.method);
  if (!methods.empty()) {
    for (const std::string& caution : cautions_for(methods)) context.line("  " + caution);
  }
  if (repeated) context.line(say("command.import-repeated"));
}

// In a terminal each cycle is sketched; --plot writes the drawing itself.
Result<void> show_curves(const Context& context, const std::vector<picture::Curve>& curves,
                         const std::optional<std::string>& plot) {
  if (context.terminal_columns > 0 && !context.json && !context.quiet) {
    for (const picture::Curve& curve : curves) {
      context.line("  " + curve.title);
      for (const std::string& line : picture::sketch(curve, std::min(context.terminal_columns, 100)))
        context.line(line);
    }
  }
  if (!plot) return {};
  TRY(write_new_file(*plot, as_bytes(picture::svg_file(curves)), FileMode::shared));
  context.tell(say("command.plot-written", {{"file", *plot}, {"count", std::to_string(curves.size())}}));
  return {};
}

// The whole way of one file. `document` is what --json prints of it.
Result<Status> import_one(const Context& context, Ledger& ledger, const std::string& file,
                          const ImportCurveOptions& options, const importer::Choices& choices, Value& document) {
  TRY_LET(const auto bytes, read_file(file, limits::logger_file_bytes));
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  TRY_LET(const auto editions, ledger.editions());
  const importer::Source source{
      .equipment = options.equipment.value_or(""), .logger = options.logger, .load = options.load};
  TRY_LET(const auto around, importer::surroundings(ledger, tables, editions, source));
  Import import = importer::read_and_judge(bytes, choices, around);
  // Without a date there is no event to write; a dry run may still tell what the file holds.
  const bool empty = import.readings + import.marks == 0;
  if (import.asks.empty() && !empty && !import.from && !options.dry_run)
    import.asks.push_back({.what = "start", .choices = {}, .option = "--start"});
  TRY_LET(const bool repeated, importer::is_repeated(tables, import.file));
  if (!repeated) TRY(importer::find_twins(ledger, tables, editions, source, import));
  document = importer::to_json(import, repeated);
  if (!context.json) print_import(context, file, import, choices, repeated, tables.zone());
  if (!import.asks.empty()) {
    if (!context.json) print_asks(context, import);
    return Status::refused;
  }
  if (empty) {
    context.err << say("command.import-empty", {{"file", file}}) << '\n';
    return Status::refused;
  }
  if (options.plot || context.terminal_columns > 0)
    TRY(show_curves(context, picture::of_import(import, editions, tables.zone()), options.plot));
  if (repeated || options.dry_run) return Status::done;
  TRY_LET(const auto kept, importer::keep(ledger, tables, import, bytes, source));
  for (const events::Refusal& one : kept.refusals) {
    context.err << say("command.refused-field", {{"field", one.field}, {"why", one.why}}) << '\n';
  }
  if (!kept.refusals.empty()) return Status::refused;
  if (kept.repeated) {
    document = importer::to_json(import, true);
    if (!context.json) context.line(say("command.import-repeated"));
    return Status::done;
  }
  if (!context.json) {
    context.line(say("command.import-kept", {{"file", hex(import.file)},
                                             {"curves", count_text(kept.curves)},
                                             {"first", count_text(kept.first)},
                                             {"last", count_text(kept.last)}}));
  }
  return Status::done;
}

}  // namespace

Status import_curve(const Context& context, const ImportCurveOptions& options) {
  const Asked asked = choices_of(options);
  if (asked.misuse) return context.misused(*asked.misuse);
  if (!options.equipment && !options.dry_run) return context.misused(say("command.import-equipment"));
  if (options.plot && options.files.size() > 1) return context.misused(say("command.plot-one"));
  // Asked before the work, so that nothing is taken when the drawing cannot be written.
  if (options.plot && file_exists(*options.plot))
    return context.fail(Error(ErrorCode::invalid, say("command.file-exists", {{"file", *options.plot}})));
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  importer::Choices choices = asked.choices;
  if (options.profile) {
    auto with = importer::with_curve_profile(ledger.value().path(), *options.profile, std::move(choices));
    if (!with.ok()) return context.fail(with.error());
    choices = std::move(with).value();
  }
  Status worst = Status::done;
  Value documents = Value::list();
  json::List settled;  // readings without an open question
  for (const std::string& file : options.files) {
    Value document;
    auto done = import_one(context, ledger.value(), file, options, choices, document);
    const Status status = done.ok() ? done.value() : context.fail(Error(done.error()).during(file));
    worst = static_cast<int>(status) > static_cast<int>(worst) ? status : worst;
    if (status == Status::done && !document.is_null()) settled.push_back(*document.find("reading"));
    if (!document.is_null()) documents.push(std::move(document));
  }
  // One document; several files give JSON lines, one a file.
  if (context.json) {
    for (const Value& document : documents.items()) context.print(document);
  }
  if (options.save_profile && !settled.empty()) {
    const auto saved = importer::save_curve_profile(ledger.value().path(), *options.save_profile, choices, settled);
    if (!saved.ok()) return context.fail(saved.error());
    const std::string file = importer::curve_profile_file(ledger.value().path(), *options.save_profile);
    if (!context.json) context.line(say("profile.curve-saved", {{"name", *options.save_profile}, {"file", file}}));
  }
  return worst;
}

}  // namespace trayproof::command
