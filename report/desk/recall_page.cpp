// One recall as work: how much is found, the list with an answer for each, the call list, and closing by two people.
#include <algorithm>

#include "ledger/recall/recall.h"
#include "ledger/recall/steps.h"
#include "ledger/recall/work.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/csv/csv.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"
#include "report/desk/frame.h"
#include "report/desk/parts.h"
#include "report/desk/recall_asked.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;
using recall::Item;
using recall::Work;
using recall::WorkItem;

constexpr std::string_view pack_outcomes[] = {"found-held", "reprocessed", "destroyed", "not-found"};
constexpr std::string_view procedure_outcomes[] = {"patient-told", "patient-not-reached", "no-notice-decided"};

Result<Work> read_work(Record::Reader& reader, const std::string& recall) {
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto editions, reader.ledger().editions());
  return recall::work_of(recall, reader.ledger(), *tables, editions);
}

Markup state_of(const Work& work) {
  switch (work.state) {
    case recall::WorkState::open:
      return mark("critical", say("desk.recall-open"));
    case recall::WorkState::awaiting:
      return mark("major", say("desk.awaiting-second"));
    case recall::WorkState::closed:
      return mark("plain", say("desk.recall-closed"));
    case recall::WorkState::reopened:
      return mark("critical", say("desk.recall-reopened"));
  }
  return {};
}

Markup figure(std::string_view text, std::string_view key) {
  return Element("div").inside(markup::element("strong", text)).text(say(key)).markup();
}

Markup figures(const Work& work) {
  Element out("div");
  out.with("class", "figures");
  const std::int64_t to_find = work.packs_to_find();
  if (to_find > 0) {
    const double percent = 100.0 * static_cast<double>(work.packs_found()) / static_cast<double>(to_find);
    out.inside(figure(number_here(percent, 1) + " %", "desk.percent-found"));
    out.inside(figure(std::to_string(work.packs_found()) + " / " + std::to_string(to_find), "desk.packs-found"));
  }
  out.inside(figure(std::to_string(work.procedures_answered()) + " / " + std::to_string(work.procedures()),
                    "desk.procedures-answered"));
  out.inside(figure(std::to_string(work.unanswered()), "desk.without-answer"));
  if (work.minutes_to_first_list) {
    const double hours = *work.minutes_to_first_list / 60;
    const std::string time = hours < 48 ? say("desk.hours", {{"hours", number_here(hours, 1)}})
                                        : say("desk.days", {{"days", number_here(hours / 24, 1)}});
    out.inside(figure(time, "desk.time-to-list"));
  }
  return out.markup();
}

std::string remark_of(const WorkItem& one) {
  if (one.gone) return say("recall.item-gone");
  if (one.listed == recall::Listed::late) return say("recall.item-late");
  if (one.listed == recall::Listed::since) return say("recall.item-since");
  return {};
}

// The form of one line: its outcome, and a word on it.
Markup answer_form(const Work& work, const WorkItem& one, const Frame& frame) {
  Element form = form_to(address_of("recall", work.recall) + "/answer", frame);
  form.with("class", "inline");
  const bool pack = one.item == Item::pack;
  form.inside(Element("input").with("type", "hidden").with("name", pack ? "pack" : "procedure").with("value", one.id));
  Element outcomes("select");
  outcomes.with("name", "outcome").with("aria-label", say("desk.outcome-of", {{"id", one.id}}));
  const auto add = [&](std::string_view outcome) {
    outcomes.inside(Element("option").with("value", outcome).text(say("desk.outcome-" + std::string(outcome))));
  };
  for (const std::string_view outcome : pack_outcomes) {
    if (pack) add(outcome);
  }
  for (const std::string_view outcome : procedure_outcomes) {
    if (!pack) add(outcome);
  }
  form.inside(outcomes);
  form.inside(Element("input")
                  .with("name", "text")
                  .with("aria-label", say("desk.outcome-text"))
                  .with("placeholder", say("desk.outcome-text")));
  Element go("button");
  go.with("type", "submit").with("class", "second").with("aria-label", say("desk.do-answer") + ": " + one.id);
  return form.inside(go.text(say("desk.do-answer"))).markup();
}

Markup items_of(const Work& work, Item item, const Frame& frame, bool may_answer) {
  const bool packs = item == Item::pack;
  Table table = packs
                    ? Table::of({"desk.column-pack", "desk.column-standing", "desk.column-place", "desk.column-answer"})
                    : Table::of({"desk.column-use", "desk.column-at", "desk.column-place", "desk.column-answer"});
  std::vector<const WorkItem*> items;
  for (const WorkItem& one : work.items) {
    if (one.item == item) items.push_back(&one);
  }
  // What still has to be done stands first.
  const auto is_open = [](const WorkItem* one) { return one->needs_answer && !one->gone && !one->answered; };
  std::stable_partition(items.begin(), items.end(), is_open);
  for (const WorkItem* one : items) {
    Markup name = thing(packs ? "pack" : "procedure", one->id);
    if (const std::string remark = remark_of(*one); !remark.empty()) name.add_text(" ").add(mark("minor", remark));
    Markup answer;
    if (one->answered) {
      answer = mark("plain", say("desk.outcome-" + one->answered->outcome));
      answer.add_text(" " + one->answered->by + " ").add(entry_links({one->answered->seq}));
    } else if (is_open(one)) {
      answer = may_answer ? answer_form(work, *one, frame) : mark("major", say("recall.item-open"));
    }
    const Markup second = packs     ? Markup::text(spelled(one->standing))
                          : one->at ? time_of(work.zone, *one->at)
                                    : Markup();
    table.row({name, second, Markup::text(one->place.value_or("")), answer});
  }
  Markup out = heading(say(packs ? "desk.work-packs" : "desk.work-procedures"));
  return out.add(table.empty() ? paragraph(say("desk.none")) : table.markup());
}

Markup closing_part(const Asked& asked, const Work& work, const Frame& frame) {
  Markup out = heading(say("desk.closing-title"));
  const std::string address = address_of("recall", work.recall);
  if (work.state == recall::WorkState::closed) {
    out.add_text(say("recall.state-closed", {{"at", short_time(work.zone, *work.closed)}, {"second", work.second}}));
    if (work.closed_seq) out.add_text(" ").add(entry_links({*work.closed_seq}));
    return out;
  }
  if (work.state == recall::WorkState::reopened)
    out.add(alert(say("recall.state-reopened", {{"at", short_time(work.zone, *work.closed)}})));
  if (asked.who.level() != Who::pin) return out.add(paragraph(say("desk.needs-pin")));
  if (work.state == recall::WorkState::awaiting) {
    out.add(paragraph(say("desk.closing-awaits", {{"second", work.second}})));
    Element form = form_to("/entry/" + std::to_string(*work.closed_seq) + "/countersign", frame);
    form.inside(paragraph(say("desk.second-how", {{"person", asked.who.person()}})));
    return out.add(form.inside(button(say("desk.do-countersign"))).markup());
  }
  Element form = form_to(address + "/close", frame);
  form.inside(Element("label")
                  .inside(markup::element("span", say("desk.conclusion")))
                  .inside(Element("textarea").with("name", "conclusion").with("required", "")));
  form.inside(input({.label = say("desk.answer-second"), .name = "second"}));
  if (work.unanswered() > 0) {
    form.inside(Element("label")
                    .inside(Element("input").with("type", "checkbox").with("name", "with_open").with("value", "yes"))
                    .text(" " + say("desk.close-with-open", {{"count", std::to_string(work.unanswered())}})));
  }
  return out.add(form.inside(button(say("desk.do-close"))).markup());
}

Result<Response> work_page(Asked& asked, const Markup& said, int status) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const Work work, read_work(reader, asked.at("id")));
  const Frame frame = frame_of(asked.who, say("desk.recall-title", {{"id", work.recall}}), "/recalls");
  Markup inside = said;
  Element head("p");
  head.with("class", "lead").inside(state_of(work)).text(" ");
  if (work.drill) head.inside(mark("minor", say("desk.drill"))).text(" ");
  head.text(say("desk.work-head", {{"because", say("desk.because-" + work.because)},
                                   {"subject", work.subject_in_words},
                                   {"at", short_time(work.zone, work.opened)},
                                   {"by", work.opened_by}}));
  inside.add(head.markup()).add(figures(work));
  const std::string address = address_of("recall", work.recall);
  inside.add(
      Element("p")
          .with("class", "doings")
          .inside(Element("a").with("class", "button").with("href", address + "/calls").text(say("desk.call-list")))
          .markup());
  const bool open = work.state == recall::WorkState::open || work.state == recall::WorkState::reopened;
  const bool may = open && asked.who.level() == Who::pin;
  if (open && !may) inside.add(paragraph(say("desk.answer-needs-pin"), "quiet"));
  inside.add(items_of(work, Item::pack, frame, may)).add(items_of(work, Item::procedure, frame, may));
  return page(frame, inside.add(closing_part(asked, work, frame)), status);
}

// Records as who is signed in; the sentence of the first refusal where there is one.
Result<std::optional<std::string>> record_all(Asked& asked, const Zone& zone, std::vector<json::Value> bodies) {
  std::vector<GivenEvent> events;
  for (json::Value& one : bodies) {
    one.set("at", format_date_time(zone.local({asked.desk.clock().now().ms / second_ms * second_ms})));
    one.set("by", asked.who.person());
    events.push_back({0, std::move(one), {}});
  }
  AppendOptions options;
  options.same_content_repeats = false;
  options.signer = asked.who.signer();
  TRY_LET(const auto done, asked.desk.record().append(std::move(events), options));
  if (done.refusals.empty()) return std::optional<std::string>();
  const events::Refusal& first = done.refusals.front();
  return std::optional(say("command.refused-field", {{"field", first.field}, {"why", first.why}}));
}

Result<Response> after(Asked& asked, const Zone& zone, Result<std::vector<json::Value>> bodies) {
  if (!bodies.ok() && status_of(bodies.error().code()) >= 500) return bodies.error();
  if (!bodies.ok()) return work_page(asked, alert(bodies.error().sentence()), status_of(bodies.error().code()));
  TRY_LET(const auto refused, record_all(asked, zone, std::move(bodies).value()));
  if (refused) return work_page(asked, alert(*refused), 422);
  return see_other(address_of("recall", asked.at("id")));
}

// The answer as it is now, with what the recall is about; for those who phone.
Result<recall::Answer> answer_now(Record::Reader& reader, const Work& work) {
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto request, recall::request_of(work.because, work.subject));
  TRY_LET(const auto editions, reader.ledger().editions());
  return recall::answer(request, *tables, editions);
}

Result<void> put_number(const Ledger& ledger, std::string& text) {
  std::string out;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find(", ", at), text.size());
    const std::string one = text.substr(at, end - at);
    TRY_LET(const auto number, ledger.patient_number(one));
    out += (out.empty() ? "" : ", ") + number.value_or(one);
    at = end + 2;
  }
  text = std::move(out);
  return {};
}

enum class Patients { pseudonyms, numbers };

Result<Response> calls_page(Asked& asked, Patients patients) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const Work work, read_work(reader, asked.at("id")));
  TRY_LET(const auto answer, answer_now(reader, work));
  const Frame frame = frame_of(asked.who, say("desk.calls-title", {{"id", work.recall}}), "/recalls");
  Markup inside;
  if (work.drill) inside.add(alert(say("command.drill")));
  inside.add(paragraph(say(patients == Patients::numbers ? "command.call-note-numbers" : "command.call-note",
                           {{"because", say("desk.because-" + work.because)},
                            {"subject", work.subject_in_words},
                            {"as_of", short_time(answer.zone, answer.as_of)}})));
  Table table = Table::of({"command.call-procedure", "command.call-at", "command.call-place", "command.call-patient",
                           "command.call-newborns", "command.call-packs", "command.call-answer"});
  for (recall::Call& one : recall::call_list(answer)) {
    if (patients == Patients::numbers) {
      TRY(put_number(reader.ledger(), one.patient));
      TRY(put_number(reader.ledger(), one.newborns));
    }
    table.row({thing("procedure", one.procedure), Markup::text(written_here(one.at)), Markup::text(one.place),
               Markup::text(one.patient), Markup::text(one.newborns), Markup::text(one.packs), Markup()});
  }
  inside.add(table.empty() ? paragraph(say("desk.none")) : table.markup());
  const std::string address = address_of("recall", work.recall) + "/calls";
  if (patients == Patients::pseudonyms) {
    inside.add(
        Element("p")
            .with("class", "doings")
            .inside(Element("a").with("class", "button").with("href", address + "/list.csv").text(say("desk.as-csv")))
            .markup());
    inside.add(heading(say("desk.numbers-title"))).add(paragraph(say("desk.numbers-how")));
    if (asked.who.level() == Who::pin) {
      Element form = form_to(address, frame);
      form.inside(input({.label = say("desk.numbers-reason"), .name = "reason"}));
      inside.add(form.inside(button(say("desk.do-show-numbers"))).markup());
    } else {
      inside.add(paragraph(say("desk.needs-pin")));
    }
  }
  return page(frame, inside);
}

}  // namespace

Result<Response> answer_recall_page(Asked& asked) { return work_page(asked, {}, 200); }

Result<Response> answer_recall_item(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const Work work, read_work(reader, asked.at("id")));
  recall::AnsweringItems items;
  if (const auto pack = asked.form.filled("pack")) items.packs.push_back(*pack);
  if (const auto procedure = asked.form.filled("procedure")) items.procedures.push_back(*procedure);
  items.outcome = asked.form.filled("outcome").value_or("");
  items.text = asked.form.filled("text");
  if (items.packs.empty() && items.procedures.empty()) return work_page(asked, alert(say("recall.answer-what")), 400);
  return after(asked, work.zone, recall::answering(work, items));
}

Result<Response> answer_recall_closed(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const Work work, read_work(reader, asked.at("id")));
  auto body = recall::closing(work, {.by = asked.who.person(),
                                     .conclusion = asked.form.filled("conclusion").value_or(""),
                                     .second = asked.form.filled("second").value_or(""),
                                     .with_open = asked.form.filled("with_open").has_value()});
  if (!body.ok()) return after(asked, work.zone, std::move(body).error());
  std::vector<json::Value> bodies;
  bodies.push_back(std::move(body).value());
  return after(asked, work.zone, std::move(bodies));
}

Result<Response> answer_calls_page(Asked& asked) { return calls_page(asked, Patients::pseudonyms); }

Result<Response> answer_calls_csv(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const Work work, read_work(reader, asked.at("id")));
  TRY_LET(const auto answer, answer_now(reader, work));
  std::string out(csv::mark);
  if (work.drill) out += csv::row({say("command.drill")});
  out += csv::row({say("command.call-procedure"), say("command.call-at"), say("command.call-place"),
                   say("command.call-patient"), say("command.call-newborns"), say("command.call-packs"),
                   say("command.call-answer")});
  for (const recall::Call& one : recall::call_list(answer))
    out += csv::row({one.procedure, one.at, one.place, one.patient, one.newborns, one.packs, ""});
  Response response{.type = "text/csv; charset=utf-8", .body = std::move(out)};
  response.headers.emplace_back("Content-Disposition", "attachment; filename=\"calls.csv\"");
  return response;
}

// That they are read is an entry, on the disk before the first number is shown.
Result<Response> answer_calls_with_numbers(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const Work work, read_work(reader, asked.at("id")));
  const auto reason = asked.form.filled("reason");
  if (!reason) return Error(ErrorCode::invalid, say("desk.numbers-need-reason"));
  json::Value event = json::Value::object();
  event.set("kind", "numbers-read").set("at", format_date_time(work.zone.local(asked.desk.clock().now())));
  event.set("by", asked.who.person());
  event.set("subject", json::Value::object().set("kind", "recall").set("id", work.recall)).set("reason", *reason);
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  options.signer = asked.who.signer();
  TRY_LET(const auto done, asked.desk.record().append({{0, std::move(event), {}}}, options));
  if (!done.refusals.empty()) return Error(ErrorCode::invalid, done.refusals.front().why);
  return calls_page(asked, Patients::numbers);
}

Result<Response> answer_api_recall_work(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const Work work, read_work(reader, asked.at("id")));
  return json_response(recall::to_json(work));
}

}  // namespace trayproof::desk
