// Recalls: those that were opened, standing exposure, and opening another: its trigger, who and what would be on its
// list, and only then the opening.
#include "ledger/base/desk_limits.h"
#include "ledger/recall/exposure.h"
#include "ledger/recall/opening.h"
#include "ledger/recall/recall.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"
#include "report/desk/exposed.h"
#include "report/desk/frame.h"
#include "report/desk/parts.h"
#include "report/desk/recall_asked.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;
using store::Statement;

std::string because_words(std::string_view because) { return say("desk.because-" + std::string(because)); }

Result<Markup> opened_part(const Ledger& ledger, links::Links& tables) {
  Table table = Table::of({"desk.kind-recall", "desk.column-because", "desk.column-opened", "desk.column-state"});
  struct Row {
    std::string recall, because;
    std::int64_t opened_ms;
    bool drill;
    std::optional<std::int64_t> closed;
  };
  std::vector<Row> rows;
  TRY_LET(auto* found,
          tables.statements().at("SELECT recall, because, opened_ms, drill, closed_seq FROM recalls ORDER BY "
                                 "closed_seq IS NOT NULL, opened_ms DESC"));
  TRY(links::each_row(*found, [&](Statement& row) {
    rows.push_back({std::string(row.text(0)), std::string(row.text(1)), row.integer(2), row.integer(3) == 1,
                    row.maybe_integer(4)});
  }));
  for (const Row& row : rows) {
    Markup state = mark("critical", say("desk.recall-open"));
    if (row.closed) {
      TRY_LET(const auto second, ledger.second(*row.closed));
      state = second.second == people::Second::awaiting ? mark("major", say("desk.awaiting-second"))
                                                        : mark("plain", say("desk.recall-closed"));
    }
    Markup name = thing("recall", row.recall);
    if (row.drill) name.add_text(" ").add(mark("minor", say("desk.drill")));
    table.row({name, Markup::text(because_words(row.because)), time_of(tables.zone(), {row.opened_ms}), state});
  }
  if (table.empty()) return paragraph(say("desk.no-recalls"));
  return table.markup();
}

Markup choices_of_trigger() {
  Element list("ul");
  list.with("class", "ways");
  for (const Trigger& one : triggers()) {
    const std::string because(recall::name_of(one.because));
    list.inside(Element("li").inside(link("/recalls/new?because=" + because, because_words(because))));
  }
  return list.markup();
}

Markup trigger_form(const Trigger& trigger, const Fields& query) {
  Element form = Element("form").with("method", "get").with("action", "/recalls/new").with("class", "filters");
  form.inside(
      Element("input").with("type", "hidden").with("name", "because").with("value", recall::name_of(trigger.because)));
  for (const std::string_view field : trigger.fields) {
    const std::string value = query.filled(field).value_or("");
    form.inside(input({.label = say("desk.recall-field-" + std::string(field)),
                       .name = field,
                       .type = field == "at" && value.size() <= 16 ? "datetime-local" : "text",
                       .value = value}));
  }
  return form.inside(button(say("desk.recall-ask"))).markup();
}

void count(Element& out, std::string_view key, std::int64_t number) {
  out.inside(Element("div").inside(markup::element("strong", std::to_string(number))).text(say(key)));
}

Markup bounds_of(const recall::Answer& answer) {
  Markup out;
  const auto bound = [&](const std::optional<recall::Bound>& one, std::string_view key, std::string_view without) {
    if (!one) return out.add(paragraph(say(without)));
    return out.add(paragraph(say(key, {{"load", one->load.value_or(say("command.recall-check-passed"))},
                                       {"at", short_time(answer.zone, one->at)}})));
  };
  using enum recall::Because;
  const recall::Because because = answer.request.because;
  if (because != biological_positive && because != equipment_out_of_tolerance && because != logger_out_of_tolerance &&
      because != air_removal_failed)
    return out;
  bound(answer.after, "command.recall-after", "command.recall-no-after");
  bound(answer.before, "command.recall-before", "command.recall-no-before");
  return out;
}

Markup packs_of(const recall::Answer& answer) {
  Table table = Table::of(
      {"desk.column-pack", "desk.column-set", "desk.column-load", "desk.column-standing", "desk.column-place"});
  for (const recall::AffectedPack& one : answer.packs) {
    if (table.size() >= limits::desk_answer_rows) break;
    const std::string standing(recall::name_of(one.standing));
    table.row({thing("pack", one.pack), one.set ? thing("set", *one.set) : Markup(),
               one.load ? thing("load", *one.load) : Markup(),
               mark(recall::is_to_be_fetched(one.standing) ? "major" : "plain", spelled(standing)),
               Markup::text(one.place.value_or(""))});
  }
  Markup out = heading(say("desk.recall-packs", {{"count", std::to_string(answer.packs.size())},
                                                 {"fetch", std::to_string(answer.still_to_fetch())}}));
  return out.add(table.empty() ? paragraph(say("desk.none")) : table.markup());
}

Markup procedures_of(const recall::Answer& answer) {
  Table table = Table::of(
      {"desk.column-use", "desk.column-at", "desk.column-place", "desk.column-patient", "desk.column-packs-used"});
  for (const recall::AffectedProcedure& one : answer.procedures) {
    if (table.size() >= limits::desk_answer_rows) break;
    Markup packs;
    for (const recall::AffectedUse& use : one.uses) {
      if (!packs.empty()) packs.add_text(", ");
      packs.add(thing("pack", use.pack));
    }
    table.row({thing("procedure", one.procedure), time_of(answer.zone, {one.at_ms}),
               Markup::text(one.place.value_or("")),
               Markup::text(one.patient ? one.patient->substr(0, 8) + "…" : say("desk.not-recorded")), packs});
  }
  Markup out = heading(say("desk.recall-procedures", {{"count", std::to_string(answer.procedures.size())}}));
  return out.add(table.empty() ? paragraph(say("desk.none")) : table.markup());
}

Markup loads_of(const recall::Answer& answer) {
  Table table = Table::of(
      {"desk.column-load", "desk.kind-equipment", "desk.fact-started", "desk.fact-decision", "desk.column-evidence"});
  for (const recall::AffectedLoad& one : answer.loads) {
    table.row({thing("load", one.load), one.equipment ? thing("equipment", *one.equipment) : Markup(),
               one.started_ms ? time_of(answer.zone, {*one.started_ms}) : Markup(),
               one.released_ms ? time_of(answer.zone, {*one.released_ms}) : Markup(),
               one.evidence_missing ? mark("critical", say("command.evidence-missing"))
                                    : Markup::text(say("command.evidence-recorded"))});
  }
  Markup out = heading(say("desk.recall-loads", {{"count", std::to_string(answer.loads.size())}}));
  return out.add(table.empty() ? paragraph(say("desk.none")) : table.markup());
}

Markup preview(const recall::Answer& answer) {
  Markup out = paragraph(
      say("desk.recall-asked", {{"because", because_words(recall::name_of(answer.request.because))},
                                {"subject", recall::subject_text(recall::subject_of(answer.request, answer.zone))},
                                {"as_of", short_time(answer.zone, answer.as_of)},
                                {"known_at", std::to_string(answer.known_at)}}));
  out.add(bounds_of(answer));
  Element figures("div");
  figures.with("class", "figures");
  count(figures, "desk.column-loads", answer.counts.loads);
  count(figures, "desk.column-packs", answer.counts.packs);
  count(figures, "desk.to-fetch", answer.still_to_fetch());
  count(figures, "desk.column-procedures", answer.counts.procedures);
  count(figures, "desk.column-patients", answer.counts.patients);
  count(figures, "desk.patients-unknown", answer.counts.patients_unknown);
  out.add(figures.markup()).add(packs_of(answer)).add(procedures_of(answer)).add(loads_of(answer));
  return out.add(paragraph(say("command.recall-bears-out", {{"count", std::to_string(answer.cited.size())}}), "quiet"));
}

Markup opening_form(const Asked& asked, const Trigger& trigger, const Frame& frame, const Fields& fields) {
  Markup out = heading(say("desk.recall-open-title"));
  if (asked.who.level() != Who::pin) return out.add(paragraph(say("desk.needs-pin")));
  Element form = form_to("/recalls", frame);
  form.inside(
      Element("input").with("type", "hidden").with("name", "because").with("value", recall::name_of(trigger.because)));
  for (const std::string_view field : trigger.fields)
    form.inside(
        Element("input").with("type", "hidden").with("name", field).with("value", fields.filled(field).value_or("")));
  form.inside(input({.label = say("desk.recall-id"), .name = "recall", .value = fields.filled("recall").value_or("")}));
  form.inside(Element("label")
                  .inside(Element("input").with("type", "checkbox").with("name", "drill").with("value", "yes"))
                  .text(" " + say("desk.recall-is-drill")));
  return out.add(form.inside(button(say("desk.do-open"))).markup());
}

const Trigger* trigger_of(const Fields& fields) {
  const auto because = recall::because_of(fields.filled("because").value_or(""));
  for (const Trigger& one : triggers()) {
    if (because && one.because == *because) return &one;
  }
  return nullptr;
}

Result<Response> new_recall(Asked& asked, const Fields& fields, const Markup& said, int status) {
  const Frame frame = frame_of(asked.who, say("desk.recall-new-title"), "/recalls");
  const Trigger* trigger = trigger_of(fields);
  Markup inside = said;
  if (trigger == nullptr) {
    inside.add(paragraph(say("desk.recall-why"))).add(choices_of_trigger());
    return page(frame, inside, status);
  }
  inside.add(paragraph(because_words(recall::name_of(trigger->because)), "lead")).add(trigger_form(*trigger, fields));
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  const auto request = recall_request(fields, tables->zone());
  if (!request.ok()) return page(frame, inside.add(alert(request.error().sentence())), 400);
  if (!recall::is_complete(request.value()).ok()) return page(frame, inside, status);
  TRY_LET(const auto editions, reader.ledger().editions());
  const auto answer = recall::answer(request.value(), *tables, editions);
  if (!answer.ok() && status_of(answer.error().code()) < 500)
    return page(frame, inside.add(alert(answer.error().sentence())), status_of(answer.error().code()));
  if (!answer.ok()) return answer.error();
  inside.add(preview(answer.value())).add(opening_form(asked, *trigger, frame, fields));
  return page(frame, inside, status);
}

}  // namespace

namespace {

Result<Markup> all_recalls(Record::Reader& reader) {
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto editions, reader.ledger().editions());
  Markup inside =
      Element("p")
          .with("class", "doings")
          .inside(Element("a").with("class", "button").with("href", "/recalls/new").text(say("desk.recall-new-title")))
          .markup();
  TRY_LET(const auto opened, opened_part(reader.ledger(), *tables));
  inside.add(opened).add(heading(say("desk.exposure-title"))).add(paragraph(say("desk.exposure-how")));
  TRY_LET(const auto exposure, recall::exposure(*tables, editions));
  inside.add(exposure.sterilizers.empty() ? paragraph(say("desk.none")) : exposure_table(exposure));
  return inside;
}

}  // namespace

Result<Response> answer_recalls_page(Asked& asked) {
  TRY_LET(const auto inside, asked.desk.same_for_all(asked, all_recalls));
  return page(frame_of(asked.who, say("desk.recalls-title"), "/recalls"), *inside);
}

Result<Response> answer_new_recall_page(Asked& asked) { return new_recall(asked, asked.query, {}, 200); }

Result<Response> answer_open_recall(Asked& asked) {
  const std::string id = asked.form.filled("recall").value_or("");
  if (id.empty()) return new_recall(asked, asked.form, alert(say("desk.recall-needs-id")), 400);
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto request, recall_request(asked.form, tables->zone()));
  TRY(recall::is_complete(request));
  TRY_LET(const auto editions, reader.ledger().editions());
  TRY_LET(const auto answer, recall::answer(request, *tables, editions));
  Appended opened;
  TRY(asked.desk.record().alone([&](Ledger& ledger) -> Result<void> {
    ledger.sign_in(asked.who.signer());
    auto done =
        recall::open_recall(ledger, answer,
                            {.recall = id,
                             .purpose = asked.form.filled("drill") ? recall::Purpose::drill : recall::Purpose::real,
                             .by = asked.who.person()});
    ledger.sign_in(nullptr);
    if (!done.ok()) return done.error();
    opened = std::move(done).value();
    return {};
  }));
  if (!opened.refusals.empty()) {
    const events::Refusal& first = opened.refusals.front();
    return new_recall(asked, asked.form,
                      alert(say("command.refused-field", {{"field", first.field}, {"why", first.why}})), 422);
  }
  return see_other(address_of("recall", id));
}

Result<Response> answer_api_recall(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto request, recall_request(asked.query, tables->zone()));
  TRY(recall::is_complete(request));
  TRY_LET(const auto editions, reader.ledger().editions());
  TRY_LET(const auto answer, recall::answer(request, *tables, editions));
  return json_response(recall::to_json(answer));
}

}  // namespace trayproof::desk
