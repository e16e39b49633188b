#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {

Grid proof_grid(const Facts& facts) {
  Grid grid = grid_of("proof", {{"what", 27}, {"value", 72}, {"says", 51}});
  grid.filter = false;
  const Proof& proof = facts.proof;
  const auto line = [&](const std::string& key, Cell value) {
    grid.rows.push_back({text(say("workbook.line-" + key)), std::move(value), text(say("workbook.about-" + key))});
  };
  line("origin", text(proof.origin));
  line("size", text(std::to_string(proof.size)));
  line("root", Text{proof.root, Look::fixed_width});
  line("head", Text{proof.head, Look::fixed_width});
  line("checkpoint",
       proof.checkpoint.empty() ? or_not_recorded(std::string()) : Cell(Text{proof.checkpoint, Look::fixed_width}));
  line("ledger-key", Text{proof.ledger_key, Look::fixed_width});
  for (const KeyRow& key : proof.keys) {
    const std::string says = worded(key.sort) + " · " + key.owner + (key.state.empty() ? "" : " · " + key.state);
    grid.rows.push_back({text(say("workbook.line-key")), Text{key.key, Look::fixed_width}, text(says)});
  }
  for (const char* step : {"1", "2", "3", "4"}) {
    grid.rows.push_back(
        {text(say("workbook.line-step", {{"number", step}})), text(say("workbook.step-" + std::string(step)))});
  }
  return grid;
}

}  // namespace trayproof::workbook
