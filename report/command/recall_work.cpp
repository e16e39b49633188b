// From the opening of a recall to its closing by two people.
#include "report/command/recall_work.h"

#include <algorithm>

#include "ledger/recall/request.h"
#include "ledger/recall/steps.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/command/layout.h"
#include "report/command/period.h"
#include "report/command/table.h"

namespace trayproof::command {
namespace {

using json::Value;
using recall::Item;
using recall::Work;
using recall::WorkItem;

Result<Work> read_work(const Ledger& ledger, const std::string& recall) {
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  TRY_LET(const auto editions, ledger.editions());
  return recall::work_of(recall, ledger, tables, editions);
}

std::string state_text(const Work& work) {
  switch (work.state) {
    case recall::WorkState::open:
      return say("recall.state-open");
    case recall::WorkState::awaiting:
      return say("recall.state-awaiting", {{"second", work.second}, {"seq", count_text(*work.closed_seq)}});
    case recall::WorkState::closed:
      return say("recall.state-closed", {{"at", short_time(work.zone, *work.closed)}, {"second", work.second}});
    case recall::WorkState::reopened:
      return say("recall.state-reopened", {{"at", short_time(work.zone, *work.closed)}});
  }
  return {};
}

std::string remark_text(const WorkItem& one) {
  if (one.gone) return say("recall.item-gone");
  if (one.listed == recall::Listed::late) return say("recall.item-late");
  if (one.listed == recall::Listed::since) return say("recall.item-since");
  return {};
}

void print_items(const Context& context, const Work& work, Item item) {
  std::vector<std::vector<std::string>> rows;
  for (const WorkItem& one : work.items) {
    if (one.item != item) continue;
    std::string outcome = one.answered
                              ? std::string(spelled_here(one.answered->outcome)) + " (" + one.answered->by + ")"
                          : one.needs_answer && !one.gone ? say("recall.item-open")
                                                          : std::string();
    rows.push_back({one.id, std::string(spelled_here(one.standing)), one.place.value_or(""),
                    one.at ? short_time(work.zone, *one.at) : "", outcome, remark_text(one)});
  }
  if (rows.empty()) return;
  const bool packs = item == Item::pack;
  context.out << '\n'
              << table_text({{say(packs ? "recall.head-pack" : "recall.head-procedure"), false},
                             {say(packs ? "recall.head-standing" : "recall.head-sort"), false},
                             {say("recall.head-place"), false},
                             {say("recall.head-at"), false},
                             {say("recall.head-answer"), false},
                             {say("recall.head-remark"), false}},
                            rows, text_columns(context));
}

std::string percent_text(std::int64_t part, std::int64_t of) {
  return number_here(100.0 * static_cast<double>(part) / static_cast<double>(of), 1);
}

// In the unit that a person would use.
std::string time_to_list_text(double minutes) {
  constexpr double hour = 60, day = 24 * hour;
  if (minutes >= 2 * day) return say("recall.work-days", {{"days", number_here(minutes / day, 1)}});
  if (minutes >= 2 * hour) return say("recall.work-hours", {{"hours", number_here(minutes / hour, 1)}});
  return say("recall.work-minutes", {{"minutes", number_here(minutes, 1)}});
}

void print_work(const Context& context, const Work& work) {
  const auto fold = [&](const std::string& text) { context.line(folded(text, text_columns(context))); };
  if (work.drill) fold(say("command.drill"));
  fold(say("recall.work-head", {{"recall", work.recall},
                                {"because", work.because},
                                {"subject", work.subject_in_words},
                                {"at", short_time(work.zone, work.opened)},
                                {"by", work.opened_by}}));
  fold(state_text(work));
  const std::int64_t to_find = work.packs_to_find();
  if (to_find == 0) {
    fold(say("recall.work-no-packs"));
  } else {
    fold(say("recall.work-packs", {{"found", count_text(work.packs_found())},
                                   {"of", count_text(to_find)},
                                   {"percent", percent_text(work.packs_found(), to_find)},
                                   {"open", count_text(to_find - work.packs_answered())}}));
  }
  fold(say("recall.work-procedures",
           {{"answered", count_text(work.procedures_answered())}, {"of", count_text(work.procedures())}}));
  if (work.minutes_to_first_list) fold(time_to_list_text(*work.minutes_to_first_list));
  const auto late = std::count_if(work.items.begin(), work.items.end(),
                                  [](const WorkItem& one) { return one.gone || one.listed != recall::Listed::opened; });
  if (late > 0) fold(say("recall.work-changed", {{"count", std::to_string(late)}}));
  print_items(context, work, Item::pack);
  print_items(context, work, Item::procedure);
  context.line("");
  fold(say("caution.scope"));
  if (work.drill) fold(say("command.drill"));
}

std::vector<std::string> ids_of(const std::optional<std::string>& list) {
  std::vector<std::string> ids;
  if (!list) return ids;
  for (std::size_t at = 0; at <= list->size();) {
    const std::size_t comma = std::min(list->find(',', at), list->size());
    if (comma > at) ids.push_back(list->substr(at, comma - at));
    at = comma + 1;
  }
  return ids;
}

Result<Appended> record_all(const Context& context, Ledger& ledger, std::vector<Value> bodies,
                            const std::optional<std::string>& by = {}) {
  TRY_LET(const auto facility, facility_of(ledger));
  std::vector<GivenEvent> events;
  for (Value& one : bodies) {
    one.set("at", format_date_time(facility.zone.local(context.clock.now())));
    events.push_back({0, std::move(one)});
  }
  AppendOptions options;
  options.same_content_repeats = false;
  options.default_by = by.value_or(ledger.actor());
  TRY_LET(auto taken, ledger.append(std::move(events), options));
  if (taken.refusals.empty()) return taken;
  const events::Refusal& first = taken.refusals.front();
  return Error(ErrorCode::invalid, say("command.refused-field", {{"field", first.field}, {"why", first.why}}));
}

Result<Status> show(const Context& context, const std::string& id) {
  TRY_LET(const auto ledger, context.open(store::Access::read));
  TRY_LET(const Work work, read_work(ledger, id));
  if (context.json)
    context.print(recall::to_json(work));
  else
    print_work(context, work);
  return Status::done;
}

Result<Status> answer_items(const Context& context, const RecallAnswerOptions& options) {
  TRY_LET(auto ledger, context.open(store::Access::write));
  TRY_LET(const Work work, read_work(ledger, options.recall));
  TRY_LET(auto bodies, recall::answering(work, {.packs = ids_of(options.packs),
                                                .procedures = ids_of(options.procedures),
                                                .outcome = options.outcome,
                                                .text = options.text}));
  TRY_LET(const auto taken, record_all(context, ledger, std::move(bodies), options.by));
  TRY_LET(const Work after, read_work(ledger, options.recall));
  if (context.json) {
    context.print(recall::to_json(after));
  } else {
    context.line(
        say("recall.answered",
            {{"count", count_text(taken.taken)}, {"recall", after.recall}, {"open", count_text(after.unanswered())}}));
  }
  return Status::done;
}

Result<Status> close(const Context& context, const RecallCloseOptions& options) {
  TRY_LET(auto ledger, context.open(store::Access::write));
  TRY_LET(const Work work, read_work(ledger, options.recall));
  TRY_LET(auto body, recall::closing(work, {ledger.actor(), options.conclusion, options.second, options.with_open}));
  std::vector<Value> bodies;
  bodies.push_back(std::move(body));
  TRY_LET(const auto taken, record_all(context, ledger, std::move(bodies)));
  TRY_LET(const Work after, read_work(ledger, options.recall));
  if (context.json) {
    context.print(recall::to_json(after));
  } else {
    context.line(say("recall.closed", {{"recall", after.recall}, {"seq", count_text(taken.first)}}));
    context.line(folded(state_text(after), text_columns(context)));
  }
  return Status::done;
}

Status done_or_failed(const Context& context, const Result<Status>& done) {
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace

Status recall_show(const Context& context, const std::string& recall) {
  return done_or_failed(context, show(context, recall));
}

Status recall_answer(const Context& context, const RecallAnswerOptions& options) {
  if (!options.packs && !options.procedures) return context.misused(say("recall.answer-what"));
  return done_or_failed(context, answer_items(context, options));
}

Status recall_close(const Context& context, const RecallCloseOptions& options) {
  return done_or_failed(context, close(context, options));
}

}  // namespace trayproof::command
