#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {
namespace {

std::string share(const MeasureRow& row) {
  const std::int64_t judged = row.looked_at - row.cannot_tell;
  if (judged <= 0) return say("workbook.nothing-judged");
  // Tenths of a per cent, rounded half up, in whole numbers.
  const std::int64_t tenths = (row.count * 2000 + judged) / (2 * judged);
  return say("workbook.share", {{"percent", std::to_string(tenths / 10) + "." + std::to_string(tenths % 10)},
                                {"judged", std::to_string(judged)}});
}

class Summary {
 public:
  explicit Summary(const Facts& facts) : facts_(facts) {
    grid = grid_of("summary",
                   {{"item", 44}, {"count", 11}, {"looked-at", 11}, {"cannot-tell", 11}, {"share", 26}, {"says", 60}});
    grid.filter = false;
  }

  void head() {
    line("facility", text(facts_.facility));
    line("from", facts_.from ? Cell(*facts_.from) : text(say("workbook.from-first")));
    line("until", facts_.until ? Cell(*facts_.until) : text(say("workbook.until-now")));
    line("as-of", facts_.data_as_of);
    line("zone", text(facts_.zone.name()));
    line("program", text(facts_.program));
    line("patients", text(say(facts_.numbers_shown ? "workbook.numbers-shown" : "workbook.pseudonyms-shown")));
    if (facts_.what_if) line("what-if", Text{say("workbook.what-if"), Look::strong});
    block("record");
    line("origin", text(facts_.proof.origin));
    line("size", text(std::to_string(facts_.proof.size)));
    line("root", Text{facts_.proof.root, Look::fixed_width});
  }

  void editions() {
    block("editions");
    for (const EditionRow& row : facts_.editions) {
      const std::string state = say(row.confirmed ? "workbook.confirmed" : "workbook.unconfirmed");
      // One that was never adopted stands here only to be tried.
      const std::string how = row.seq == 0 ? say("workbook.edition-what-if")
                                           : say("workbook.edition-seq", {{"seq", std::to_string(row.seq)}});
      const std::string says = how + " · " + state;
      push({text(row.title), text(row.edition), Cell(), Cell(),
            row.judges_from ? Cell(*row.judges_from) : text(say("workbook.from-first")), text(says)});
    }
  }

  void measures() {
    block("measures");
    for (const MeasureRow& row : facts_.measures) {
      push({text(row.measure), whole(row.count), whole(row.looked_at), whole(row.cannot_tell), text(share(row)),
            text(row.says)});
    }
  }

  void recalls() {
    block("recalls");
    if (facts_.recalls.empty()) push({text(say("workbook.no-recalls"))});
    for (const RecallRow& row : facts_.recalls) {
      const std::string name = row.drill ? row.recall + " (" + say("workbook.drill") + ")" : row.recall;
      const std::string reached = say("workbook.recall-line", {{"packs", std::to_string(row.packs)},
                                                               {"procedures", std::to_string(row.procedures)},
                                                               {"patients", std::to_string(row.patients)},
                                                               {"unknown", std::to_string(row.patients_unknown)},
                                                               {"fetch", std::to_string(row.to_fetch)}});
      const std::string state = say(row.closed ? "workbook.closed" : "workbook.open");
      push({text(name), text(state), text(worded(row.because) + ", " + row.subject + ": " + reached)});
    }
  }

  void sheets(const std::vector<Grid>& others) {
    block("sheets");
    for (const Grid& other : others) {
      push({Link{other.name, other.name}, whole(static_cast<std::int64_t>(other.rows.size())), text(other.title)});
    }
  }

  void last_words() {
    block("limits-of-it");
    for (const char* key : {"workbook.says-not-checked", "workbook.says-evidence", "workbook.says-complete"}) {
      push({text(say(key))});
    }
  }

  Grid grid;

 private:
  void push(Row row) { grid.rows.push_back(std::move(row)); }
  void line(const std::string& key, Cell value) { push({text(say("workbook.line-" + key)), std::move(value)}); }
  void block(const std::string& key) { push({Text{say("workbook.block-" + key), Look::heading}}); }
  const Facts& facts_;
};

}  // namespace

Grid summary_grid(const Facts& facts, const std::vector<Grid>& others) {
  Summary summary(facts);
  summary.head();
  summary.editions();
  summary.measures();
  summary.recalls();
  summary.sheets(others);
  summary.last_words();
  return std::move(summary.grid);
}

}  // namespace trayproof::workbook
