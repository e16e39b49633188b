// A recall on the page: why, whom it reached, and what was done since.
#include "ledger/words/words.h"
#include "report/evidence/parts.h"
#include "report/review/chain.h"

namespace trayproof::evidence {
namespace {

using markup::element;
using markup::Element;
using markup::Markup;

class RecallPart {
 public:
  explicit RecallPart(const Telling& telling) : telling_(telling), facts_(telling.facts()) {}

  Result<void> tell();
  const Markup& markup() const { return out_; }

 private:
  void put(const Markup& markup) { out_.add(markup); }
  void put(const Element& element) { out_.add(element.markup()); }
  static std::string about(const json::Value& subject);
  void recall_counts(const recall::Answer& answer);
  void recall_lists(const recall::Answer& answer);
  std::string answered(std::string_view kind, const std::string& id) const;

  const Telling& telling_;
  const gaps::Facts& facts_;
  Markup out_;
};

std::string RecallPart::answered(std::string_view kind, const std::string& id) const {
  std::vector<std::string> items;
  for (const gaps::Record& answer : facts_.of("recall-answered")) {
    if (answer.text("recall") != telling_.belonging.subject.id || answer.text(kind) != id) continue;
    items.push_back(say("pack.answered", {{"outcome", answer.text("outcome")}, {"at", telling_.stamp(answer.at.at)}}));
  }
  return items.empty() ? say("pack.not-answered") : review::joined(items, "; ");
}

// "load DA-1, pack PK-2"
std::string RecallPart::about(const json::Value& subject) {
  std::vector<std::string> items;
  for (const json::Member& member : subject.members()) {
    std::vector<std::string> values;
    if (member.value.is_text()) values.push_back(member.value.text());
    if (member.value.is_list()) {
      for (const json::Value& one : member.value.items())
        values.push_back(one.is_text() ? one.text() : json::plain(one));
    }
    items.push_back(std::string(spelled_here(member.name)) + " " + review::joined(values, ", "));
  }
  return review::joined(items, "; ");
}

void RecallPart::recall_counts(const recall::Answer& answer) {
  const auto text = [](std::int64_t count) { return std::to_string(count); };
  const recall::Counts& counts = answer.counts;
  FactList facts;
  facts.add("pack.count-loads", text(counts.loads));
  facts.add("pack.count-packs", text(counts.packs));
  facts.add("pack.count-procedures", text(counts.procedures));
  facts.add("pack.count-patients", text(counts.patients));
  facts.add("pack.count-unknown", text(counts.patients_unknown));
  facts.add("pack.count-missing", text(counts.evidence_missing));
  if (counts.handled_procedures > 0) facts.add("pack.count-handled", text(counts.handled_procedures));
  put(facts.markup());
}

void RecallPart::recall_lists(const recall::Answer& answer) {
  const auto at = [&](const std::optional<std::int64_t>& ms) { return ms ? telling_.stamp({*ms}) : std::string(); };
  put(element("h3", say("pack.head-loads")));
  Table loads({say("pack.column-load"), say("pack.column-machine"), say("pack.column-started"),
               say("pack.column-released"), say("pack.column-curve"), say("pack.column-biological")});
  for (const recall::AffectedLoad& one : answer.loads) {
    const gaps::Load* load = facts_.load(one.load);
    const std::string verdict = load == nullptr ? std::string() : review::verdict_of(*load);
    loads.row({one.load, one.equipment.value_or(""), at(one.started_ms),
               one.released_ms ? at(one.released_ms) : say("pack.not-released"),
               verdict.empty() ? say("pack.no-curve") : say("pack.verdict-" + verdict),
               load == nullptr ? std::string() : review::biological_of(telling_.material, *load)});
  }
  put(loads.markup());
  put(element("h3", say("pack.head-reached")));
  Table procedures({say("pack.column-procedure"), say("pack.column-when"), say("pack.column-patient"),
                    say("pack.column-packs"), say("pack.column-answered")});
  for (const auto* list : {&answer.procedures, &answer.handled_procedures}) {
    for (const recall::AffectedProcedure& one : *list) {
      std::vector<std::string> packs;
      for (const recall::AffectedUse& use : one.uses)
        packs.push_back(use.load ? say("pack.from-load", {{"pack", use.pack}, {"load", *use.load}}) : use.pack);
      procedures.row({one.procedure, telling_.stamp({one.at_ms}), telling_.patient(one.patient.value_or("")),
                      review::joined(packs, ", "), answered("procedure", one.procedure)});
    }
  }
  put(procedures.markup());
  put(element("h3", say("pack.head-standing")));
  Table packs({say("pack.column-pack"), say("pack.column-set"), say("pack.column-load"), say("pack.column-standing"),
               say("pack.column-place"), say("pack.column-answered")});
  for (const recall::AffectedPack& one : answer.packs)
    packs.row({one.pack, one.set.value_or(""), one.load.value_or(""), std::string(spelled_here(recall::name_of(one.standing), "word.")),
               one.place.value_or(""), answered("pack", one.pack)});
  put(packs.markup());
}

Result<void> RecallPart::tell() {
  const std::string& id = telling_.belonging.subject.id;
  const auto found = facts_.recalls.find(id);
  if (!telling_.belonging.recall || found == facts_.recalls.end() || found->second.opened == nullptr) return {};
  const recall::Answer& answer = telling_.belonging.recall->answer;
  const gaps::Record& opened = *found->second.opened;
  put(element("h2", say(found->second.drill ? "pack.head-drill" : "pack.head-recall")));
  FactList facts;
  facts.add("pack.fact-because", spelled_here(opened.text("because"), "desk.because-"));
  facts.add("pack.fact-about", about(recall::subject_of(answer.request, answer.zone)));
  facts.add("pack.fact-opened", telling_.stamp(opened.at.at));
  facts.add("pack.fact-state", say("pack.recall-state", {{"as_of", telling_.stamp(answer.as_of)},
                                                         {"known_at", std::to_string(answer.known_at)}}));
  const auto bound = [&](const std::optional<recall::Bound>& one) {
    return one ? say("pack.bound",
                     {{"load", one->load.value_or(say("pack.passed-check"))}, {"at", telling_.stamp(one->at)}})
               : say("pack.no-bound");
  };
  facts.add("pack.fact-after", bound(answer.after));
  facts.add("pack.fact-before", bound(answer.before));
  const gaps::Record* closed = found->second.closed;
  facts.add("pack.fact-closed", closed != nullptr ? telling_.stamp(closed->at.at) : say("pack.still-open"));
  put(facts.markup());
  put(Element("p")
          .with("class", telling_.belonging.recall->same_as_opened ? "quiet" : "warn")
          .text(say(telling_.belonging.recall->same_as_opened ? "pack.answer-same" : "pack.answer-differs",
                    {{"sha256", telling_.belonging.recall->answer_sha256}})));
  recall_counts(answer);
  recall_lists(answer);
  put(element("h3", say("pack.head-since")));
  std::vector<Step> steps;
  TRY(add_step(steps, telling_, opened));
  for (const gaps::Record& one : facts_.of("recall-answered")) {
    if (one.text("recall") == id) TRY(add_step(steps, telling_, one));
  }
  if (closed != nullptr) TRY(add_step(steps, telling_, *closed));
  put(steps_list(std::move(steps), telling_));
  return {};
}

}  // namespace

Result<Markup> recall_story(const Telling& telling) {
  RecallPart story(telling);
  TRY(story.tell());
  return story.markup();
}

}  // namespace trayproof::evidence
