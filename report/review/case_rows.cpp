// Each procedure with its whole chain: packs, the load that each use rests on, what was recorded of it, and every gap
// that touches the chain, whenever it arose.
#include <algorithm>
#include <set>

#include "ledger/words/words.h"
#include "report/review/chain.h"

namespace trayproof::review {
namespace {

using Uses = std::vector<const gaps::Use*>;

// Where coarse times leave open which load is the relevant one, each that could be is shown.
template <typename Ask>
std::string of_each(const gaps::Use& use, Ask ask) {
  std::vector<std::string> items;
  for (const gaps::Load* load : use.loads) items.push_back(ask(*load));
  return joined(items, say("review.or"));
}

workbook::CasePack pack_row(const Material& material, const gaps::Use& use) {
  workbook::CasePack row;
  row.pack = use.pack->id;
  row.set = use.pack->set;
  row.load = of_each(use, [](const gaps::Load& load) { return load.id; });
  row.verdict = of_each(use, verdict_of);
  row.hold = of_each(use, hold_of);
  row.indicator = of_each(use, [&](const gaps::Load& load) { return indicators_of(load, *use.pack); });
  row.biological = of_each(use, [&](const gaps::Load& load) { return biological_of(material, load); });
  row.release = of_each(use, [&](const gaps::Load& load) { return decision_of(material, load, use.time); });
  row.solution = soaked_in(*use.pack);
  for (const gaps::Load* load : use.loads) row.load_ids.push_back(load->id);
  for (const gaps::TurnStep& step : use.pack->turn) {
    const std::string solution(step.record->kind->name == "soaked" ? step.record->text("solution") : "");
    const bool named = std::find(row.solution_ids.begin(), row.solution_ids.end(), solution) != row.solution_ids.end();
    if (!solution.empty() && !named) row.solution_ids.push_back(solution);
  }
  if (use.pack->packed == nullptr && use.pack->received != nullptr) {
    row.set = say("review.made-elsewhere");
    row.solution = say("review.made-elsewhere");
  }
  return row;
}

bool rests_on_one_of(const gaps::Finding& finding, const std::set<std::int64_t>& seqs) {
  return std::any_of(finding.seqs.begin(), finding.seqs.end(), [&](std::int64_t seq) { return seqs.contains(seq); });
}

class CaseGaps {
 public:
  CaseGaps(const Material& material, const std::set<std::int64_t>& procedures, const gaps::Record& done)
      : material_(material), procedures_(procedures), done_(done) {}

  std::vector<std::string> of(const Uses& uses) {
    add("procedure", done_.text("procedure"), [](const gaps::Finding&) { return true; });
    for (const gaps::Use* use : uses) {
      add_pack(*use->pack);
      for (const gaps::Load* load : use->loads) add_load(*load);
    }
    return rules_of(std::move(found_), done_.text("procedure"));
  }

 private:
  template <typename Fits>
  void add(std::string_view kind, std::string_view id, Fits fits) {
    for (const gaps::Finding* one : material_.ever.about(kind, id)) {
      if (fits(*one) && std::find(found_.begin(), found_.end(), one) == found_.end()) found_.push_back(one);
    }
  }

  void add_pack(const gaps::Pack& pack) {
    add("pack", pack.id, [&](const gaps::Finding& one) { return !is_of_other_use(one); });
    std::set<std::int64_t> turn{done_.seq};
    std::set<std::string_view> solutions;
    for (const gaps::TurnStep& step : pack.turn) {
      turn.insert(step.record->seq);
      if (step.record->kind->name == "soaked") solutions.insert(step.record->text("solution"));
    }
    add("set", pack.set, [&](const gaps::Finding& one) { return rests_on_one_of(one, turn); });
    for (const std::string_view solution : solutions) {
      add("solution", solution, [](const gaps::Finding&) { return true; });
    }
  }

  void add_load(const gaps::Load& load) {
    add("load", load.id, [](const gaps::Finding&) { return true; });
    const auto seqs = load.seqs();
    const std::set<std::int64_t> own(seqs.begin(), seqs.end());
    add("equipment", load.equipment, [&](const gaps::Finding& one) { return rests_on_one_of(one, own); });
    if (load.solution != nullptr) add("solution", load.solution->id, [](const gaps::Finding&) { return true; });
  }

  // A drum serves many procedures: what was found of another one's use is that case's.
  bool is_of_other_use(const gaps::Finding& one) const {
    return !rests_on_one_of(one, {done_.seq}) && rests_on_one_of(one, procedures_);
  }

  const Material& material_;
  const std::set<std::int64_t>& procedures_;
  const gaps::Record& done_;
  std::vector<const gaps::Finding*> found_;
};

std::vector<std::string> newborns_of(const gaps::Record& done) {
  std::vector<std::string> out;
  const json::Value* list = done.value("newborns");
  if (list == nullptr || !list->is_list()) return out;
  for (const json::Value& one : list->items()) {
    if (one.is_text()) out.push_back(one.text());
    if (const auto pseudonym = one.text_at("pseudonym")) out.emplace_back(*pseudonym);
  }
  return out;
}

}  // namespace

std::vector<workbook::CaseRow> case_rows(const Material& material) {
  const auto& procedures = material.facts.of("procedure-done");
  std::map<const gaps::Record*, Uses> uses;
  for (const gaps::Use& use : material.facts.uses) uses[use.procedure].push_back(&use);
  std::set<std::int64_t> seqs;
  for (const gaps::Record& done : procedures) seqs.insert(done.seq);
  std::vector<workbook::CaseRow> rows;
  for (const gaps::Record& done : procedures) {
    if (!material.period.holds(done.at.at)) continue;
    workbook::CaseRow row;
    row.procedure = done.text("procedure");
    row.at = done.at.at;
    row.sort = done.text("sort");
    row.place = done.text("place");
    row.patient = done.text("patient");
    row.newborns = newborns_of(done);
    row.newborns_without_number = static_cast<std::int64_t>(done.number("newborns_without_number").value_or(0));
    for (const gaps::Use* use : uses[&done]) row.packs.push_back(pack_row(material, *use));
    row.gaps = CaseGaps(material, seqs, done).of(uses[&done]);
    rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace trayproof::review
