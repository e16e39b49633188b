// The numbers behind the charts, one block a chart, and the charts themselves.
#include <algorithm>
#include <map>
#include <set>

#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/workbook/sheets/layout.h"
#include "report/workbook/sheets/sheets.h"

namespace trayproof::workbook {
namespace {

// Charts of holds and temperatures are drawn for that many machines, those with the most loads first.
constexpr std::size_t machines_drawn = 6;
constexpr std::size_t columns = 7;

class Figures {
 public:
  explicit Figures(const Facts& facts) : facts_(facts) {
    sheet.grid = grid_of("figures", {{"label", 46},
                                     {"figure", 20},
                                     {"figure", 20},
                                     {"figure", 20},
                                     {"figure", 20},
                                     {"figure", 20},
                                     {"figure", 24}});
    sheet.grid.filter = false;
  }

  void coverage() {
    const std::size_t first = begin("coverage", {"measure", "fits", "does-not", "cannot-tell"});
    for (const MeasureRow& row : facts_.measures) {
      if (row.looked_at == 0) continue;
      put({text(row.measure), whole(row.count), whole(row.looked_at - row.count - row.cannot_tell),
           whole(row.cannot_tell)});
    }
    chart(ChartSort::shares, "coverage", "", first, {{"fits", 0, 1}, {"does-not", 0, 2}, {"cannot-tell", 0, 3}});
  }

  void gaps() {
    const std::size_t first = begin("gaps", {"week", "critical", "major", "minor"});
    for (const WeekRow& row : facts_.weeks) {
      put({text(day_here(facts_.zone.civil(row.week).date)), whole(row.critical), whole(row.major), whole(row.minor)});
    }
    chart(ChartSort::columns, "gaps", "findings", first, {{"critical", 0, 1}, {"major", 0, 2}, {"minor", 0, 3}});
  }

  void exposure() {
    const std::size_t first = begin("exposure", {"equipment", "packs", "procedures", "patients", "loads", "since"});
    for (const ExposureRow& row : facts_.exposure) {
      put({text(row.equipment), whole(row.packs), whole(row.procedures), whole(row.patients), whole(row.loads),
           row.load.empty() ? text(say("workbook.no-negative")) : text(row.load)});
    }
    chart(ChartSort::bars, "exposure", "", first, {{"packs", 0, 1}, {"procedures", 0, 2}, {"patients", 0, 3}});
  }

  void biologicals() {
    for (const std::string& machine : machines_of(facts_.machine_days)) {
      const std::size_t first = begin("biologicals", {"equipment", "day", "days-since", "days-asked"}, machine);
      for (const MachineDay& day : facts_.machine_days) {
        if (day.equipment != machine) continue;
        put({text(machine), day.day, number(day.days_since, 1), number(day.days_asked, 1)});
      }
      chart(ChartSort::scatter, "biologicals", "days", first,
            {{"days-since", 1, 2, Mark::dots}, {"days-asked", 1, 3, Mark::dashes}}, machine);
    }
  }

  void holds() {
    for (const std::string& machine : machines_of(facts_.holds)) {
      const std::size_t first = begin(
          "holds", {"equipment", "started", "hold-found", "hold-asked", "temperature", "set", "band-top"}, machine);
      for (const HoldPoint& one : facts_.holds) {
        if (one.equipment != machine) continue;
        put({text(one.load), one.at, number(one.minutes, 1), number(one.minutes_asked, 1), number(one.temperature_c, 1),
             number(one.set_c, 1), number(one.band_top_c, 1)});
      }
      const std::size_t until = sheet.grid.rows.size();
      chart(ChartSort::scatter, "holds", "minutes", first,
            {{"hold-found", 1, 2, Mark::dots}, {"hold-asked", 1, 3, Mark::dashes}}, machine);
      CHECK(sheet.grid.rows.size() == until);
      chart(ChartSort::scatter, "temperatures", "celsius", first,
            {{"temperature", 1, 4, Mark::dots}, {"set", 1, 5, Mark::dashes}, {"band-top", 1, 6, Mark::line}}, machine);
    }
  }

  FigureSheet sheet;

 private:
  struct Part {
    const char* name;
    std::size_t labels;
    std::size_t values;
    Mark mark = Mark::line;
  };

  template <typename Of>
  static std::vector<std::string> machines_of(const std::vector<Of>& rows) {
    std::map<std::string, std::size_t> counts;
    for (const Of& row : rows) ++counts[row.equipment];
    std::vector<std::string> machines;
    for (const auto& [machine, count] : counts) machines.push_back(machine);
    std::stable_sort(machines.begin(), machines.end(),
                     [&](const std::string& a, const std::string& b) { return counts[a] > counts[b]; });
    machines.resize(std::min(machines.size(), machines_drawn));
    return machines;
  }

  // The block's name, then the names of its columns. Answers the row at which its numbers begin.
  std::size_t begin(const std::string& key, const std::vector<const char*>& heads, const std::string& machine = {}) {
    const std::string title = say("workbook.chart-" + key, {{"equipment", machine}});
    sheet.grid.rows.push_back({Text{title, Look::heading}});
    Row names;
    for (const char* head : heads) names.push_back(Text{say("workbook.figure-" + std::string(head)), Look::strong});
    put(std::move(names));
    return sheet.grid.rows.size();
  }

  void put(Row row) {
    row.resize(columns);
    sheet.grid.rows.push_back(std::move(row));
  }

  void chart(ChartSort sort, const std::string& key, const std::string& down, std::size_t first,
             const std::vector<Part>& parts, const std::string& machine = {}) {
    const std::size_t until = sheet.grid.rows.size();
    if (until == first) return;  // without a number nothing is drawn
    Chart out{
        .sort = sort,
        .title = say("workbook.chart-" + key, {{"equipment", machine}}),
        .down = down.empty() ? std::string() : say("workbook.axis-" + down),
        .from_zero = down != "celsius",
        .series = {},
        .in_words = say("workbook.chart-words", {{"title", say("workbook.chart-" + key, {{"equipment", machine}})},
                                                 {"sheet", sheet.grid.name},
                                                 {"first", std::to_string(first + 4)},
                                                 {"last", std::to_string(until + 3)}})};
    for (const Part& part : parts) {
      if (!any_value(first, until, part.values)) continue;
      out.series.push_back(
          {say("workbook.figure-" + std::string(part.name)), first, until - 1, part.labels, part.values, part.mark});
    }
    if (!out.series.empty()) sheet.charts.push_back(std::move(out));
  }

  bool any_value(std::size_t first, std::size_t until, std::size_t column) const {
    for (std::size_t row = first; row < until; ++row) {
      if (!std::holds_alternative<std::monostate>(sheet.grid.rows[row][column])) return true;
    }
    return false;
  }

  const Facts& facts_;
};

}  // namespace

FigureSheet figures_of(const Facts& facts) {
  Figures figures(facts);
  figures.coverage();
  figures.gaps();
  figures.exposure();
  figures.biologicals();
  figures.holds();
  return std::move(figures.sheet);
}

}  // namespace trayproof::workbook
