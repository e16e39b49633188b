#include "report/review/review.h"

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <set>
#include <sstream>

#include "ledger/recall/opening.h"
#include "ledger/recall/recall.h"
#include "ledger/sop/stated.h"
#include "report/command/verbs.h"
#include "report/review/readers.h"
#include "report/workbook/write.h"
#include "tests/report/review/october.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

review::Review gathered(October& october, std::optional<std::string> what_if = {}) {
  auto tables = october.tables();
  auto made = review::gather(october.ledger(), tables, october.clock().now(),
                             {october.from(), october.until(), std::move(what_if)});
  if (!made.ok()) FAIL(made.error().sentence());
  return std::move(made).value();
}

const workbook::MeasureRow& measure(const workbook::Facts& facts, std::string_view name) {
  const auto found =
      std::find_if(facts.measures.begin(), facts.measures.end(), [&](const auto& one) { return one.measure == name; });
  REQUIRE(found != facts.measures.end());
  return *found;
}

bool is_in(October& october, Instant at) { return at >= october.from() && at <= october.until(); }

std::int64_t in_october(October& october, const std::vector<const json::Value*>& events) {
  return std::count_if(events.begin(), events.end(),
                       [&](const json::Value* one) { return is_in(october, moment(*one->text_at("at"))); });
}

std::string source(const std::string& name) {
  std::ifstream in(std::string(TRAYPROOF_SOURCE_DIR) + "/" + name, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

TEST_CASE("Procedures and their packs and loads are those that the lines themselves give") {
  October october;
  const Slow slow = slow_reading(october.from(), october.until());
  const workbook::Facts facts = gathered(october).facts;
  std::map<std::pair<std::string, std::string>, std::string> wanted;
  for (const SlowUse& use : slow.uses) wanted[{use.procedure, use.pack}] = use.load;
  std::map<std::pair<std::string, std::string>, std::string> found;
  for (const workbook::CaseRow& row : facts.cases) {
    for (const workbook::CasePack& pack : row.packs) found[{row.procedure, pack.pack}] = pack.load;
  }
  CHECK(found == wanted);
  CHECK(found.size() > 150);
  CHECK(static_cast<std::int64_t>(facts.cases.size()) == in_october(october, slow.of("procedure-done")));
  const auto earlier =
      std::count_if(facts.loads.begin(), facts.loads.end(), [](const auto& row) { return row.earlier; });
  CHECK(static_cast<std::int64_t>(facts.loads.size()) - earlier == in_october(october, slow.of("load-started")));
}

TEST_CASE("Measures of procedures agree with the lines") {
  October october;
  const Slow slow = slow_reading(october.from(), october.until());
  const workbook::Facts facts = gathered(october).facts;
  std::int64_t kits = 0, with_packs = 0, with_patient = 0, patient_not_known = 0, all = 0;
  for (const json::Value* one : slow.of("procedure-done")) {
    if (!is_in(october, moment(*one->text_at("at")))) continue;
    ++all;
    const bool packs = one->find("packs") != nullptr && !one->find("packs")->items().empty();
    kits += one->bool_at("disposable").value_or(false) && !packs ? 1 : 0;
    with_packs += packs ? 1 : 0;
    with_patient += one->find("patient") != nullptr ? 1 : 0;
    const json::Value* unknown = one->find("unknown");
    patient_not_known +=
        unknown != nullptr && unknown->find("patient") != nullptr && unknown->text_at("patient") != "not-done" ? 1 : 0;
  }
  const auto& packs = measure(facts, "Procedures with packs recorded");
  CHECK(packs.count == with_packs);
  CHECK(packs.looked_at == all - kits);
  const auto& patients = measure(facts, "Procedures with a patient recorded");
  CHECK(patients.count == with_patient);
  CHECK(patients.looked_at == all);
  CHECK(patient_not_known > 0);
  CHECK(patients.cannot_tell == 0);
}

TEST_CASE("Uses with a load and uses after a release agree with the lines") {
  October october;
  const Slow slow = slow_reading(october.from(), october.until());
  const workbook::Facts facts = gathered(october).facts;
  const std::set<std::string> released_methods{"steam-gravity", "steam-prevacuum", "dry-heat",
                                               "chemical-sterilization"};
  std::int64_t with_load = 0, to_release = 0, released = 0;
  for (const SlowUse& use : slow.uses) {
    if (use.load.empty()) continue;
    ++with_load;
    if (!released_methods.contains(slow.loads.at(use.load).method)) continue;
    ++to_release;
    released += slow.decision(use.load, use.at) == "released" ? 1 : 0;
  }
  const auto& loads = measure(facts, "Uses of packs with a load that had ended before");
  CHECK(loads.looked_at == static_cast<std::int64_t>(slow.uses.size()));
  CHECK(loads.count == with_load);
  const auto& after = measure(facts, "Uses after the release of their load");
  CHECK(after.looked_at == to_release);
  CHECK(after.count == released);
}

TEST_CASE("Soaks within the limits of the edition agree with the lines") {
  October october;
  const Slow slow = slow_reading(october.from(), october.until());
  const workbook::Facts facts = gathered(october).facts;
  std::int64_t good = 0, looked_at = 0, open = 0;
  for (const json::Value* soak : slow.of("soaked")) {
    const Instant at = moment(*soak->text_at("at"));
    std::optional<Instant> end;
    if (soak->find("until") != nullptr) end = moment(*soak->text_at("until"));
    for (const json::Value* ended : slow.of("soak-ended")) {
      if (soak->find("until") != nullptr || ended->text_at("set") != soak->text_at("set")) continue;
      if (ended->text_at("solution") != soak->text_at("solution")) continue;
      const Instant when = moment(*ended->text_at("at"));
      if (when >= at && (!end || when < *end)) end = when;
    }
    if (!is_in(october, end.value_or(at))) continue;
    ++looked_at;
    open += end ? 0 : 1;
    // labour-room.toml: soak_minutes_min = 10, soak_minutes_max = 30.
    const auto minutes = end ? (end->ms - at.ms) / minute_ms : -1;
    good += minutes >= 10 && minutes <= 30 ? 1 : 0;
  }
  const auto& soaks = measure(facts, "Soaks within the SOP's least and longest time");
  CHECK(soaks.looked_at == looked_at);
  CHECK(soaks.cannot_tell == open);
  CHECK(soaks.count == good);
}

TEST_CASE("No figure counts more than it looked at and each says what it counts") {
  October october;
  const std::string page = source("docs/review.md");
  for (const workbook::MeasureRow& one : gathered(october).facts.measures) {
    CAPTURE(one.measure);
    CHECK(page.find("| " + one.measure + " |") != std::string::npos);
    CHECK(one.count >= 0);
    CHECK(one.cannot_tell >= 0);
    CHECK(one.count + one.cannot_tell <= one.looked_at);
    CHECK(!one.says.empty());
  }
}

TEST_CASE("A recipe of the month is worked out from its amounts") {
  October october;
  const workbook::Facts facts = gathered(october).facts;
  const auto row_of = [&](std::string_view id) {
    const auto found = std::find_if(facts.solutions.begin(), facts.solutions.end(),
                                    [&](const auto& one) { return one.solution == id; });
    REQUIRE(found != facts.solutions.end());
    return *found;
  };
  // 5 % × 1,000 ml in 10,000 ml is 0.5 %, by the formula of the WHO.
  CHECK(row_of("CL-1004-A").recipe == "stock 5 %: 1,000 ml, water 9,000 ml");
  CHECK(row_of("CL-1004-A").worked_out_percent == doctest::Approx(0.5));
  const auto weak = row_of("CL-1019-B");
  CHECK(weak.worked_out_percent == doctest::Approx(0.35).epsilon(0.01));
  CHECK(weak.gaps == std::vector<std::string>{"recipe-off-target"});
}

TEST_CASE("Recalls show their counts and the packs that were not found") {
  October october;
  // The first load of the month of which packs are still about.
  recall::Request request;
  std::optional<recall::Answer> answer;
  {
    auto tables = october.tables();
    const auto editions = october.ledger().editions();
    REQUIRE(editions.ok());
    for (const workbook::LoadRow& load : gathered(october).facts.loads) {
      request.load = load.load;
      auto asked = recall::answer(request, tables, editions.value());
      REQUIRE(asked.ok());
      if (asked.value().still_to_fetch() < 2) continue;
      answer = std::move(asked).value();
      break;
    }
  }
  REQUIRE(answer);
  const std::int64_t wanted = answer->still_to_fetch();
  const auto opened = recall::open_recall(october.ledger(), *answer, {.recall = "RC-1", .by = "sister-1"});
  REQUIRE(opened.ok());
  REQUIRE(opened.value().refusals.empty());
  // It is opened when the month is over.
  const auto recalled = [&] {
    auto tables = october.tables();
    auto made = review::gather(october.ledger(), tables, october.clock().now(), {october.from(), {}, {}});
    if (!made.ok()) FAIL(made.error().sentence());
    return made.value().facts.recalls.at(0);
  };
  CHECK(recalled().to_fetch == wanted);
  // One is found, another one looked for in vain.
  std::string_view outcome = "found-held";
  for (const recall::AffectedPack& pack : answer->packs) {
    if (!recall::is_to_be_fetched(pack.standing) || outcome.empty()) continue;
    const auto done = october.ledger().append_lines(
        R"({"kind":"recall-answered","at":"2026-11-01T09:00:00+05:00","by":"sister-1","recall":"RC-1","pack":")" +
            pack.pack + R"(","outcome":")" + std::string(outcome) + R"("})",
        {});
    REQUIRE(done.ok());
    REQUIRE(done.value().refusals.empty());
    outcome = outcome == "found-held" ? "not-found" : "";
  }
  const auto row = recalled();
  CHECK(row.to_fetch == wanted - 1);
  CHECK(row.subject == "load " + request.load);
  CHECK(row.packs == static_cast<std::int64_t>(answer->packs.size()));
  CHECK(!row.closed);
}

TEST_CASE("Limits list every key that the edition states and what is left out stands under not checked") {
  October october;
  const workbook::Facts facts = gathered(october).facts;
  const auto stated = sop::stated(source("samples/sop/labour-room.toml"));
  REQUIRE(stated.ok());
  std::map<std::string, std::string> rows;
  for (const workbook::LimitRow& row : facts.limits) rows[row.key] = row.value;
  CHECK(rows.size() == stated.value().size());
  for (const sop::Stated& one : stated.value()) {
    const std::string name = sop::full_name(*one.key, one.element);
    CAPTURE(name);
    CHECK(rows[name] == one.value);
  }
  CHECK(rows["steam.program[1].hold_minutes_wrapped"] == "30");
  const auto left_out = [&](std::string_view what) {
    return std::any_of(facts.not_checked.begin(), facts.not_checked.end(),
                       [&](const auto& one) { return one.what == what; });
  };
  CHECK(left_out("Limit indicators.biological_hours"));
  CHECK(!left_out("Limit steam.saturation_k"));
}

TEST_CASE("The readers of every key are those of the page on the SOP file") {
  const std::string page = source("docs/sop-format.md");
  std::string last;
  for (const sop::Key& key : sop::keys()) {
    const std::string name = sop::full_name(key);
    CAPTURE(name);
    const std::size_t at = page.find("| `" + name + "` |");
    REQUIRE(at != std::string::npos);
    std::vector<std::string> cells;
    std::istringstream line(page.substr(at + 1, page.find('\n', at) - at - 1));
    for (std::string cell; std::getline(line, cell, '|');) cells.push_back(cell);
    REQUIRE(cells.size() >= 4);
    std::string readers = cells[3];
    std::erase(readers, '`');
    readers = readers.substr(1, readers.size() - 2);
    if (readers == "as above") readers = last;
    last = readers;
    CHECK(review::readers_of(name) == readers);
  }
}

TEST_CASE("Judging by another edition says so and adopts nothing") {
  October october;
  const auto before = october.ledger().head();
  const workbook::Facts facts = gathered(october, source("samples/sop/clean-first.toml")).facts;
  CHECK(facts.what_if.starts_with("WHAT IF: "));
  REQUIRE(facts.editions.size() == 1);
  CHECK(facts.editions[0].seq == 0);
  CHECK(october.ledger().head().value().seq == before.value().seq);
  CHECK(
      std::any_of(facts.gaps.begin(), facts.gaps.end(), [](const auto& one) { return one.rule == "soak-forbidden"; }));
}

TEST_CASE("Without a checkpoint the proof says that none was signed and with one it carries it") {
  October october;
  const workbook::Proof before = gathered(october).facts.proof;
  CHECK(before.checkpoint.starts_with("None was signed"));
  const auto note = october.ledger().sign_checkpoint();
  REQUIRE(note.ok());
  const workbook::Proof after = gathered(october).facts.proof;
  CHECK(after.checkpoint == note.value());
  CHECK(after.size == october.ledger().head().value().seq);
  CHECK(after.root == hex(october.ledger().tree_head().value().root));
  CHECK(after.head == hex(october.ledger().head().value().hash));
  CHECK(after.keys.size() == 2);
}

TEST_CASE("The commands print what the review holds and never overwrite a book") {
  October october;
  std::ostringstream out, err;
  const command::Context context{
      .out = out, .err = err, .clock = october.clock(), .ledger_path = october.path(), .json = true};
  const std::string book = october.folder().file("book.xlsx");
  const command::ReportOptions asked{
      .from = std::string("2026-10-01"), .to = std::string("2026-10-31"), .output = book, .sop = {}};
  CHECK(command::report(context, asked) == command::Status::done);
  const auto printed = json::parse(out.str());
  REQUIRE(printed.ok());
  out.str("");
  command::GapsOptions period;
  period.from = "2026-10-01";
  period.to = "2026-10-31";
  CHECK(command::gaps(context, period) == command::Status::done);
  const auto found = json::parse(out.str());
  if (!found.ok()) FAIL(found.error().sentence());
  CHECK(printed.value().number_at("gaps") == static_cast<double>(found.value().find("gaps")->items().size()));
  double cannot_tell = 0;
  for (const json::Member& rule : found.value().find("looked_at")->members())
    cannot_tell += *rule.value.number_at("cannot_tell");
  CHECK(printed.value().number_at("cannot_tell") == cannot_tell);
  CHECK(printed.value().find("rows")->number_at("Gaps") == printed.value().number_at("gaps"));
  period.strict = true;
  CHECK(command::gaps(context, period) == command::Status::does_not_hold);
  CHECK(command::report(context, asked) == command::Status::refused);
  period.rule = "no-such-rule";
  CHECK(command::gaps(context, period) == command::Status::usage);
  const command::ReportOptions no_day{.from = std::string("2026-10-40"),
                                      .to = std::string("2026-10-31"),
                                      .output = october.folder().file("other.xlsx"),
                                      .sop = {}};
  CHECK(command::report(context, no_day) == command::Status::usage);
  // For the other program's reading of the book (open_review.py).
  if (const char* folder = std::getenv("TRAYPROOF_REVIEW"); folder != nullptr) {
    std::ofstream(std::string(folder) + "/gaps.json") << json::plain(found.value());
    std::filesystem::copy_file(book, std::string(folder) + "/review.xlsx",
                               std::filesystem::copy_options::overwrite_existing);
  }
}

TEST_CASE("What people read of the gaps names the edition and nothing is called sterile") {
  October october;
  std::ostringstream out, err;
  const command::Context context{.out = out, .err = err, .clock = october.clock(), .ledger_path = october.path()};
  command::GapsOptions period;
  period.from = "2026-10-01";
  period.to = "2026-10-31";
  CHECK(command::gaps(context, period) == command::Status::done);
  const std::string text = out.str();
  CHECK(text.find("Judged by \"Labour room, soak first\", edition 1 (entry 5)") != std::string::npos);
  CHECK(text.find("Closes it: ") != std::string::npos);
  CHECK(text.find("cannot tell") != std::string::npos);
  CHECK(text.find(" sterile") == std::string::npos);
}
