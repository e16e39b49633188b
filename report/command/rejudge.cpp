// `import rejudge` and `import waiting`: curves that are in the ledger, looked at once more.
#include "importer/rejudge.h"

#include <algorithm>
#include <cmath>

#include "ledger/base/number.h"
#include "ledger/words/words.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using importer::Rejudged;
using importer::Rejudgement;
using json::Value;

constexpr std::size_t shown_curves = 40;

Value number_or_null(const std::optional<double>& value) { return value ? Value(*value) : Value(); }

std::string margin_text(const std::optional<double>& value) {
  return value ? rounded(*value, 3) : say("command.none");
}

bool now_fails(const Rejudged& one) { return one.before == "reached" && one.after != "reached"; }

// Loads whose curve the error takes from reached, each once, in the order of their curves.
std::vector<std::string> failing_loads(const Rejudgement& all) {
  std::vector<std::string> loads;
  for (const Rejudged& one : all.curves) {
    if (one.load && now_fails(one) && std::find(loads.begin(), loads.end(), *one.load) == loads.end())
      loads.push_back(*one.load);
  }
  return loads;
}

std::string recall_line(const std::string& logger, const std::string& at) {
  return "trayproof recall --because logger-out-of-tolerance --equipment " + logger + " --at " + at;
}

Value curve_json(const Rejudged& one, const Zone& zone) {
  Value margins = Value::list();
  for (const importer::MovedMargin& margin : one.margins) {
    margins.push(Value::object()
                     .set("what", margin.what)
                     .set("limit", margin.limit)
                     .set("before", number_or_null(margin.before))
                     .set("after", number_or_null(margin.after)));
  }
  return Value::object()
      .set("curve", one.curve)
      .set("load", one.load ? Value(*one.load) : Value())
      .set("equipment", one.equipment)
      .set("from", format_date_time(zone.local(one.from)))
      .set("recorded", one.recorded.empty() ? Value() : Value(one.recorded))
      .set("before", one.before)
      .set("after", one.after)
      .set("margins", std::move(margins));
}

void print_curves(const Context& context, const Rejudgement& all, const Zone& zone) {
  std::size_t shown = 0;
  for (const Rejudged& one : all.curves) {
    if (one.before == one.after) continue;
    if (++shown > shown_curves) continue;
    context.line(say("rejudge.curve", {{"at", format_date_time(zone.local(one.from))},
                                       {"load", one.load.value_or(say("command.unplaced"))},
                                       {"equipment", one.equipment},
                                       {"before", one.before},
                                       {"after", one.after}}));
    for (const importer::MovedMargin& margin : one.margins) {
      if (margin.before == margin.after) continue;
      context.line(say("rejudge.margin", {{"what", margin.what},
                                          {"limit", rounded(margin.limit, 3)},
                                          {"before", margin_text(margin.before)},
                                          {"after", margin_text(margin.after)}}));
    }
  }
  if (shown > shown_curves)
    context.line(say("rejudge.more-curves", {{"count", std::to_string(shown - shown_curves)}}));
}

// How the smallest margin of each limit moves over all curves.
void print_margins(const Context& context, const Rejudgement& all) {
  std::vector<importer::MovedMargin> least;
  for (const Rejudged& one : all.curves) {
    for (const importer::MovedMargin& margin : one.margins) {
      auto same = std::find_if(least.begin(), least.end(),
                               [&](const importer::MovedMargin& other) { return other.what == margin.what; });
      if (same == least.end()) same = least.insert(least.end(), {margin.what, margin.limit, {}, {}});
      const auto lower = [](std::optional<double>& into, const std::optional<double>& value) {
        if (value && (!into || *value < *into)) into = value;
      };
      lower(same->before, margin.before);
      lower(same->after, margin.after);
    }
  }
  for (const importer::MovedMargin& one : least)
    context.line(say("rejudge.least-margin", {{"what", one.what},
                                              {"before", margin_text(one.before)},
                                              {"after", margin_text(one.after)}}));
}

Value document(const Rejudgement& all, const ImportRejudgeOptions& options, const importer::Kept& kept,
               const std::string& recall, const Zone& zone) {
  Value curves = Value::list();
  for (const Rejudged& one : all.curves) curves.push(curve_json(one, zone));
  Value left = Value::list();
  for (const importer::NotRejudged& one : all.left)
    left.push(Value::object().set("curve", one.curve).set("why", one.why));
  Value loads = Value::list();
  for (const std::string& load : failing_loads(all)) loads.push(load);
  const auto written = std::count_if(all.curves.begin(), all.curves.end(),
                                     [](const Rejudged& one) { return one.written_before; });
  return Value::object()
      .set("logger", options.logger)
      .set("error_k", options.error_k)
      .set("dry_run", options.dry_run)
      .set("judged", static_cast<std::int64_t>(all.curves.size()))
      .set("repeated", static_cast<std::int64_t>(written))
      .set("left", std::move(left))
      .set("failing_loads", std::move(loads))
      .set("recall", recall)
      .set("taken", kept.curves)
      .set("first", kept.first)
      .set("last", kept.last)
      .set("curves", std::move(curves));
}

void print_all(const Context& context, const Rejudgement& all, const ImportRejudgeOptions& options,
               const importer::Kept& kept, const std::string& recall, const Zone& zone) {
  const auto loads = failing_loads(all);
  context.line(say("rejudge.head", {{"logger", options.logger},
                                    {"error", rounded(options.error_k, 3)},
                                    {"curves", std::to_string(all.curves.size())},
                                    {"files", count_text(all.files)},
                                    {"loads", std::to_string(loads.size())}}));
  print_curves(context, all, zone);
  print_margins(context, all);
  for (const importer::NotRejudged& one : all.left)
    context.line(say("rejudge.left", {{"curve", count_text(one.curve)}, {"why", one.why}}));
  if (options.dry_run)
    context.line(say("rejudge.dry-run"));
  else if (kept.curves > 0)
    context.line(say("rejudge.kept", {{"count", count_text(kept.curves)},
                                      {"first", count_text(kept.first)},
                                      {"last", count_text(kept.last)}}));
  else
    context.line(say("rejudge.nothing-new"));
  if (!loads.empty()) context.line(say("rejudge.recall", {{"command", recall}}));
}

Result<Status> rejudge_all(const Context& context, Ledger& ledger, const ImportRejudgeOptions& options) {
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  TRY_LET(const auto editions, ledger.editions());
  const Zone& zone = tables.zone();
  importer::RejudgeRequest request{.logger = options.logger, .error_k = options.error_k, .from = {}, .until = {}};
  const auto moment = [&](const std::optional<std::string>& text, DateMeans means, std::optional<Instant>& into) {
    if (text) into = parse_moment(*text, zone, means);
    return !text || into.has_value();
  };
  if (!moment(options.from, DateMeans::start, request.from))
    return context.misused(say("rejudge.bad-time", {{"option", "--from"}, {"found", *options.from}}));
  if (!moment(options.to, DateMeans::end, request.until))
    return context.misused(say("rejudge.bad-time", {{"option", "--to"}, {"found", *options.to}}));
  TRY_LET(const Rejudgement all, importer::rejudge(ledger, tables, editions, request));
  if (all.curves.empty() && all.left.empty())
    return Error(ErrorCode::missing, say("rejudge.no-curves", {{"logger", options.logger}}));
  importer::Kept kept;
  if (!options.dry_run) TRY_LET(kept, importer::keep(ledger, all));
  const Instant at = request.until.value_or(ledger.clock().now());
  const std::string recall = recall_line(options.logger, format_date_time(zone.local({at.ms / second_ms * second_ms})));
  if (context.json)
    context.print(document(all, options, kept, recall, zone));
  else
    print_all(context, all, options, kept, recall, zone);
  for (const events::Refusal& one : kept.refusals)
    context.err << say("command.refused-field", {{"field", one.field}, {"why", one.why}}) << '\n';
  return kept.refusals.empty() ? Status::done : Status::refused;
}

Value waiting_json(const importer::WaitingCurve& one, const Zone& zone) {
  Value near = Value::list();
  for (const importer::NearLoad& load : one.near) {
    near.push(Value::object()
                  .set("load", load.load)
                  .set("started", format_date_time(zone.local(load.started)))
                  .set("ended", load.ended ? Value(format_date_time(zone.local(*load.ended))) : Value())
                  .set("apart_s", load.apart_s));
  }
  return Value::object()
      .set("curve", one.curve)
      .set("equipment", one.equipment)
      .set("logger", one.logger ? Value(*one.logger) : Value())
      .set("from", format_date_time(zone.local(one.from)))
      .set("until", format_date_time(zone.local(one.until)))
      .set("clock_offset_s", number_or_null(one.clock_offset_s))
      .set("near", std::move(near));
}

void print_waiting(const Context& context, const std::vector<importer::WaitingCurve>& all, const Zone& zone) {
  if (all.empty()) return context.line(say("waiting.none"));
  for (const importer::WaitingCurve& one : all) {
    context.line(say("waiting.curve", {{"curve", count_text(one.curve)},
                                       {"equipment", one.equipment},
                                       {"from", format_date_time(zone.local(one.from))},
                                       {"until", format_date_time(zone.local(one.until))}}));
    if (one.clock_offset_s && *one.clock_offset_s != 0)
      context.line(say(*one.clock_offset_s > 0 ? "waiting.clock-ahead" : "waiting.clock-behind",
                       {{"logger", one.logger.value_or(say("command.none"))},
                        {"seconds", rounded(std::abs(*one.clock_offset_s), 0)}}));
    for (const importer::NearLoad& load : one.near) {
      context.line(
          say("waiting.near",
              {{"load", load.load},
               {"started", format_date_time(zone.local(load.started))},
               {"ended", load.ended ? format_date_time(zone.local(*load.ended)) : say("waiting.no-end")},
               {"apart", load.apart_s == 0 ? say("waiting.touches")
                                           : say("waiting.apart", {{"minutes", count_text((load.apart_s + 59) / 60)}})}}));
    }
    if (one.near.empty()) context.line(say("waiting.nothing-near", {{"equipment", one.equipment}}));
  }
  context.line(say("waiting.how"));
}

}  // namespace

Status import_rejudge(const Context& context, const ImportRejudgeOptions& options) {
  if (!std::isfinite(options.error_k) || std::abs(options.error_k) > 50)
    return context.misused(say("rejudge.bad-error"));
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto done = rejudge_all(context, ledger.value(), options);
  return done.ok() ? done.value() : context.fail(done.error());
}

Status import_waiting(const Context& context) {
  auto ledger = context.open(store::Access::read);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto list = [&]() -> Result<void> {
    TRY_LET(auto tables, links::Links::open(ledger.value()));
    TRY(tables.catch_up());
    TRY_LET(const auto all, importer::waiting_curves(tables));
    if (!context.json) {
      print_waiting(context, all, tables.zone());
      return {};
    }
    Value curves = Value::list();
    for (const auto& one : all) curves.push(waiting_json(one, tables.zone()));
    context.print(Value::object().set("waiting", std::move(curves)));
    return {};
  };
  const auto done = list();
  return done.ok() ? Status::done : context.fail(done.error());
}

}  // namespace trayproof::command
