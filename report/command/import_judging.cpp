// Curves after their import: those that wait for a place, and those that are judged again.
#include <algorithm>
#include <cmath>

#include "importer/judge_again.h"
#include "importer/judging/placement.h"
#include "ledger/base/number.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/command/import_verbs.h"
#include "report/command/period.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using importer::Cycle;
using importer::JudgedAgain;
using importer::StandingCurve;
using json::Value;

constexpr std::size_t shown_most = 40;  // on paper; --json has all

template <typename Work>
Status with_ledger(const Context& context, store::Access access, const Work& work) {
  auto ledger = context.open(access);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto done = [&]() -> Result<Status> {
    TRY_LET(auto tables, links::Links::open(ledger.value()));
    TRY(tables.catch_up());
    TRY_LET(const auto editions, ledger.value().editions());
    return work(ledger.value(), tables, editions);
  }();
  return done.ok() ? done.value() : context.fail(done.error());
}

Status refused(const Context& context, const events::Refusals& refusals) {
  for (const events::Refusal& one : refusals) {
    context.err << say("command.refused-field", {{"field", one.field}, {"why", one.why}}) << '\n';
  }
  return Status::refused;
}

Value findings_json(const Cycle& cycle) {
  Value out = Value::list();
  for (const importer::Finding& one : cycle.findings) {
    out.push(Value::object()
                 .set("what", one.what)
                 .set("limit", one.limit)
                 .set("found", one.found)
                 .set("says", importer::sentence(one)));
  }
  return out;
}

Value text_or_null(const std::optional<std::string>& text) { return text ? Value(*text) : Value(); }

void print_findings(const Context& context, const Cycle& cycle) {
  for (const importer::Finding& one : cycle.findings)
    context.line(say("curves.finding", {{"says", importer::sentence(one)}}));
}

// Loads of the same equipment that a waiting curve may belong to, by how wrong the clock would have been.
struct Near {
  const importer::KnownLoad* load = nullptr;
  double offset_s = 0;
};

std::vector<Near> near_to(const judging::Measured& curve, const std::vector<importer::KnownLoad>& loads) {
  constexpr double week_s = 7 * 86400;
  constexpr std::size_t most = 3;
  std::vector<Near> out;
  for (const importer::KnownLoad& load : loads) {
    const auto offset = judging::clock_offset_s(curve.series, curve.stretch, load);
    if (offset && std::abs(*offset) <= week_s) out.push_back({&load, *offset});
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const Near& a, const Near& b) { return std::abs(a.offset_s) < std::abs(b.offset_s); });
  if (out.size() > most) out.resize(most);
  return out;
}

Result<bool> has_curve(links::Links& tables, const std::string& load) {
  TRY_LET(auto rows, tables.database().prepare("SELECT 1 FROM curves WHERE load = ? LIMIT 1"));
  rows.bind(1, load);
  return rows.step();
}

struct Counts {
  std::int64_t reached = 0;
  std::int64_t not_reached = 0;
  std::int64_t cannot_tell = 0;
};

void count(Counts& counts, std::string_view verdict) {
  if (verdict == "reached") ++counts.reached;
  if (verdict == "not-reached") ++counts.not_reached;
  if (verdict == "cannot-tell") ++counts.cannot_tell;
}

// What changed, sorted by what must be done about it.
struct Changes {
  std::vector<const JudgedAgain*> fails;       // reached once, not now
  std::vector<const JudgedAgain*> unsure;      // reached before, cannot be told now
  std::vector<const JudgedAgain*> mends;       // reached now, not before
  std::vector<const JudgedAgain*> unreadable;  // not judged again
  Counts counts;
  std::int64_t fresh = 0;
};

Changes changes_in(const importer::Rejudgement& done) {
  Changes out;
  for (const JudgedAgain& one : done.curves) {
    if (!one.cycle) {
      out.unreadable.push_back(&one);
      continue;
    }
    count(out.counts, one.cycle->verdict);
    if (one.fresh) ++out.fresh;
    const bool was = one.curve.verdict == "reached";
    if (one.reached_before && one.cycle->verdict == "not-reached") out.fails.push_back(&one);
    if (one.reached_before && one.cycle->verdict == "cannot-tell") out.unsure.push_back(&one);
    if (!was && one.curve.verdict && one.cycle->verdict == "reached") out.mends.push_back(&one);
  }
  return out;
}

std::vector<std::string> loads_of(const std::vector<const JudgedAgain*>& curves) {
  std::vector<std::string> loads;
  for (const JudgedAgain* one : curves) {
    if (one->curve.load && std::find(loads.begin(), loads.end(), *one->curve.load) == loads.end())
      loads.push_back(*one->curve.load);
  }
  return loads;
}

// A quoted word of the shell; ids hold nothing that it would touch.
std::string quoted(const std::string& text) { return "'" + text + "'"; }

// Empty where no load is among them.
std::string recall_of(const std::vector<const JudgedAgain*>& curves, const std::string& why) {
  std::string loads;
  for (const std::string& load : loads_of(curves)) loads += (loads.empty() ? "" : ",") + load;
  if (loads.empty()) return {};
  return "trayproof recall --because chosen --loads " + loads + " --why " + quoted(why);
}

Value curve_json(const JudgedAgain& one, const Zone& zone) {
  return Value::object()
      .set("curve", one.curve.seq)
      .set("load", text_or_null(one.curve.load))
      .set("equipment", one.curve.equipment)
      .set("from", format_date_time(zone.local(one.curve.from)))
      .set("before", text_or_null(one.curve.verdict))
      .set("after", one.cycle ? Value(one.cycle->verdict) : Value())
      .set("findings", one.cycle ? findings_json(*one.cycle) : Value::list());
}

void print_changed(const Context& context, const std::vector<const JudgedAgain*>& curves, std::string_view key,
                   const Zone& zone) {
  std::size_t shown = 0;
  for (const JudgedAgain* one : curves) {
    if (++shown > shown_most) {
      context.line(say("curves.more", {{"count", std::to_string(curves.size() - shown_most)}}));
      break;
    }
    const std::string from = short_time(zone, one->curve.from);
    const std::string curve = count_text(one->curve.seq);
    if (!one->curve.load)
      context.line(say("curves.fails-waiting", {{"curve", curve}, {"from", from}}));
    else if (key == "curves.mends")
      context.line(say("curves.mends", {{"load", *one->curve.load},
                                        {"from", from},
                                        {"curve", curve},
                                        {"before", one->curve.verdict.value_or(say("curves.not-judged"))}}));
    else
      context.line(say(key, {{"load", *one->curve.load}, {"from", from}, {"curve", curve}}));
    if (key != "curves.mends") print_findings(context, *one->cycle);
  }
}

void print_rejudged(const Context& context, const ImportRejudgeOptions& options, const importer::Rejudgement& done,
                    const Changes& changes, const Zone& zone) {
  const std::string error = number_here(shortest(options.error_k));
  context.line(say("curves.rejudged", {{"count", std::to_string(done.curves.size())},
                                       {"logger", options.logger},
                                       {"error", error},
                                       {"reached", count_text(changes.counts.reached)},
                                       {"not_reached", count_text(changes.counts.not_reached)},
                                       {"cannot_tell", count_text(changes.counts.cannot_tell)}}));
  if (!changes.unreadable.empty()) {
    std::string curves;
    for (std::size_t i = 0; i < changes.unreadable.size() && i < shown_most; ++i)
      curves += (curves.empty() ? "" : ", ") + count_text(changes.unreadable[i]->curve.seq);
    if (changes.unreadable.size() > shown_most) curves += " …";
    context.line(
        say("curves.rejudged-unreadable", {{"count", std::to_string(changes.unreadable.size())}, {"curves", curves}}));
  }
  print_changed(context, changes.fails, "curves.fails", zone);
  print_changed(context, changes.unsure, "curves.fails-unsure", zone);
  print_changed(context, changes.mends, "curves.mends", zone);
  if (changes.fails.empty() && changes.unsure.empty()) context.line(say("curves.none-fails"));
  if (options.dry_run)
    context.line(say("curves.dry", {{"count", count_text(changes.fresh)}}));
  else if (changes.fresh == 0)
    context.line(say("curves.nothing-new"));
  else
    context.line(
        say("curves.written", {{"count", count_text(changes.fresh)},
                               {"first", count_text(done.kept.first)},
                               {"last", count_text(done.kept.last)},
                               {"same", count_text(static_cast<std::int64_t>(done.curves.size()) - changes.fresh -
                                                   static_cast<std::int64_t>(changes.unreadable.size()))}}));
}

std::string recall_all(const ImportRejudgeOptions& options, const DateTime& now) {
  return "trayproof recall --because logger-out-of-tolerance --equipment " + options.logger + " --at " +
         format_date_time(now);
}

}  // namespace

std::string clock_ahead(double offset_s) {
  const auto minutes = static_cast<std::int64_t>(std::llround(std::abs(offset_s) / 60));
  if (minutes == 0) return say("curves.same-clock");
  const std::string time =
      minutes < 120 ? say("curves.minutes", {{"minutes", count_text(minutes)}})
                    : say("curves.hours", {{"hours", count_text(minutes / 60)}, {"minutes", count_text(minutes % 60)}});
  return say(offset_s > 0 ? "curves.ahead" : "curves.behind", {{"time", time}});
}

Status import_place(const Context& context, const ImportPlaceOptions& options) {
  return with_ledger(
      context, store::Access::write,
      [&](Ledger& ledger, links::Links& tables, const sop::Editions& editions) -> Result<Status> {
        TRY_LET(const auto placed,
                importer::place_by_hand(ledger, tables, editions, options.curve, options.load, options.equipment));
        if (!placed.kept.refusals.empty()) return refused(context, placed.kept.refusals);
        const auto& cycle = placed.cycle;
        if (context.json) {
          const Value offset = cycle && cycle->clock_offset_s ? Value(*cycle->clock_offset_s) : Value();
          context.print(Value::object()
                            .set("curve", options.curve)
                            .set("load", options.load)
                            .set("verdict", cycle ? Value(cycle->verdict) : Value())
                            .set("findings", cycle ? findings_json(*cycle) : Value::list())
                            .set("clock_offset_s", offset)
                            .set("first", placed.kept.first)
                            .set("last", placed.kept.last));
          return Status::done;
        }
        const std::string curve = count_text(options.curve);
        if (!cycle) {
          context.line(say("curves.placed-unjudged", {{"curve", curve}, {"load", options.load}}));
          return Status::done;
        }
        context.line(say("curves.placed", {{"curve", curve}, {"load", options.load}, {"verdict", cycle->verdict}}));
        print_findings(context, *cycle);
        const double offset_s = cycle->clock_offset_s.value_or(0);
        if (offset_s != 0) context.line(say("curves.clock-off", {{"ahead", clock_ahead(offset_s)}}));
        return Status::done;
      });
}

Status import_waiting(const Context& context) {
  return with_ledger(
      context, store::Access::read,
      [&](Ledger& ledger, links::Links& tables, const sop::Editions& editions) -> Result<Status> {
        TRY_LET(const auto waiting, importer::waiting_curves(tables));
        importer::Rejudge rejudge(ledger, tables, editions, importer::Rejudge::Keep::no);
        Value list = Value::list();
        if (!context.json)
          context.line(waiting.empty() ? say("curves.none-waiting")
                                       : say("curves.waiting", {{"count", std::to_string(waiting.size())}}));
        for (const StandingCurve& curve : waiting) {
          TRY_LET(const auto measured, rejudge.measured(curve, 0));
          TRY_LET(const auto* around, rejudge.around(curve));
          const auto near = measured ? near_to(*measured, around->loads) : std::vector<Near>{};
          Value loads = Value::list();
          if (!context.json) {
            context.line(say("curves.waiting-one", {{"curve", count_text(curve.seq)},
                                                    {"from", short_time(tables.zone(), curve.from)},
                                                    {"until", short_time(tables.zone(), curve.until)},
                                                    {"equipment", curve.equipment},
                                                    {"logger", curve.logger.value_or(say("curves.no-logger"))},
                                                    {"verdict", curve.verdict.value_or(say("curves.not-judged"))}}));
            if (near.empty()) context.line(say("curves.none-near"));
          }
          for (const Near& one : near) {
            TRY_LET(const bool taken, has_curve(tables, one.load->load));
            const auto time = [&](Instant at) { return format_date_time(tables.zone().local(at)); };
            loads.push(Value::object()
                           .set("load", one.load->load)
                           .set("started", time(one.load->started.earliest))
                           .set("ended", one.load->ended ? Value(time(one.load->ended->latest)) : Value())
                           .set("clock_offset_s", one.offset_s)
                           .set("has_curve", taken));
            if (context.json) continue;
            context.line(say(
                "curves.near",
                {{"load", one.load->load},
                 {"from", short_time(tables.zone(), one.load->started.earliest)},
                 {"until", one.load->ended ? short_time(tables.zone(), one.load->ended->latest) : say("curves.no-end")},
                 {"ahead", clock_ahead(one.offset_s)},
                 {"taken", taken ? say("curves.taken") : ""}}));
          }
          list.push(Value::object()
                        .set("curve", curve.seq)
                        .set("equipment", curve.equipment)
                        .set("logger", text_or_null(curve.logger))
                        .set("from", format_date_time(tables.zone().local(curve.from)))
                        .set("until", format_date_time(tables.zone().local(curve.until)))
                        .set("verdict", text_or_null(curve.verdict))
                        .set("near", std::move(loads)));
        }
        if (context.json)
          context.print(Value::object().set("waiting", std::move(list)));
        else if (!waiting.empty())
          context.line(say("curves.how-to-place"));
        return Status::done;
      });
}

Status import_rejudge(const Context& context, const ImportRejudgeOptions& options) {
  if (!(std::abs(options.error_k) <= 50))
    return context.misused(say("curves.error-wants", {{"found", std::to_string(options.error_k)}}));
  const auto access = options.dry_run ? store::Access::read : store::Access::write;
  return with_ledger(
      context, access, [&](Ledger& ledger, links::Links& tables, const sop::Editions& editions) -> Result<Status> {
        const AskedPeriod asked = period_of(options.from, options.to, tables.zone());
        if (asked.misuse) return context.misused(*asked.misuse);
        const Instant began = ledger.clock().now();
        TRY_LET(const auto done,
                importer::judge_again(ledger, tables, editions, options.logger,
                                      {.from = asked.from, .until = asked.until}, options.error_k, !options.dry_run));
        if (!done.kept.refusals.empty()) return refused(context, done.kept.refusals);
        if (done.curves.empty())
          return Error(ErrorCode::missing, say("curves.no-curves", {{"logger", options.logger}}));
        const Changes changes = changes_in(done);
        const std::string error = shortest(options.error_k);
        const std::string fails =
            recall_of(changes.fails, say("curves.why-fails", {{"logger", options.logger}, {"error", error}}));
        const std::string unsure =
            recall_of(changes.unsure, say("curves.why-unsure", {{"logger", options.logger}, {"error", error}}));
        const std::string all = recall_all(options, tables.zone().local({began.ms - began.ms % second_ms}));
        if (context.json) {
          const auto curves = [&](const std::vector<const JudgedAgain*>& some) {
            Value out = Value::list();
            for (const JudgedAgain* one : some) out.push(curve_json(*one, tables.zone()));
            return out;
          };
          const auto command = [](const std::string& text) { return text.empty() ? Value() : Value(text); };
          context.print(
              Value::object()
                  .set("logger", options.logger)
                  .set("error_k", options.error_k)
                  .set("dry_run", options.dry_run)
                  .set("curves", static_cast<std::int64_t>(done.curves.size()))
                  .set("reached", changes.counts.reached)
                  .set("not_reached", changes.counts.not_reached)
                  .set("cannot_tell", changes.counts.cannot_tell)
                  .set("fails", curves(changes.fails))
                  .set("unsure", curves(changes.unsure))
                  .set("mends", curves(changes.mends))
                  .set("unreadable", curves(changes.unreadable))
                  .set("recall",
                       Value::object().set("fails", command(fails)).set("unsure", command(unsure)).set("all", all))
                  .set("new", changes.fresh)
                  .set("first", done.kept.first)
                  .set("last", done.kept.last));
          return Status::done;
        }
        print_rejudged(context, options, done, changes, tables.zone());
        for (const auto& [command, key] : {std::pair(fails, "curves.recall"), {unsure, "curves.recall-unsure"}}) {
          if (command.empty()) continue;
          context.line(say(key));
          context.line("    " + command);
        }
        if (!changes.fails.empty() || !changes.unsure.empty()) {
          context.line(say("curves.recall-all"));
          context.line("    " + all);
        }
        return Status::done;
      });
}

}  // namespace trayproof::command
