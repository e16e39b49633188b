// Gaps: all of them by period, rule and severity, and the page of one, where it is answered.
#include "ledger/base/desk_limits.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"
#include "report/desk/frame.h"
#include "report/desk/parts.h"
#include "report/desk/subject.h"
#include "report/review/asked_gaps.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;

review::GapsWanted wanted_by(const Fields& query) {
  return {query.filled("from"), query.filled("to"), query.filled("rule"), query.filled("severity")};
}

Markup option(std::string_view value, std::string_view text, std::string_view chosen) {
  Element one = Element("option").with("value", value);
  if (value == chosen) one.with("selected", "");
  return one.text(text).markup();
}

Markup filters(const Fields& query) {
  Element form = Element("form").with("method", "get").with("action", "/gaps").with("class", "filters");
  const auto given = [&](std::string_view name) { return query.filled(name).value_or(""); };
  form.inside(input({.label = say("desk.from"), .name = "from", .type = "date", .value = given("from")}));
  form.inside(input({.label = say("desk.to"), .name = "to", .type = "date", .value = given("to")}));
  Element severities = Element("select").with("name", "severity");
  severities.inside(option("", say("desk.any"), given("severity")));
  for (const char* one : {"critical", "major", "minor", "information"})
    severities.inside(option(one, say("workbook.word-" + std::string(one)), given("severity")));
  form.inside(Element("label").inside(markup::element("span", say("desk.severity"))).inside(severities));
  Element rules = Element("select").with("name", "rule");
  rules.inside(option("", say("desk.any"), given("rule")));
  for (const gaps::Rule& one : gaps::catalogue())
    rules.inside(option(one.id, say("gaps." + std::string(one.id) + ".title"), given("rule")));
  form.inside(Element("label").inside(markup::element("span", say("desk.rule"))).inside(rules));
  return form.inside(button(say("desk.show"))).markup();
}

Markup figures(const gaps::Findings& findings, std::int64_t cannot_tell) {
  std::int64_t counts[4] = {};
  for (const gaps::Finding& one : findings.gaps) ++counts[static_cast<std::size_t>(one.severity)];
  Element out("div");
  out.with("class", "figures");
  const auto figure = [&](std::string_view key, std::int64_t count) {
    out.inside(Element("div").inside(markup::element("strong", std::to_string(count))).text(say(key)));
  };
  figure("workbook.word-critical", counts[0]);
  figure("workbook.word-major", counts[1]);
  figure("workbook.word-minor", counts[2]);
  figure("desk.open-findings", findings.open());
  figure("desk.cannot-tell", cannot_tell);
  return out.markup();
}

// What was looked at, rule by rule, so that a rule without findings is told from one without an occasion.
Markup looked_at(const gaps::Findings& findings) {
  Table table({{say("desk.rule")},
               {say("desk.column-looked"), true},
               {say("desk.column-gaps"), true},
               {say("desk.cannot-tell"), true}});
  std::vector<std::string> without_limit;
  std::vector<std::string> without_occasion;
  for (const gaps::Count& one : findings.looked_at) {
    const std::string title = say("gaps." + std::string(one.rule->id) + ".title");
    if (one.limit_not_stated) without_limit.push_back(title);
    if (one.subjects == 0) {
      if (!one.limit_not_stated) without_occasion.push_back(title);
      continue;
    }
    const auto number = [](std::int64_t count) { return Markup::text(std::to_string(count)); };
    table.row({Markup::text(title), number(one.subjects), number(one.gaps), number(one.cannot_tell)});
  }
  Element out("details");
  out.inside(markup::element("summary", say("desk.looked-at"))).inside(table.markup());
  if (!without_limit.empty()) out.inside(paragraph(say("desk.no-limit", {{"rules", listed(without_limit)}})));
  if (!without_occasion.empty()) out.inside(paragraph(say("desk.no-occasion", {{"rules", listed(without_occasion)}})));
  return out.markup();
}

Markup by_severity(const gaps::Findings& findings) {
  Markup out;
  std::size_t shown = 0;
  using enum gaps::Severity;
  for (const gaps::Severity severity : {critical, major, minor, information}) {
    Element list("ul");
    list.with("class", "findings");
    std::size_t count = 0;
    for (const gaps::Finding& one : findings.gaps) {
      if (one.severity != severity) continue;
      ++count;
      if (shown < limits::desk_findings_shown) {
        list.inside(finding_item(one, findings.zone));
        ++shown;
      }
    }
    if (count == 0) continue;
    const std::string title = say("workbook.word-" + std::string(gaps::word(severity)));
    out.add(heading(say("desk.findings-of", {{"severity", title}, {"count", std::to_string(count)}})));
    out.add(list.markup());
  }
  if (findings.gaps.empty()) out.add(paragraph(say("gaps.command.none")));
  if (findings.gaps.size() > shown)
    out.add(paragraph(say("desk.findings-cut", {{"count", std::to_string(findings.gaps.size() - shown)}}), "quiet"));
  return out;
}

// The finding that the address names; nothing where the record no longer shows it.
Result<std::optional<gaps::Finding>> finding_at(Asked& asked, Record::Reader& reader, const Fields& from) {
  const gaps::Rule* rule = gaps::find_rule(asked.at("rule"));
  if (rule == nullptr) return Error(ErrorCode::missing, say("desk.refused-no-route"));
  TRY_LET(const auto known, asked.desk.gaps().now(reader, asked.desk.clock()));
  const auto arose = parse_date_time(from.find("arose").value_or(""));
  if (known == nullptr || !arose) return std::optional<gaps::Finding>();
  for (const gaps::Finding& one : known->findings.gaps) {
    const bool same = one.rule == rule && one.subject_kind == asked.at("kind") && one.subject_id == asked.at("id") &&
                      one.at.ms / second_ms == arose->instant.ms / second_ms;
    if (same) return std::optional<gaps::Finding>(one);
  }
  return std::optional<gaps::Finding>();
}

std::string value_here(const json::Value& value) {
  return value.is_text() ? written_here(spelled_each_here(value.text())) : number_here(json::plain(value));
}

Result<Response> finding_page(Asked& asked, const Markup& said, int status) {
  TRY_LET(auto reader, asked.desk.record().reader());
  const Fields& from = asked.request.head.method == "POST" ? asked.form : asked.query;
  TRY_LET(const auto found, finding_at(asked, reader, from));
  const std::string rule = asked.at("rule");
  const Frame frame = frame_of(asked.who, say("gaps." + rule + ".title"), {});
  if (!found) return page(frame, alert(say("desk.finding-gone")), 404);
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  Markup inside = said;
  Element list("ul");
  list.with("class", "findings one").inside(finding_item(*found, facility.zone));
  inside.add(list.markup());
  Facts facts;
  facts.add("desk.rule", rule);
  facts.add("desk.fact-found", value_here(found->found));
  if (!found->limit.is_null()) facts.add("desk.fact-limit", value_here(found->limit));
  facts.add("desk.fact-closes", found->closes);
  inside.add(facts.markup());
  inside.add(heading(say("desk.answer-finding")));
  if (asked.who.level() != Who::pin) return page(frame, inside.add(paragraph(say("desk.needs-pin"))), status);
  Element form =
      form_to("/gaps/" + rule + "/" + encoded(asked.at("kind")) + "/" + encoded(asked.at("id")), frame, Records::yes);
  const std::string arose = format_date_time(facility.zone.local(found->at));
  form.inside(Element("input").with("type", "hidden").with("name", "arose").with("value", arose));
  Element states = Element("select").with("name", "state");
  for (const char* one : {"explained", "accepted", "action"})
    states.inside(option(one, say("workbook.word-" + std::string(one)), asked.form.find("state").value_or("")));
  form.inside(Element("label").inside(markup::element("span", say("desk.answer-state"))).inside(states));
  form.inside(Element("label")
                  .inside(markup::element("span", say("desk.answer-text")))
                  .inside(Element("textarea")
                              .with("name", "text")
                              .with("required", "")
                              .text(asked.form.find("text").value_or(""))));
  form.inside(input(
      {.label = say("desk.answer-due"), .name = "due", .type = "date", .value = asked.form.find("due").value_or("")}));
  if (found->severity == gaps::Severity::critical) {
    form.inside(paragraph(say("desk.answer-second-how"), "quiet"));
    form.inside(
        input({.label = say("desk.answer-second"), .name = "second", .value = asked.form.find("second").value_or("")}));
  }
  return page(frame, inside.add(form.inside(button(say("desk.do-record"))).markup()), status);
}

}  // namespace

Result<Response> answer_gaps_page(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  const auto question = review::asked_gaps(wanted_by(asked.query), tables->zone());
  const Frame frame = frame_of(asked.who, say("desk.gaps-title"), "/gaps");
  Markup inside = filters(asked.query);
  if (question.misuse) return page(frame, inside.add(alert(*question.misuse)), 400);
  TRY_LET(const auto found, review::find_gaps(reader.ledger(), *tables, asked.desk.clock().now(), question.question));
  const gaps::Findings& findings = found.findings;
  std::int64_t cannot_tell = 0;
  for (const gaps::Count& one : findings.looked_at) cannot_tell += one.cannot_tell;
  inside.add(figures(findings, cannot_tell));
  inside.add(paragraph(say("desk.gaps-as-of", {{"known_at", std::to_string(tables->known_at())}}), "quiet"));
  inside.add(by_severity(findings)).add(looked_at(findings));
  return page(frame, inside);
}

Result<Response> answer_finding_page(Asked& asked) { return finding_page(asked, {}, 200); }

Result<Response> answer_finding_answered(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  json::Value event = json::Value::object();
  event.set("kind", "finding-answered");
  event.set("at", format_date_time(facility.zone.local({asked.desk.clock().now().ms / second_ms * second_ms})));
  event.set("by", asked.who.person());
  if (const auto slip = asked.form.filled("slip")) event.set("slip", *slip);
  event.set("rule", asked.at("rule"));
  event.set("subject", json::Value::object().set("kind", asked.at("kind")).set("id", asked.at("id")));
  for (const char* name : {"arose", "state", "text", "due", "second"}) {
    if (const auto value = asked.form.filled(name)) event.set(name, *value);
  }
  AppendOptions options;
  options.signer = asked.who.signer();
  TRY_LET(const auto done, asked.desk.record().append({{0, std::move(event), {}}}, options));
  if (!done.refusals.empty()) {
    const events::Refusal& first = done.refusals.front();
    return finding_page(asked, alert(say("command.refused-field", {{"field", first.field}, {"why", first.why}})), 422);
  }
  return see_other("/gaps/" + asked.at("rule") + "/" + encoded(asked.at("kind")) + "/" + encoded(asked.at("id")) +
                   "?arose=" + encoded(asked.form.find("arose").value_or("")));
}

Result<Response> answer_api_gaps(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  const auto question = review::asked_gaps(wanted_by(asked.query), tables->zone());
  if (question.misuse) return Error(ErrorCode::invalid, *question.misuse);
  TRY_LET(const auto found, review::find_gaps(reader.ledger(), *tables, asked.desk.clock().now(), question.question));
  return json_response(review::to_json(found));
}

}  // namespace trayproof::desk
