#include "ledger/text/locale.h"
#include "ledger/words/language.h"
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
  return say("workbook.share", {{"percent", number_here(std::to_string(tenths / 10) + "." + std::to_string(tenths % 10))},
                                {"judged", std::to_string(judged)}});
}

class Lines {
 public:
  void push(Row row) { grid.rows.push_back(std::move(row)); }
  void line(const std::string& key, Cell value) { push({text(say("workbook.line-" + key)), std::move(value)}); }
  void block(const std::string& key) { push({Text{say("workbook.block-" + key), Look::heading}}); }
  Grid grid;
};

void put_record(const Facts& facts, Lines& lines) {
  lines.block("record");
  lines.line("origin", text(facts.proof.origin));
  lines.line("size", text(std::to_string(facts.proof.size)));
  lines.line("root", Text{facts.proof.root, Look::fixed_width});
  lines.line("checkpoint", facts.proof.checkpoint.empty() ? or_not_recorded(std::string())
                                                          : Cell(Text{facts.proof.checkpoint, Look::fixed_width}));
}

void put_editions(const Facts& facts, Lines& lines) {
  lines.block("editions");
  for (const EditionRow& row : facts.editions) {
    const std::string state = say(row.confirmed ? "workbook.confirmed" : "workbook.unconfirmed");
    // One that was never adopted stands here only to be tried.
    const std::string how = row.seq == 0 ? say("workbook.edition-what-if")
                                         : say("workbook.edition-seq", {{"seq", std::to_string(row.seq)}});
    const std::string name = say("workbook.edition", {{"title", row.title}, {"edition", row.edition}});
    lines.push({text(name), row.judges_from ? Cell(*row.judges_from) : text(say("workbook.from-first")),
                text(how + " · " + state)});
  }
}

}  // namespace

Grid cover_grid(const Facts& facts, const std::vector<Sheet>& contents) {
  Lines lines;
  lines.grid = grid_of("cover", {{"item", 46}, {"value", 24}, {"says", 96}});
  lines.grid.title = facts.facility + " · " + lines.grid.title;
  lines.grid.filter = false;
  lines.line("facility", Text{facts.facility, Look::strong});
  lines.line("from", facts.from ? Cell(*facts.from) : text(say("workbook.from-first")));
  lines.line("until", facts.until ? Cell(*facts.until) : text(say("workbook.until-now")));
  lines.line("as-of", facts.data_as_of);
  lines.line("zone", text(facts.zone.name()));
  lines.line("program", text(facts.program));
  lines.line("patients", text(say(facts.numbers_shown ? "workbook.numbers-shown" : "workbook.pseudonyms-shown")));
  if (!facts.what_if.empty()) lines.line("what-if", Text{facts.what_if, Look::strong});
  put_editions(facts, lines);
  put_record(facts, lines);
  lines.block("sheets");
  for (const Sheet& sheet : contents) {
    lines.push({Link{sheet.name, sheet.name}, whole(static_cast<std::int64_t>(sheet.things)), text(sheet.title)});
  }
  lines.block("limits-of-it");
  for (const char* key : {"workbook.says-not-checked", "workbook.says-evidence", "workbook.says-complete"}) {
    lines.push({text(say(key))});
  }
  if (const std::string notice = unreviewed_notice(); !notice.empty()) {
    lines.push({text(notice)});
    lines.grid.print.one_page = true;  // not on a page of its own
  }
  return std::move(lines.grid);
}

Grid summary_grid(const Facts& facts, FigureSheet& figures) {
  Lines lines;
  lines.grid = grid_of(
      "summary", {{"item", 46}, {"count", 11}, {"looked-at", 11}, {"cannot-tell", 11}, {"share", 24}, {"says", 70}});
  lines.grid.filter = false;
  lines.grid.print.percent = 68;  // fills the width of A4 landscape, and two rows of charts its height
  for (const MeasureRow& row : facts.measures) {
    lines.push({text(row.measure), whole(row.count), whole(row.looked_at), whole(row.cannot_tell), text(share(row)),
                text(row.says)});
  }
  lines.block("recalls");
  if (facts.recalls.empty()) lines.push({text(say("workbook.no-recalls"))});
  for (const RecallRow& row : facts.recalls) {
    const std::string name = row.drill ? row.recall + " (" + say("workbook.drill") + ")" : row.recall;
    const std::string reached = say("workbook.recall-line", {{"packs", std::to_string(row.packs)},
                                                             {"procedures", std::to_string(row.procedures)},
                                                             {"patients", std::to_string(row.patients)},
                                                             {"unknown", std::to_string(row.patients_unknown)},
                                                             {"fetch", std::to_string(row.to_fetch)}});
    lines.push({text(name), text(closing_state(row)),
                text(std::string(spelled_here(row.because, "desk.because-")) + ", " + row.subject + ": " + reached)});
  }
  lines.grid.charts = std::move(figures.charts);
  lines.grid.figures = figures.grid.name;
  return std::move(lines.grid);
}

}  // namespace trayproof::workbook
