#include <algorithm>
#include <cmath>
#include <memory>

#include "importer/curve_profile.h"
#include "importer/document.h"
#include "importer/evidence.h"
#include "importer/limits.h"
#include "importer/reading/file_source.h"
#include "importer/twins.h"
#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/asking/new_file.h"
#include "report/cautions/cautions.h"
#include "report/command/curve_drawings.h"
#include "report/command/foreign.h"
#include "report/command/import_verbs.h"
#include "report/command/progress.h"
#include "report/command/verbs.h"

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
  return value != nullptr && value->is_number() ? number_here(value->number(), decimals) : say("command.none");
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
      context.line(say("command.ask-choice",
                       {{"option", ask.option},
                        {"value", for_terminal(value != nullptr && value->is_text() ? value->text() : std::string())},
                        {"shown", for_terminal(shown)}}));
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
      say("command.cycle", {{"from", cycle.from ? time_here(zone.local(*cycle.from)) : say("command.cycle-no-date")},
                            {"load", cycle.load.value_or(say("command.cycle-unplaced"))},
                            {"method", cycle.method},
                            {"verdict", cycle.verdict}}));
  context.line(
      say(minutes == nullptr ? "command.cycle-no-hold" : "command.cycle-hold",
          {{"minutes", number(minutes, 2)}, {"min", inside(temperature, "min")}, {"max", inside(temperature, "max")}}));
  std::string phases;
  for (const auto& one : cycle.phases) {
    phases += phases.empty() ? "    " : ", ";
    phases += say("curves.phase",
                  {{"what", say("curves.phase-" + std::string(one.what))}, {"minutes", number_here(one.minutes, 1)}});
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
  context.line(say("command.read-file",
                   {{"file", file},
                    {"rows", count_text(import.rows)},
                    {"readings", count_text(import.readings)},
                    {"marks", count_text(import.marks)},
                    {"refused", count_text(static_cast<std::int64_t>(import.refused.size()) + import.refused_more)}}));
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
                                         {"min", channel.min ? number_here(*channel.min, 2) : say("command.none")},
                                         {"max", channel.max ? number_here(*channel.max, 2) : say("command.none")},
                                         {"missing", count_text(channel.missing)}}));
  }
  print_refused_rows(context, import.refused, static_cast<std::int64_t>(import.refused.size()) + import.refused_more);
  for (const std::string& note : import.notes) context.line("  " + for_terminal(note));
  for (const importer::Cycle& cycle : import.cycles) print_cycle(context, cycle, zone);
  if (import.saturation_unchecked_k)
    context.line("  " + importer::saturation_unchecked(*import.saturation_unchecked_k));
  std::vector<std::string> methods;
  for (const importer::Cycle& cycle : import.cycles) methods.push_back(cycle.method);
  if (!methods.empty()) {
    for (const std::string& caution : cautions_for(methods)) context.line("  " + caution);
  }
  if (repeated) context.line(say("command.import-repeated"));
}

// What can be read twice goes piece by piece; what comes through a pipe must lie in memory.
struct Opened {
  Bytes bytes;
  std::unique_ptr<reading::Source> source;
};

Result<Opened> open_export(const std::string& path) {
  Opened out;
  if (path != "-") {
    TRY_LET(auto file, reading::FileSource::open(path));
    const auto bytes = file.bytes();
    if (bytes && *bytes > importer::export_bytes_most) {
      const std::string most = count_text(importer::export_bytes_most >> 30) + " GiB";
      return Error(ErrorCode::invalid,
                   say("command.export-too-large", {{"bytes", count_text(*bytes)}, {"most", most}}));
    }
    if (bytes) {
      out.source = std::make_unique<reading::FileSource>(std::move(file));
      return out;
    }
  }
  TRY_LET(out.bytes, read_file(path, limits::logger_file_bytes));
  out.source = std::make_unique<reading::MemorySource>(out.bytes);
  return out;
}

constexpr std::int64_t watched_bytes = std::int64_t{8} << 20;  // of which reading takes long enough to be watched
constexpr std::int64_t watched_cycles = 100;

// One file on its way: read and judged, looked at beside the kept curves, told, kept.
class OneFile {
 public:
  OneFile(const Context& context, Ledger& ledger, const std::string& file, const ImportCurveOptions& options,
          const importer::Choices& choices)
      : context_(context), ledger_(ledger), file_(file), options_(options), choices_(choices), curves_(ledger.path()) {}

  Result<Status> take() {
    TRY_LET(const Opened opened, open_export(file_));
    TRY_LET(auto tables, links::Links::open(ledger_));
    TRY(tables.catch_up());
    TRY_LET(const auto editions, ledger_.editions());
    const importer::Source source{
        .equipment = options_.equipment.value_or(""), .logger = options_.logger, .load = options_.load};
    TRY_LET(const auto around, importer::surroundings(ledger_, tables, editions, source));
    using For = CurveDrawings::For;
    CurveDrawings drawings(options_.plot                   ? For::plot
                           : context_.terminal_columns > 0 ? For::terminal
                                                           : For::nothing,
                           editions, tables.zone());
    TRY(read(*opened.source, around, drawings));
    // Without a date there is no event to write; a dry run may still tell what the file holds.
    const bool empty = import_.readings + import_.marks == 0;
    if (import_.asks.empty() && !empty && !import_.from && !options_.dry_run)
      import_.asks.push_back({.what = "start", .choices = {}, .option = "--start"});
    TRY_LET(repeated_, importer::is_repeated(tables, import_));
    if (repeated_) {
      TRY_LET(kept_elsewhere_, importer::take_kept_places(tables, import_, source.equipment));
      if (context_.json && !kept_elsewhere_.empty()) import_.notes.push_back(kept_elsewhere_);
    }
    if (!repeated_) TRY(compare(tables, editions, source));
    looked_through_ = true;
    if (!context_.json) print_import(context_, file_, import_, choices_, repeated_, tables.zone());
    if (!import_.asks.empty()) {
      if (!context_.json) print_asks(context_, import_);
      return Status::refused;
    }
    if (empty) {
      context_.err << say("command.import-empty", {{"file", file_}}) << '\n';
      return Status::refused;
    }
    TRY(drawings.finish(import_, *opened.source, choices_, around));
    TRY(drawings.show(context_, options_.plot));
    if (!kept_elsewhere_.empty()) {
      context_.err << kept_elsewhere_ << '\n';
      return Status::refused;
    }
    if (repeated_ || options_.dry_run) return Status::done;
    return keep(tables, *opened.source, source);
  }

  // What --json prints, also where the file could not be kept. Nothing of a file that was not looked through.
  void print_document() const {
    if (!looked_through_) return;
    importer::write_json(import_, repeated_, [&](std::string_view text) { context_.out << text; });
    context_.out << '\n';
  }
  const Value& reading() const { return import_.reading; }

 private:
  Result<void> read(reading::Source& source, const importer::Surroundings& around, CurveDrawings& drawings) {
    Progress progress(context_, say("command.reading-file", {{"file", file_}}), watched_bytes);
    const std::int64_t whole = source.bytes().value_or(0);
    const importer::Listener listener{
        .begin = [&] { drawings.begin(); },
        .cycle = [&](const auto& series, const auto&, const auto& cycle) { drawings.cycle(series, cycle); },
        .progress = [&](std::int64_t bytes) { progress.show(bytes, whole); }};
    TRY_LET(import_, importer::read_and_judge(source, choices_, around, listener, curves_));
    return {};
  }

  Result<void> compare(links::Links& tables, const sop::Editions& editions, const importer::Source& source) {
    Progress progress(context_, say("command.comparing-curves", {{"file", file_}}), watched_cycles);
    return importer::find_twins(ledger_, tables, editions, source, curves_, import_, [&](std::size_t done) {
      progress.show(static_cast<std::int64_t>(done), static_cast<std::int64_t>(import_.cycles.size()));
    });
  }

  Result<Status> keep(links::Links& tables, reading::Source& bytes, const importer::Source& source) {
    Progress progress(context_, say("command.keeping-file", {{"file", file_}}), watched_bytes);
    TRY_LET(const auto kept, importer::keep(ledger_, tables, import_, bytes, curves_, source,
                                            [&](std::int64_t done) { progress.show(done, import_.bytes); }));
    progress.clear();
    for (const events::Refusal& one : kept.refusals) {
      context_.err << say("command.refused-field", {{"field", one.field}, {"why", one.why}}) << '\n';
    }
    if (!kept.refusals.empty()) return Status::refused;
    if (kept.repeated) {
      repeated_ = true;
      if (!context_.json) context_.line(say("command.import-repeated"));
      return Status::done;
    }
    if (context_.json) return Status::done;
    context_.line(say("command.import-kept", {{"file", hex(import_.file)},
                                              {"curves", count_text(kept.curves)},
                                              {"first", count_text(kept.first)},
                                              {"last", count_text(kept.last)}}));
    if (!import_.refused.empty()) context_.line(say("command.refusals-kept", {{"curve", count_text(kept.first)}}));
    return Status::done;
  }

  const Context& context_;
  Ledger& ledger_;
  const std::string& file_;
  const ImportCurveOptions& options_;
  const importer::Choices& choices_;
  importer::CodedCurves curves_;
  Import import_;
  bool repeated_ = false;
  std::string kept_elsewhere_;  // says so; empty where it is not
  bool looked_through_ = false;
};

}  // namespace

Status import_curve(const Context& context, const ImportCurveOptions& options) {
  const Asked asked = choices_of(options);
  if (asked.misuse) return context.misused(*asked.misuse);
  if (!options.equipment && !options.dry_run) return context.misused(say("command.import-equipment"));
  if (options.plot && options.files.size() > 1) return context.misused(say("command.plot-one"));
  // Asked before the work, so that nothing is taken when the drawing cannot be written.
  if (options.plot) {
    if (const auto can = can_be_made(*options.plot); !can.ok()) return context.fail(can.error());
  }
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  importer::Choices choices = asked.choices;
  if (options.profile) {
    auto with = importer::with_curve_profile(ledger.value().path(), *options.profile, std::move(choices));
    if (!with.ok()) return context.fail(with.error());
    choices = std::move(with).value();
  }
  Status worst = Status::done;
  json::List settled;  // readings without an open question
  for (const std::string& file : options.files) {
    OneFile one(context, ledger.value(), file, options, choices);
    auto done = one.take();
    const Status status = done.ok() ? done.value() : context.fail(Error(done.error()).during(file));
    worst = static_cast<int>(status) > static_cast<int>(worst) ? status : worst;
    if (status == Status::done) settled.push_back(one.reading());
    // One document; several files give JSON lines, one a file.
    if (context.json) one.print_document();
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
