// Each solution prepared or used in the period: what was meant, what the amounts give, how it was tested, how long it
// served.
#include <algorithm>

#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/gaps/looking.h"
#include "report/review/material.h"

namespace trayproof::review {
namespace {

struct Recipe {
  std::string text;
  std::optional<double> percent;
};

// Powder counts in grams to the 100 ml of water, as the published formula has it (powder in g/l = wanted / available ×
// 1000: WHO; Jhpiego/IARC manual).
Recipe recipe_of(const gaps::Record& prepared) {
  const auto water = prepared.number("water_ml");
  const auto stock = prepared.number("stock_ml");
  const auto stock_percent = prepared.number("stock_percent");
  if (water && stock && stock_percent) {
    Recipe recipe{say("review.recipe-stock", {{"percent", number_here(*stock_percent, 2)},
                                              {"stock", amount_here(*stock, 1)},
                                              {"water", amount_here(*water, 1)}}),
                  {}};
    if (*stock + *water > 0) recipe.percent = *stock_percent * *stock / (*stock + *water);
    return recipe;
  }
  const auto powder = prepared.number("powder_g");
  const auto available = prepared.number("available_percent");
  if (water && powder && available) {
    Recipe recipe{say("review.recipe-powder", {{"percent", number_here(*available, 2)},
                                               {"powder", amount_here(*powder, 1)},
                                               {"water", amount_here(*water, 1)}}),
                  {}};
    if (*water > 0) recipe.percent = *available * *powder / *water;
    return recipe;
  }
  if (prepared.flag("ready_to_use").value_or(false)) return {say("review.recipe-ready"), std::nullopt};
  return {};
}

std::string tests_of(const Material& material, const gaps::Solution& solution) {
  std::vector<std::string> items;
  for (const gaps::Record* test : solution.tests) {
    std::string result = say("review.no-result");
    if (const auto percent = test->number("percent")) result = number_here(*percent, 3) + " %";
    if (!test->text("strip").empty()) result = say("review.strip", {{"result", test->text("strip")}});
    items.push_back(result + ", " + material.stamp(test->at.at));
  }
  return joined(items, "\n");
}

std::vector<Instant> uses_of(const gaps::Solution& solution) {
  std::vector<Instant> uses;
  for (const gaps::Soak* soak : solution.soaks) uses.push_back(soak->record->at.at);
  for (const gaps::Load* load : solution.loads) {
    if (load->has_time()) uses.push_back(load->start().at);
  }
  std::sort(uses.begin(), uses.end());
  return uses;
}

workbook::SolutionRow row_of(const Material& material, const gaps::Solution& solution,
                             const std::vector<Instant>& uses) {
  workbook::SolutionRow row;
  row.solution = solution.id;
  row.agent = solution.agent();
  row.use = solution.use();
  if (const gaps::Record* prepared = solution.prepared) {
    row.prepared = prepared->at.at;
    row.by = prepared->by;
    row.percent = prepared->number("percent");
    Recipe recipe = recipe_of(*prepared);
    row.recipe = std::move(recipe.text);
    row.worked_out_percent = recipe.percent;
    row.lot = prepared->text("lot");
    if (const auto life = gaps::life_end(material.facts, solution); life.end) row.end_of_life = life.end->at;
  }
  row.tests = tests_of(material, solution);
  row.uses = static_cast<std::int64_t>(uses.size());
  if (!uses.empty()) {
    row.first_use = uses.front();
    row.last_use = uses.back();
  }
  if (solution.discarded != nullptr) row.discarded = solution.discarded->at.at;
  row.gaps = rules_of(material.ever.about("solution", solution.id), solution.id);
  return row;
}

}  // namespace

std::vector<workbook::SolutionRow> solution_rows(const Material& material) {
  std::vector<workbook::SolutionRow> rows;
  const auto rests_on = material.rests_on();
  for (const auto& [id, solution] : material.facts.solutions) {
    const auto uses = uses_of(solution);
    const bool prepared_here = solution.prepared != nullptr && material.period.holds(solution.prepared->at.at);
    const bool used_here = std::any_of(uses.begin(), uses.end(), [&](Instant at) { return material.period.holds(at); });
    if (prepared_here || used_here || rests_on.solutions.contains(id)) rows.push_back(row_of(material, solution, uses));
  }
  std::stable_sort(rows.begin(), rows.end(), [](const workbook::SolutionRow& a, const workbook::SolutionRow& b) {
    return a.prepared.value_or(a.first_use.value_or(Instant{})) < b.prepared.value_or(b.first_use.value_or(Instant{}));
  });
  return rows;
}

}  // namespace trayproof::review
