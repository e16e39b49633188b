// The case itself on the page: from the patient back to the load, its curve, its strips and who decided, step by step.
#include <algorithm>

#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/evidence/parts.h"
#include "report/gaps/looking.h"
#include "report/review/chain.h"

namespace trayproof::evidence {
namespace {

using markup::element;
using markup::Element;
using markup::Markup;

class Story {
 public:
  explicit Story(const Telling& telling) : telling_(telling), facts_(telling.facts()) {}

  Result<Markup> run() {
    const std::string& kind = telling_.belonging.subject.kind;
    if (kind == "procedure") TRY(procedure());
    if (kind == "load") TRY(load_case());
    if (kind == "pack") TRY(pack_case());
    if (kind == "set" || kind == "solution") TRY(packs_of_it());
    return out_;
  }

 private:
  void put(const Markup& markup) { out_.add(markup); }
  void put(const Element& element) { out_.add(element.markup()); }
  void head(std::string_view text) { put(element("h2", text)); }

  Result<void> add_step(std::vector<Step>& steps, const gaps::Record& record) const {
    return evidence::add_step(steps, telling_, record);
  }
  void put_steps(std::vector<Step> steps) { put(steps_list(std::move(steps), telling_)); }

  // How a load ran, what was measured and read of it, and what was decided.
  Result<void> add_load(std::vector<Step>& steps, const gaps::Load& load) const {
    if (load.started != nullptr) TRY(add_step(steps, *load.started));
    for (const gaps::Record* change : load.changes) TRY(add_step(steps, *change));
    if (load.ended != nullptr) TRY(add_step(steps, *load.ended));
    for (const gaps::Curve* curve : load.curves) steps.push_back(curve_step(*curve));
    for (const gaps::Indicator* strip : load.indicators) {
      if (strip->pack.empty()) TRY(add_step(steps, *strip->record));
    }
    for (const gaps::Record* placed : load.placed) TRY(add_step(steps, *placed));
    for (const gaps::Biological* reading : load.biologicals) TRY(add_step(steps, *reading->record));
    for (const gaps::Record* decision : load.decisions) TRY(add_step(steps, *decision));
    return {};
  }

  Step curve_step(const gaps::Curve& curve) const {
    const std::string verdict = curve.verdict.empty() ? say("pack.not-judged") : say("pack.verdict-" + curve.verdict);
    const auto hold = gaps::curve_part(curve, "hold", "minutes");
    const std::string says =
        say("pack.curve-step", {{"logger", curve.logger.empty() ? say("pack.not-recorded") : curve.logger},
                                {"verdict", verdict},
                                {"hold", hold ? number_here(*hold, 2) : say("pack.not-recorded")}});
    return {curve.from, curve.seq, curve.logger, says};
  }

  // Up to `until` where it is given: what happened to the pack later is another case's.
  Result<void> add_pack(std::vector<Step>& steps, const gaps::Pack& pack, std::optional<Instant> until) const {
    for (const gaps::TurnStep& step : pack.turn) TRY(add_step(steps, *step.record));
    if (pack.made() != nullptr) TRY(add_step(steps, *pack.made()));
    for (const gaps::Move& move : pack.moves) {
      if (!until || move.record->at.at <= *until) TRY(add_step(steps, *move.record));
    }
    for (const gaps::Indicator* strip : pack.indicators) {
      if (!until || strip->record->at.at <= *until) TRY(add_step(steps, *strip->record));
    }
    return {};
  }

  void load_facts(const gaps::Load& load) {
    const review::Material here = telling_.within(load.start().at, load.start().at);
    for (const workbook::LoadRow& row : review::load_rows(here)) {
      if (row.load != load.id) continue;
      FactList facts;
      facts.add("pack.fact-method", spelled_here(row.method));
      facts.add("pack.fact-machine", row.equipment);
      facts.add("pack.fact-cycle", row.cycle);
      if (row.started) facts.add("pack.fact-started", telling_.stamp(*row.started));
      facts.add("pack.fact-ended", row.ended ? telling_.stamp(*row.ended) : say("pack.not-recorded"));
      facts.add("pack.fact-operator", operator_readings(row));
      facts.add("pack.fact-curve", row.verdict.empty() ? say("pack.no-curve") : say("pack.verdict-" + row.verdict));
      facts.add("pack.fact-hold", review::hold_of(load));
      if (row.f0_low) facts.add("pack.fact-f0", say("pack.minutes", {{"minutes", number_here(*row.f0_low, 1)}}));
      facts.add("pack.fact-strips", row.indicators.empty() ? say("pack.not-recorded") : row.indicators);
      facts.add("pack.fact-biological", row.biological.empty() ? say("pack.not-recorded") : row.biological);
      const std::string decided = row.decided ? say("pack.decided", {{"decision", say("workbook.word-" + row.decision)},
                                                                     {"at", telling_.stamp(*row.decided)},
                                                                     {"by", row.decided_by}})
                                              : say("pack.not-recorded");
      facts.add("pack.fact-decision", decided);
      put(facts.markup());
    }
  }

  static std::string operator_readings(const workbook::LoadRow& row) {
    std::vector<std::string> items;
    if (row.temperature_c) items.push_back(number_here(*row.temperature_c, 1) + " °C");
    if (row.pressure_kpa_gauge)
      items.push_back(say("pack.kpa-gauge", {{"kpa", number_here(*row.pressure_kpa_gauge, 1)}}));
    if (row.hold_min) items.push_back(say("pack.minutes", {{"minutes", number_here(*row.hold_min, 1)}}));
    return items.empty() ? say("pack.not-recorded") : review::joined(items, ", ");
  }

  Result<void> procedure() {
    const std::string& id = telling_.belonging.subject.id;
    head(say("pack.head-procedure"));
    for (const gaps::Record& done : facts_.of("procedure-done")) {
      if (done.text("procedure") != id) continue;
      const review::Material here = telling_.within(done.at.at, done.at.at);
      for (const workbook::CaseRow& row : review::case_rows(here)) {
        if (row.procedure == id) TRY(procedure_row(done, row));
      }
    }
    return {};
  }

  Result<void> procedure_row(const gaps::Record& done, const workbook::CaseRow& row) {
    FactList facts;
    facts.add("pack.fact-when", telling_.stamp(done.at.at));
    facts.add("pack.fact-sort", row.sort);
    facts.add("pack.fact-place", row.place);
    facts.add("pack.fact-patient", row.patient.empty() ? say("pack.not-recorded") : telling_.patient(row.patient));
    std::vector<std::string> newborns;
    for (const std::string& one : row.newborns) newborns.push_back(telling_.patient(one));
    facts.add("pack.fact-newborns", review::joined(newborns, ", "));
    facts.add("pack.fact-by", done.by);
    put(facts.markup());
    put(Element("p")
            .with("class", "quiet")
            .text(say(telling_.numbers.empty() ? "pack.pseudonyms" : "pack.numbers-shown")));
    std::vector<Step> own;
    TRY(add_step(own, done));
    put_steps(own);
    for (const workbook::CasePack& pack : row.packs) TRY(used_pack(done, pack));
    if (row.packs.empty()) put(element("p", say("pack.no-packs")));
    return {};
  }

  Result<void> used_pack(const gaps::Record& done, const workbook::CasePack& row) {
    put(element("h3", say("pack.head-pack",
                          {{"pack", row.pack}, {"set", row.set.empty() ? say("pack.not-recorded") : row.set}})));
    FactList facts;
    facts.add("pack.fact-load", row.load.empty() ? say("pack.no-load") : row.load);
    facts.add("pack.fact-curve", row.verdict.empty() ? say("pack.no-curve") : verdict_words(row.verdict));
    facts.add("pack.fact-hold", row.hold);
    facts.add("pack.fact-strips", row.indicator.empty() ? say("pack.not-recorded") : row.indicator);
    facts.add("pack.fact-biological", row.biological);
    facts.add("pack.fact-decision", row.release);
    facts.add("pack.fact-soaked", row.solution);
    put(facts.markup());
    std::vector<Step> steps;
    const gaps::Pack* pack = facts_.pack(row.pack);
    if (pack != nullptr) TRY(add_pack(steps, *pack, done.at.at));
    for (const gaps::Use& use : facts_.uses) {
      if (use.procedure != &done || use.pack != pack) continue;
      for (const gaps::Load* load : use.loads) TRY(add_load(steps, *load));
    }
    steps.push_back(
        {done.at.at, done.seq, std::string(done.by), say("pack.used-here", {{"procedure", done.text("procedure")}})});
    put_steps(std::move(steps));
    return {};
  }

  // Of coarse times there may be several, one verdict each.
  static std::string verdict_words(const std::string& verdict) {
    return has_word("pack.verdict-" + verdict) ? say("pack.verdict-" + verdict) : verdict;
  }

  Result<void> load_case() {
    const gaps::Load* load = facts_.load(telling_.belonging.subject.id);
    head(say("pack.head-load"));
    if (load == nullptr || !load->has_time()) {
      put(element("p", say("pack.load-untold")));
      return {};
    }
    load_facts(*load);
    std::vector<Step> steps;
    TRY(add_load(steps, *load));
    put_steps(std::move(steps));
    put(element("h3", say("pack.head-held")));
    Table table({say("pack.column-pack"), say("pack.column-set"), say("pack.column-strip"), say("pack.column-used")});
    for (const gaps::Pack* pack : load->packs)
      table.row({pack->id, pack->set, review::indicators_of(*load, *pack), uses_of(*pack, load)});
    put(table.markup());
    return {};
  }

  // The procedures that used the pack; with a load, as it came from that load.
  std::string uses_of(const gaps::Pack& pack, const gaps::Load* load) const {
    std::vector<std::string> items;
    for (const gaps::Use* use : pack.uses) {
      if (load != nullptr && std::find(use->loads.begin(), use->loads.end(), load) == use->loads.end()) continue;
      const std::string patient(use->procedure->text("patient"));
      items.push_back(
          say("pack.used-in", {{"procedure", use->procedure_id},
                               {"at", telling_.stamp(use->time.at)},
                               {"patient", patient.empty() ? say("pack.not-recorded") : telling_.patient(patient)}}));
    }
    return items.empty() ? say("pack.no-use") : review::joined(items, "; ");
  }

  Result<void> pack_case() {
    const gaps::Pack* pack = facts_.pack(telling_.belonging.subject.id);
    head(say("pack.head-one-pack"));
    if (pack == nullptr) return {};
    FactList facts;
    facts.add("pack.fact-set", pack->set);
    facts.add("pack.fact-wrap", spelled_here(pack->wrap));
    facts.add("pack.fact-soaked", review::soaked_in(*pack));
    facts.add("pack.fact-used", uses_of(*pack, nullptr));
    put(facts.markup());
    std::vector<Step> steps;
    TRY(add_pack(steps, *pack, std::nullopt));
    for (const gaps::Load* load : pack->loads) TRY(add_load(steps, *load));
    for (const gaps::Use* use : pack->uses) TRY(add_step(steps, *use->procedure));
    put_steps(std::move(steps));
    return {};
  }

  Result<void> packs_of_it() {
    head(say("pack.head-packs"));
    Table table({say("pack.column-pack"), say("pack.column-set"), say("pack.column-loads"), say("pack.column-used")});
    for (const std::string& id : telling_.belonging.packs) {
      const gaps::Pack* pack = facts_.pack(id);
      if (pack == nullptr) continue;
      std::vector<std::string> loads;
      for (const gaps::Load* load : pack->loads) loads.push_back(load->id);
      table.row({id, pack->set, review::joined(loads, ", "), uses_of(*pack, nullptr)});
    }
    put(table.markup());
    return {};
  }

  const Telling& telling_;
  const gaps::Facts& facts_;
  Markup out_;
};

}  // namespace

Result<Markup> story(const Telling& telling) {
  return telling.belonging.recall ? recall_story(telling) : Story(telling).run();
}

}  // namespace trayproof::evidence
