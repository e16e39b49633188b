// What the Summary and the biological calendar say of tests, beside the rule that judges the same.
#include <algorithm>

#include "report/review/review.h"
#include "tests/support/folder.h"
#include "tests/support/set_clock.h"
#include "tests/support/test.h"

namespace trayproof::tests {
namespace {

constexpr std::string_view sop_text =
    "[indicators]\nbiological_days = 7\nbiological_hours = 24\nbiological_methods = [\"steam-gravity\"]\n";

using Late = workbook::MachineDay::Late;

std::string load(std::string_view id, std::string_view day, std::string_view machine = "AC-1") {
  const std::string at = "2026-03-" + std::string(day);
  return R"({"kind":"load-started","at":")" + at + R"(T08:00:00+05:00","by":"N1","load":")" + std::string(id) +
         R"(","method":"steam-gravity","equipment":")" + std::string(machine) + R"(","packs":[]})" + "\n" +
         R"({"kind":"load-ended","at":")" + at + R"(T09:00:00+05:00","by":"N1","load":")" + std::string(id) +
         R"(","complete":true})" + "\n";
}

std::string reading(std::string_view load, std::string_view day, std::string_view rest) {
  return R"({"kind":"biological-read","at":"2026-03-)" + std::string(day) +
         R"(T10:00:00+05:00","by":"N1","control":"growth","hours":48,"load":")" + std::string(load) + "\"," +
         std::string(rest) + "}\n";
}

workbook::Facts reviewed(std::string_view events) {
  Folder folder;
  SetClock clock(parse_date_time("2026-03-01T00:00:00+05:00")->instant);
  auto ledger =
      Ledger::create(folder.file("w.trayproof"),
                     {.title = "W", .zone = "Etc/GMT-5", .altitude_m = 0, .sop_toml = std::string(sop_text)}, clock);
  REQUIRE(ledger.ok());
  clock.set(parse_date_time("2026-03-31T00:00:00+05:00")->instant);
  const auto appended = ledger.value().append_lines(events, {});
  REQUIRE(appended.ok());
  REQUIRE(appended.value().refusals.empty());
  auto tables = links::Links::derive_in_memory(ledger.value(), {});
  REQUIRE(tables.ok());
  auto made = review::gather(ledger.value(), tables.value(), clock.now(), {});
  if (!made.ok()) FAIL(made.error().sentence());
  return std::move(made.value().facts);
}

std::vector<std::int64_t> measured(const workbook::Facts& facts, std::string_view name) {
  const auto row =
      std::find_if(facts.measures.begin(), facts.measures.end(), [&](const auto& one) { return one.measure == name; });
  REQUIRE(row != facts.measures.end());
  return {row->count, row->looked_at, row->cannot_tell};
}
std::vector<std::int64_t> in_time(const workbook::Facts& facts) {
  return measured(facts, "Loads within the SOP's days of a valid biological");
}
using Counts = std::vector<std::int64_t>;

bool is_overdue(const workbook::Facts& facts) {
  return std::any_of(facts.gaps.begin(), facts.gaps.end(),
                     [](const workbook::GapRow& one) { return one.rule == "biological-overdue"; });
}

}  // namespace

TEST_CASE("before the first test a load cannot be told until the days have run out since the first load") {
  workbook::Facts facts = reviewed(load("L-1", "02"));
  CHECK(in_time(facts) == Counts{0, 1, 1});
  REQUIRE(facts.machine_days.size() == 1);
  CHECK(facts.machine_days[0].late == Late::cannot_tell);
  CHECK_FALSE(facts.machine_days[0].days_since);
  CHECK_FALSE(is_overdue(facts));

  facts = reviewed(load("L-1", "02") + load("L-2", "09") + load("L-3", "10"));
  CHECK(in_time(facts) == Counts{0, 3, 2});
  CHECK(facts.machine_days[1].late == Late::cannot_tell);
  CHECK(facts.machine_days[2].late == Late::yes);
  CHECK(is_overdue(facts));
}

TEST_CASE("a load is in time within the days of a valid biological of its machine whatever that showed") {
  for (const std::string_view result : {R"("result":"negative")", R"("result":"positive")"}) {
    const std::string tested = load("L-1", "02") + reading("L-1", "04", result) + load("L-2", "09");
    workbook::Facts facts = reviewed(tested);
    CHECK(in_time(facts) == Counts{2, 2, 0});
    CHECK(facts.machine_days.at(1).days_since == 7);
    CHECK(facts.machine_days[1].late == Late::no);
    CHECK_FALSE(is_overdue(facts));

    facts = reviewed(tested + load("L-3", "10"));
    CHECK(in_time(facts) == Counts{2, 3, 0});
    CHECK(facts.machine_days.at(2).late == Late::yes);
    CHECK(is_overdue(facts));
  }
}

TEST_CASE("a reading without a result is told the same in the summary and the calendar and beside its load") {
  const std::string loads = load("L-1", "02") + load("L-2", "10");
  workbook::Facts facts = reviewed(loads + reading("L-1", "04", R"("unknown":{"result":"not-readable"})"));
  CHECK(measured(facts, "Biological readings that prove something") == Counts{0, 1, 1});
  CHECK(facts.machine_days.at(0).open_ones == 1);
  CHECK(facts.machine_days[0].void_ones == 0);
  CHECK(facts.loads.at(0).biological.find("cannot tell whether it proves anything") != std::string::npos);
  CHECK(in_time(facts) == Counts{0, 2, 2});
  CHECK(facts.machine_days.at(1).late == Late::cannot_tell);
  CHECK_FALSE(is_overdue(facts));

  facts = reviewed(loads + reading("L-1", "04", R"("unknown":{"result":"not-done"})"));
  CHECK(measured(facts, "Biological readings that prove something") == Counts{0, 1, 0});
  CHECK(facts.machine_days.at(0).open_ones == 0);
  CHECK(facts.machine_days[0].void_ones == 1);
  CHECK(facts.loads.at(0).biological.find("proves nothing") != std::string::npos);
  CHECK(in_time(facts) == Counts{0, 2, 1});
  CHECK(facts.machine_days.at(1).late == Late::yes);
  CHECK(is_overdue(facts));
}

}  // namespace trayproof::tests
