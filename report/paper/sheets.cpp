#include "report/paper/sheets.h"

#include <algorithm>
#include <set>

#include "ledger/text/locale.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::paper {
namespace {

using workbook::Facts;

std::string stamp(const Facts& facts, const std::optional<Instant>& at) {
  if (!at) return say("workbook.not-recorded");
  return minute_here(facts.zone.local(*at));
}

std::string or_not(const std::string& value) { return value.empty() ? say("workbook.not-recorded") : value; }

std::string number(const std::optional<double>& value, std::string_view unit) {
  return value ? number_here(*value, 1) + " " + std::string(unit) : say("workbook.not-recorded");
}

std::string word(std::string_view machine_word) {
  const std::string key = "workbook.word-" + std::string(machine_word);
  return has_word(key) ? say(key) : std::string(spelled_here(machine_word, "form.choice-"));
}

std::string word(std::string_view machine_word, std::string_view first) {
  return std::string(spelled_here(machine_word, first));
}

std::string head(std::string_view key) { return say("workbook.head-" + std::string(key)); }

template <typename Items>
std::string in_lines(const Items& items) {
  std::string out;
  for (const std::string& one : items) out += (out.empty() ? "" : "\n") + one;
  return out;
}

std::string period_text(const Facts& facts) {
  const auto day = [&](Instant at) { return day_here(facts.zone.civil(at).date); };
  return say("workbook.period", {{"from", facts.from ? day(*facts.from) : say("workbook.from-first")},
                                 {"until", facts.until ? day(*facts.until) : say("workbook.until-now")}});
}

Document blank(const Facts& facts, std::string title) {
  Document out;
  out.title = std::move(title);
  out.created = facts.data_as_of;
  out.foot = say("paper.foot", {{"facility", facts.facility},
                                {"as_of", stamp(facts, facts.data_as_of)},
                                {"zone", facts.zone.name()},
                                {"size", std::to_string(facts.proof.size)},
                                {"head", facts.proof.head.substr(0, 16)},
                                {"program", facts.program}});
  return out;
}

void put_editions(const Facts& facts, Document& out) {
  std::vector<std::string> lines;
  for (const workbook::EditionRow& one : facts.editions) {
    lines.push_back(say("workbook.edition", {{"title", one.title}, {"edition", one.edition}}) + ", " +
                    say(one.confirmed ? "workbook.confirmed" : "workbook.unconfirmed"));
  }
  out.parts.emplace_back(Lines{{{say("paper.judged-by"), in_lines(lines)}}});
  if (!facts.what_if.empty()) out.parts.emplace_back(Paragraph{facts.what_if, true});
  if (std::string notice = unreviewed_notice(); !notice.empty()) out.parts.emplace_back(Paragraph{std::move(notice)});
}

std::string newborns_of(const workbook::CaseRow& row) {
  std::vector<std::string> items = row.newborns;
  if (row.newborns_without_number > 0)
    items.push_back(say("workbook.newborns-without", {{"count", std::to_string(row.newborns_without_number)}}));
  return items.empty() ? say("workbook.none-named") : in_lines(items);
}

// What was found of the things that a sheet is about; the rules alone where the findings lie outside the facts.
void put_gaps(const Facts& facts, const std::vector<std::string>& named, Document& out) {
  out.parts.emplace_back(Heading{head("gaps")});
  if (named.empty()) return void(out.parts.emplace_back(Paragraph{say("paper.no-gaps")}));
  Table table{{head("severity"), head("rule"), head("subject"), head("says"), head("closes"), head("state")},
              {0.1, 0.17, 0.13, 0.27, 0.23, 0.1},
              {}};
  for (const std::string& name : named) {
    const std::string rule = name.substr(0, name.find(' '));
    const std::string subject = rule.size() == name.size() ? std::string() : name.substr(rule.size() + 1);
    const auto found = std::find_if(facts.gaps.begin(), facts.gaps.end(), [&](const workbook::GapRow& one) {
      return one.rule == rule && (subject.empty() || one.subject == subject);
    });
    if (found == facts.gaps.end())
      table.rows.push_back({"", rule, subject, "", "", ""});
    else
      table.rows.push_back({word(found->severity), rule, subject.empty() ? found->subject : subject, found->says,
                            found->closes, workbook::state_in_words(*found)});
  }
  out.parts.emplace_back(std::move(table));
}

void put_last_words(Document& out) { out.parts.emplace_back(Paragraph{say("paper.evidence-only")}); }

Error missing(std::string_view key, const std::string& id) {
  return {ErrorCode::missing, say("paper.missing-" + std::string(key), {{"id", id}})};
}

}  // namespace

Result<Document> case_sheet(const Facts& facts, const std::string& procedure) {
  const auto row = std::find_if(facts.cases.begin(), facts.cases.end(),
                                [&](const workbook::CaseRow& one) { return one.procedure == procedure; });
  if (row == facts.cases.end()) return missing("case", procedure);
  Document out = blank(facts, say("paper.case", {{"procedure", procedure}}));
  out.parts.emplace_back(Lines{{{head("at"), stamp(facts, row->at)},
                                {head("sort"), or_not(row->sort)},
                                {head("place"), or_not(row->place)},
                                {head("patient"), or_not(row->patient)},
                                {head("newborns"), newborns_of(*row)}}});
  put_editions(facts, out);
  out.parts.emplace_back(Heading{say("paper.what-was-used")});
  if (row->packs.empty()) out.parts.emplace_back(Paragraph{say("workbook.no-pack"), true});
  for (const workbook::CasePack& pack : row->packs) {
    out.parts.emplace_back(Paragraph{say("paper.pack", {{"pack", pack.pack}, {"set", or_not(pack.set)}}), true});
    out.parts.emplace_back(
        Lines{{{head("soaked-in"), or_not(pack.solution)},
               {head("load"), pack.load.empty() ? say("workbook.no-load") : pack.load},
               {head("hold"), or_not(pack.hold)},
               {head("verdict"), pack.verdict.empty() ? say("workbook.no-curve") : word(pack.verdict)},
               {head("indicators"), or_not(pack.indicator)},
               {head("biological"), or_not(pack.biological)},
               {head("release"), or_not(pack.release)}}});
  }
  put_gaps(facts, row->gaps, out);
  put_last_words(out);
  out.parts.emplace_back(ToSign{{say("paper.checked-by"), say("paper.on")}});
  return out;
}

Result<Document> load_sheet(const Facts& facts, const std::string& load, const std::vector<picture::Curve>& curves) {
  const auto row = std::find_if(facts.loads.begin(), facts.loads.end(),
                                [&](const workbook::LoadRow& one) { return one.load == load; });
  if (row == facts.loads.end()) return missing("load", load);
  Document out = blank(facts, say("paper.load", {{"load", load}}));
  out.parts.emplace_back(
      Lines{{{head("method"), word(row->method)},
             {head("equipment"), or_not(row->equipment)},
             {head("cycle"), or_not(row->cycle)},
             {head("started"), stamp(facts, row->started)},
             {head("ended"), stamp(facts, row->ended)},
             {head("complete"), row->complete.empty() ? or_not("") : word(row->complete)},
             {head("pack-count"), std::to_string(row->packs)},
             {say("paper.read-temperature"), number(row->temperature_c, "°C")},
             {say("paper.read-pressure"), number(row->pressure_kpa_gauge, "kPa")},
             {say("paper.read-hold"), number(row->hold_min, "min")},
             {head("verdict"), row->verdict.empty() ? say("workbook.no-curve") : word(row->verdict)},
             {head("curve-hold"), number(row->curve_hold_min, "min")},
             {head("indicators"), or_not(row->indicators)},
             {head("biological"), or_not(row->biological)},
             {head("decision"), row->decision.empty() ? say("workbook.undecided") : word(row->decision)},
             {head("decided"), stamp(facts, row->decided)},
             {head("decided-by"), or_not(row->decided_by)}}});
  put_editions(facts, out);
  put_gaps(facts, row->gaps, out);
  out.parts.emplace_back(Heading{say("paper.used-for")});
  Table uses{
      {head("procedure"), head("at"), head("pack"), head("sets"), head("patient")}, {0.16, 0.18, 0.16, 0.2, 0.3}, {}};
  for (const workbook::CaseRow& one : facts.cases) {
    for (const workbook::CasePack& pack : one.packs) {
      if (std::find(pack.load_ids.begin(), pack.load_ids.end(), load) != pack.load_ids.end())
        uses.rows.push_back({one.procedure, stamp(facts, one.at), pack.pack, or_not(pack.set), or_not(one.patient)});
    }
  }
  if (uses.rows.empty())
    out.parts.emplace_back(Paragraph{say("paper.not-used")});
  else
    out.parts.emplace_back(std::move(uses));
  for (const picture::Curve& curve : curves) {
    out.parts.emplace_back(Heading{say("paper.curve")});
    out.parts.emplace_back(Drawing{curve});
  }
  put_last_words(out);
  out.parts.emplace_back(ToSign{{say("paper.checked-by"), say("paper.on")}});
  return out;
}

namespace {

// Those of `now` that `opened` lacks.
std::vector<const json::Value*> put_on_since(const json::Value* now, const json::Value& opened, std::string_view id) {
  std::set<std::string, std::less<>> listed;
  for (const json::Value& one : opened.items()) listed.emplace(one.text_at(id).value_or(""));
  std::vector<const json::Value*> out;
  if (now == nullptr || !now->is_list()) return out;
  for (const json::Value& one : now->items()) {
    if (!listed.contains(one.text_at(id).value_or(""))) out.push_back(&one);
  }
  return out;
}

}  // namespace

Result<Document> recall_sheet(const Facts& facts, const std::string& recall, const std::optional<json::Value>& answer,
                              const std::optional<json::Value>& now,
                              const std::vector<std::pair<std::string, std::string>>& answered) {
  const auto row = std::find_if(facts.recalls.begin(), facts.recalls.end(),
                                [&](const workbook::RecallRow& one) { return one.recall == recall; });
  if (row == facts.recalls.end()) return missing("recall", recall);
  Document out = blank(facts, say("paper.recall", {{"recall", recall}}));
  if (row->drill) out.mark = say("workbook.drill");
  std::string closing = row->closed ? stamp(facts, row->closed) : say("paper.not-closed");
  if (row->state == "reopened" || row->state == "awaiting-second") closing += " – " + workbook::closing_state(*row);
  out.parts.emplace_back(
      Lines{{{head("because"), word(row->because, "desk.because-")},
             {head("subject"), row->subject},
             {head("opened"), stamp(facts, row->opened)},
             {head("as-of"), stamp(facts, row->as_of)},
             {head("known-at"), std::to_string(row->known_at)},
             {head("load-count"), std::to_string(row->loads)},
             {head("pack-count"), std::to_string(row->packs)},
             {head("to-fetch"), std::to_string(row->to_fetch)},
             {head("procedure-count"), std::to_string(row->procedures)},
             {head("patient-count"), std::to_string(row->patients)},
             {head("patients-unknown"), std::to_string(row->patients_unknown)},
             {head("closed"), closing},
             {head("conclusion"), row->closed ? or_not(row->conclusion) : say("paper.not-closed")}}});
  const auto answer_for = [&](const std::string& id) {
    std::string last;
    for (const auto& [of, outcome] : answered) {
      if (of == id) last = word(outcome, "desk.outcome-");
    }
    return last;
  };
  const json::Value* packs = answer ? answer->find("packs") : nullptr;
  const json::Value* procedures = answer ? answer->find("procedures") : nullptr;
  if (packs == nullptr || procedures == nullptr || !packs->is_list() || !procedures->is_list()) {
    out.parts.emplace_back(Paragraph{say("paper.list-gone"), true});
    return out;
  }
  const auto field = [](const json::Value& one, std::string_view name) {
    return std::string(one.text_at(name).value_or(""));
  };
  out.parts.emplace_back(Heading{say("paper.packs-to-fetch")});
  Table fetch{{head("pack"), head("sets"), head("load"), say("paper.standing"), head("place"), say("paper.outcome"),
               say("paper.initials")},
              {0.14, 0.14, 0.14, 0.14, 0.14, 0.18, 0.12},
              {}};
  const auto add_pack = [&](const json::Value& one, const std::string& since) {
    fetch.rows.push_back({field(one, "pack"), field(one, "set"), field(one, "load"),
                          word(field(one, "standing"), "word.") + since, field(one, "place"), answer_for(field(one, "pack")),
                          ""});
  };
  const auto present = [&](std::string_view list) { return now ? now->find(list) : nullptr; };
  const std::string since = " (" + say("paper.put-on-since") + ")";
  for (const json::Value& one : packs->items()) add_pack(one, "");
  for (const json::Value* one : put_on_since(present("packs"), *packs, "pack")) add_pack(*one, since);
  out.parts.emplace_back(std::move(fetch));
  out.parts.emplace_back(Heading{say("paper.people-reached")});
  Table reached{{head("procedure"), head("at"), head("place"), head("patient"), head("newborns"), head("packs"),
                 say("paper.outcome"), say("paper.initials")},
                {0.1, 0.12, 0.11, 0.19, 0.19, 0.11, 0.1, 0.08},
                {}};
  const auto add_procedure = [&](const json::Value& one, const std::string& late) {
    std::vector<std::string> used, newborns;
    if (const json::Value* born = one.find("newborns"); born != nullptr && born->is_list()) {
      for (const json::Value& newborn : born->items()) newborns.emplace_back(newborn.is_text() ? newborn.text() : "");
    }
    if (const json::Value* uses = one.find("uses")) {
      for (const json::Value& use : uses->items()) used.push_back(field(use, "pack"));
    }
    const auto at = parse_date_time(field(one, "at"));
    reached.rows.push_back({field(one, "procedure") + late, at ? stamp(facts, at->instant) : "", field(one, "place"),
                            or_not(field(one, "patient")), in_lines(newborns), in_lines(used),
                            answer_for(field(one, "procedure")), ""});
  };
  const json::Value* handled = answer->find("handled_procedures");
  const std::string only = " (" + say("paper.handled-only") + ")";
  for (const json::Value& one : procedures->items()) add_procedure(one, "");
  for (const json::Value* one : put_on_since(present("procedures"), *procedures, "procedure"))
    add_procedure(*one, since);
  if (handled != nullptr && handled->is_list()) {
    for (const json::Value& one : handled->items()) add_procedure(one, only);
    for (const json::Value* one : put_on_since(present("handled_procedures"), *handled, "procedure"))
      add_procedure(*one, only + since);
  }
  out.parts.emplace_back(std::move(reached));
  put_last_words(out);
  out.parts.emplace_back(ToSign{{say("paper.closed-by"), say("paper.second"), say("paper.on")}});
  return out;
}

Document register_sheet(const Facts& facts) {
  Document out = blank(facts, say("paper.register", {{"facility", facts.facility}, {"period", period_text(facts)}}));
  out.landscape = true;
  put_editions(facts, out);
  out.parts.emplace_back(Heading{say("paper.register-cases")});
  Table cases{{say("paper.number"), head("at"), head("procedure"), head("patient"), head("sort"), head("packs"),
               head("sets"), head("loads"), head("indicators"), head("release"), head("gaps"), say("paper.initials")},
              {0.03, 0.08, 0.07, 0.13, 0.07, 0.08, 0.08, 0.09, 0.11, 0.12, 0.09, 0.05},
              {}};
  for (std::size_t i = 0; i < facts.cases.size(); ++i) {
    const workbook::CaseRow& row = facts.cases[i];
    std::vector<std::string> packs, sets, loads, strips, releases;
    for (const workbook::CasePack& pack : row.packs) {
      const auto add = [&](std::vector<std::string>& to, const std::string& value) {
        if (std::find(to.begin(), to.end(), value) == to.end()) to.push_back(value);
      };
      packs.push_back(pack.pack);
      add(sets, or_not(pack.set));
      add(loads, pack.load.empty() ? say("workbook.no-load") : pack.load);
      add(strips, or_not(pack.indicator));
      add(releases, or_not(pack.release));
    }
    if (row.packs.empty()) packs.push_back(say("workbook.no-pack"));
    cases.rows.push_back({std::to_string(i + 1), stamp(facts, row.at), row.procedure, or_not(row.patient),
                          or_not(row.sort), in_lines(packs), in_lines(sets), in_lines(loads), in_lines(strips),
                          in_lines(releases), row.gaps.empty() ? say("workbook.none-found") : in_lines(row.gaps), ""});
  }
  out.parts.emplace_back(std::move(cases));
  out.parts.emplace_back(Heading{say("paper.register-loads")});
  Table loads{{say("paper.number"), head("started"), head("load"), head("method"), head("equipment"), head("cycle"),
               say("paper.readings"), head("verdict"), head("indicators"), head("biological"), head("decision"),
               say("paper.initials")},
              {0.03, 0.09, 0.08, 0.09, 0.09, 0.07, 0.12, 0.08, 0.12, 0.1, 0.08, 0.05},
              {}};
  for (const workbook::LoadRow& row : facts.loads) {
    if (row.earlier) continue;
    const std::string readings = say("paper.three-readings", {{"temperature", number(row.temperature_c, "°C")},
                                                              {"pressure", number(row.pressure_kpa_gauge, "kPa")},
                                                              {"hold", number(row.hold_min, "min")}});
    loads.rows.push_back({std::to_string(loads.rows.size() + 1), stamp(facts, row.started), row.load, word(row.method),
                          or_not(row.equipment), or_not(row.cycle), readings,
                          row.verdict.empty() ? say("workbook.no-curve") : word(row.verdict), or_not(row.indicators),
                          or_not(row.biological), row.decision.empty() ? say("workbook.undecided") : word(row.decision),
                          ""});
  }
  out.parts.emplace_back(std::move(loads));
  put_last_words(out);
  out.parts.emplace_back(ToSign{{say("paper.month-by"), say("paper.on")}});
  return out;
}

}  // namespace trayproof::paper
