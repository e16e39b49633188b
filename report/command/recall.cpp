#include "ledger/recall/recall.h"

#include <algorithm>

#include "ledger/base/files.h"
#include "ledger/recall/exposure.h"
#include "ledger/recall/opening.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/command/call_list.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using json::Value;

// Each id once, in the order given.
std::vector<std::string> split(const std::string& text) {
  std::vector<std::string> items;
  std::size_t from = 0;
  while (from <= text.size()) {
    const std::size_t comma = text.find(',', from);
    const std::size_t end = comma == std::string::npos ? text.size() : comma;
    std::string item = text.substr(from, end - from);
    if (!item.empty() && std::find(items.begin(), items.end(), item) == items.end()) items.push_back(std::move(item));
    from = end + 1;
  }
  return items;
}

Result<recall::Request> request_of(const RecallOptions& options, const Zone& zone) {
  const auto because = recall::because_of(options.because);
  if (!because) return Error(ErrorCode::invalid, say("command.recall-because", {{"found", options.because}}));
  recall::Request request;
  request.because = *because;
  request.load = options.load.value_or("");
  request.pack = options.pack.value_or("");
  request.equipment = options.equipment.value_or("");
  request.check = options.check.value_or("calibration");
  request.solution = options.solution.value_or("");
  request.lot = options.lot.value_or("");
  request.procedure = options.procedure.value_or("");
  request.why = options.why.value_or("");
  if (options.loads) request.loads = split(*options.loads);
  if (options.packs) request.packs = split(*options.packs);
  request.known_at = options.known_at;
  const auto moment = [&](const std::optional<std::string>& text, DateMeans means, std::string_view name,
                          std::optional<Instant>& into) -> Result<void> {
    if (!text) return {};
    into = parse_moment(*text, zone, means);
    if (!into) return Error(ErrorCode::invalid, say("command.moment", {{"option", name}, {"found", *text}}));
    return {};
  };
  // A day alone: the fault may have been found at its end, so nothing of that day is left out.
  TRY(moment(options.at, DateMeans::end, "--at", request.at));
  TRY(moment(options.as_of, DateMeans::end, "--as-of", request.as_of));
  return request;
}

std::string shown(std::optional<std::int64_t> ms, const Zone& zone) {
  return ms ? time_here(zone.local({*ms})) : say("command.none");
}

void print_bounds(const Context& context, const recall::Answer& answer) {
  const auto bound = [&](const std::optional<recall::Bound>& one, std::string_view key, std::string_view without) {
    if (!one) return context.line(say(without));
    context.line(say(key, {{"load", one->load.value_or(say("command.recall-check-passed"))},
                           {"at", time_here(answer.zone.local(one->at))}}));
  };
  const bool has_window = answer.request.because != recall::Because::load_failed &&
                          answer.request.because != recall::Because::indicator_failed &&
                          answer.request.because != recall::Because::chosen &&
                          answer.request.because != recall::Because::index_patient &&
                          answer.request.because != recall::Because::lot_withdrawn &&
                          answer.request.because != recall::Because::solution_weak;
  if (!has_window) return;
  bound(answer.after, "command.recall-after", "command.recall-no-after");
  bound(answer.before, "command.recall-before", "command.recall-no-before");
}

void print_packs(const Context& context, const recall::Answer& answer) {
  for (std::size_t i = 0; i < recall::standings; ++i) {
    const auto standing = static_cast<recall::Standing>(i);
    if (answer.counts.by_standing[i] == 0) continue;
    std::string packs;
    for (const recall::AffectedPack& pack : answer.packs) {
      if (pack.standing != standing) continue;
      packs += (packs.empty() ? "" : ", ") + pack.pack;
      if (recall::is_to_be_fetched(standing) && pack.place) packs += " (" + *pack.place + ")";
      if (!pack.told_apart) packs += " (" + say("command.not-told-apart") + ")";
    }
    context.line(say(recall::is_to_be_fetched(standing) ? "command.recall-fetch" : "command.recall-standing",
                     {{"standing", recall::name_of(standing)},
                      {"count", count_text(answer.counts.by_standing[i])},
                      {"packs", packs}}));
  }
}

// Their numbers or pseudonyms, and how many have none.
std::string newborns_of(const recall::AffectedProcedure& one) {
  std::string out;
  for (const std::string& newborn : one.newborns) out += (out.empty() ? "" : ", ") + newborn;
  if (one.newborns_without_number == 0) return out;
  return (out.empty() ? "" : out + ", ") +
         say("workbook.newborns-without", {{"count", std::to_string(one.newborns_without_number)}});
}

void print_procedures(const Context& context, const recall::Answer& answer) {
  for (const recall::AffectedProcedure& one : answer.procedures) {
    std::string packs;
    for (const recall::AffectedUse& use : one.uses) packs += (packs.empty() ? "" : ", ") + use.pack;
    context.line(say("command.recall-procedure", {{"procedure", one.procedure},
                                                  {"at", time_here(answer.zone.local({one.at_ms}))},
                                                  {"sort", one.sort.value_or(say("command.none"))},
                                                  {"place", one.place.value_or(say("command.none"))},
                                                  {"patient", one.patient.value_or(say("command.patient-unknown"))},
                                                  {"packs", packs}}));
    const std::string newborns = newborns_of(one);
    if (!newborns.empty()) context.line(say("command.recall-newborns", {{"newborns", newborns}}));
  }
}

void print_answer(const Context& context, const recall::Answer& answer, bool drill) {
  if (drill) context.line(say("command.drill"));
  const recall::Counts& counts = answer.counts;
  context.line(
      say("command.recall-head", {{"because", recall::name_of(answer.request.because)},
                                  {"subject", recall::subject_text(recall::subject_of(answer.request, answer.zone))},
                                  {"as_of", time_here(answer.zone.local(answer.as_of))},
                                  {"known_at", count_text(answer.known_at)}}));
  print_bounds(context, answer);
  context.line(say("command.recall-counts", {{"loads", count_text(counts.loads)},
                                             {"packs", count_text(counts.packs)},
                                             {"procedures", count_text(counts.procedures)},
                                             {"patients", count_text(counts.patients)},
                                             {"unknown", count_text(counts.patients_unknown)},
                                             {"missing", count_text(counts.evidence_missing)},
                                             {"handled", count_text(counts.handled_procedures)}}));
  for (const recall::AffectedLoad& load : answer.loads) {
    context.line(say("command.recall-load", {{"load", load.load},
                                             {"started", shown(load.started_ms, answer.zone)},
                                             {"released", shown(load.released_ms, answer.zone)},
                                             {"evidence", say(load.evidence_missing ? "command.evidence-missing"
                                                                                    : "command.evidence-recorded")}}));
  }
  print_packs(context, answer);
  print_procedures(context, answer);
  const auto policy = [&](std::string_view name, const recall::PolicyCounts& one) {
    context.line(say("command.recall-policy", {{"policy", name},
                                               {"packs", count_text(one.packs)},
                                               {"procedures", count_text(one.procedures)},
                                               {"patients", count_text(one.patients)}}));
  };
  const bool at_once = answer.in_force == sop::RecallPolicy::at_once;
  policy(say(at_once ? "command.policy-at-once-in-force" : "command.policy-repeat-first-in-force"),
         at_once ? answer.at_once : answer.repeat_first);
  policy(say(at_once ? "command.policy-repeat-first" : "command.policy-at-once"),
         at_once ? answer.repeat_first : answer.at_once);
  if (answer.unknown_events > 0)
    context.line(say("command.unknown-events", {{"count", count_text(answer.unknown_events)}}));
  context.line(say("command.recall-bears-out", {{"count", std::to_string(answer.cited.size())}}));
  context.line(say("caution.scope"));
  if (drill) context.line(say("command.drill"));
}

Result<void> open_it(const Context& context, Ledger& ledger, const recall::Answer& answer,
                     const RecallOptions& options) {
  TRY_LET(const auto opened,
          recall::open_recall(ledger, answer,
                              {.recall = *options.open,
                               .purpose = options.drill ? recall::Purpose::drill : recall::Purpose::real,
                               .by = std::nullopt}));
  if (!opened.refusals.empty()) {
    const events::Refusal& first = opened.refusals.front();
    return Error(ErrorCode::invalid, say("command.refused-field", {{"field", first.field}, {"why", first.why}}));
  }
  context.tell(say("command.recall-opened", {{"recall", *options.open}, {"seq", count_text(opened.first)}}));
  return {};
}

// What the reading of numbers is about: the recall when it is opened, else what it begins with.
std::pair<std::string, std::string> subject_read(const RecallOptions& options) {
  if (options.open) return {"recall", *options.open};
  const std::pair<const char*, const std::optional<std::string>*> things[] = {
      {"load", &options.load},         {"pack", &options.pack}, {"equipment", &options.equipment},
      {"solution", &options.solution}, {"lot", &options.lot},   {"procedure", &options.procedure}};
  for (const auto& [kind, id] : things) {
    if (*id) return {kind, **id};
  }
  return {"recall", options.because};
}

Result<void> put_numbers(recall::Answer& answer, Numbers& numbers) {
  for (auto* procedures : {&answer.procedures, &answer.handled_procedures}) {
    for (recall::AffectedProcedure& one : *procedures) {
      TRY(numbers.put_into(one.patient));
      for (std::string& newborn : one.newborns) TRY(numbers.put_into(newborn));
    }
  }
  return {};
}

Result<Status> run_recall(const Context& context, const RecallOptions& options, Ledger& ledger) {
  TRY(may_read(ledger, options.numbers));
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  const auto asked = request_of(options, tables.zone());
  if (!asked.ok()) return context.misused(asked.error().sentence());
  const recall::Request& request = asked.value();
  if (const auto complete = recall::is_complete(request); !complete.ok())
    return context.misused(complete.error().sentence());
  TRY_LET(const auto editions, ledger.editions(request.known_at));
  TRY_LET(auto answer, recall::answer(request, tables, editions));
  if (options.call_list) TRY(can_write_call_list(*options.call_list));
  // The recall itself holds pseudonyms for ever; numbers are for those who phone.
  if (options.open) TRY(open_it(context, ledger, answer, options));
  const auto [kind, id] = subject_read(options);
  TRY_LET(auto numbers, Numbers::read(context, ledger, options.numbers, kind, id));
  Value document = recall::to_json(answer);
  TRY(numbers.put_into(document));
  TRY(put_numbers(answer, numbers));
  if (options.call_list)
    TRY(write_call_list(*options.call_list, answer, options.drill,
                        numbers.shown() ? Patients::numbers : Patients::pseudonyms));
  if (context.json)
    context.print(document);
  else
    print_answer(context, answer, options.drill);
  return Status::done;
}

}  // namespace

Status recall_reached(const Context& context, const RecallOptions& options) {
  if (options.because.empty()) return context.misused(say("command.recall-no-because"));
  if (options.drill && !options.open) context.tell(say("command.drill-unrecorded"));
  if (const auto misuse = misuse_of(options.numbers)) return context.misused(*misuse);
  auto ledger = context.open(options.open ? store::Access::write : access_for(options.numbers));
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto status = run_recall(context, options, ledger.value());
  return status.ok() ? status.value() : context.fail(status.error());
}

Status exposure(const Context& context) {
  auto ledger = context.open(store::Access::read);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto work = [&]() -> Result<recall::Exposure> {
    TRY_LET(auto tables, links::Links::open(ledger.value()));
    TRY(tables.catch_up());
    TRY_LET(const auto editions, ledger.value().editions());
    return recall::exposure(tables, editions);
  };
  const auto found = work();
  if (!found.ok()) return context.fail(found.error());
  if (context.json) {
    context.print(recall::to_json(found.value()));
    return Status::done;
  }
  context.line(say("command.exposure-head", {{"as_of", time_here(found.value().zone.local(found.value().as_of))}}));
  for (const recall::Exposed& one : found.value().sterilizers) {
    context.line(say("command.exposure-line",
                     {{"equipment", one.equipment},
                      {"negative", one.last_valid_negative
                                       ? say("command.exposure-negative",
                                             {{"load", one.last_valid_negative->load.value_or("")},
                                              {"at", time_here(found.value().zone.local(one.last_valid_negative->at))}})
                                       : say("command.exposure-no-negative")},
                      {"loads", count_text(one.loads)},
                      {"packs", count_text(one.packs)},
                      {"procedures", count_text(one.procedures)},
                      {"patients", count_text(one.patients)}}));
  }
  return Status::done;
}

}  // namespace trayproof::command
