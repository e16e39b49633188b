// What the fields of one event must be to each other.
#include <algorithm>

#include "ledger/events/draft.h"
#include "tests/support/test.h"

using namespace trayproof;
using json::Value;

namespace {

// "field: why" of everything refused in an event of that kind; the body as JSON members.
std::vector<std::string> refused(const std::string& kind, const std::string& body,
                                 const std::string& at = "2026-10-05T09:00:00+05:00") {
  auto event = json::parse(R"({"kind":")" + kind + R"(","at":")" + at + R"(","by":"ana",)" + body + "}");
  INFO(std::string(body));
  REQUIRE(event.ok());
  auto reading = events::read_draft(std::move(event).value(), events::Giver::program);
  std::vector<std::string> texts;
  for (const events::Refusal& one : reading.refusals) texts.push_back(one.field + ": " + one.why);
  return texts;
}

bool taken(const std::string& kind, const std::string& body, const std::string& at = "2026-10-05T09:00:00+05:00") {
  return refused(kind, body, at).empty();
}

bool at_field(const std::vector<std::string>& refusals, const std::string& field) {
  return std::any_of(refusals.begin(), refusals.end(),
                     [&](const std::string& one) { return one.starts_with(field + ": "); });
}

const std::string mixture = R"("solution":"S-1","agent":"sodium-hypochlorite","use":"decontamination","percent":0.5)";

}  // namespace

TEST_CASE("a solution has exactly one whole recipe") {
  CHECK(taken("solution-prepared", mixture + R"(,"stock_percent":5,"stock_ml":100,"water_ml":900)"));
  CHECK(taken("solution-prepared", mixture + R"(,"available_percent":35,"powder_g":14.3,"water_ml":1000)"));
  CHECK(taken("solution-prepared", mixture + R"(,"ready_to_use":true)"));
  CHECK(taken("solution-prepared", mixture + R"(,"unknown":{"recipe":"not-recorded"})"));
  CHECK(taken("solution-prepared",
              mixture + R"(,"stock_percent":5,"stock_ml":100,"unknown":{"water_ml":"not-recorded"})"));
  for (const char* bad :
       {"", R"(,"stock_percent":5)", R"(,"stock_percent":5,"stock_ml":100)", R"(,"water_ml":900)",
        R"(,"available_percent":35,"powder_g":14.3)", R"(,"powder_g":14.3,"water_ml":1000)", R"(,"ready_to_use":false)",
        R"(,"ready_to_use":true,"water_ml":1000)", R"(,"ready_to_use":true,"stock_ml":100)",
        R"(,"stock_percent":5,"stock_ml":100,"water_ml":900,"powder_g":14)",
        R"(,"stock_percent":5,"stock_ml":100,"water_ml":900,"unknown":{"recipe":"not-recorded"})",
        R"(,"unknown":{"recipe":"lost"})"}) {
    INFO(std::string(bad));
    CHECK(!taken("solution-prepared", mixture + bad));
  }
}

TEST_CASE("only a solution has a recipe to be unknown") {
  CHECK(at_field(refused("solution-tested", R"("solution":"S-1","percent":0.5,"unknown":{"recipe":"not-recorded"})"),
                 "unknown.recipe"));
}

TEST_CASE("a test of a solution gives a strength or a strip") {
  CHECK(taken("solution-tested", R"("solution":"S-1","percent":0.5)"));
  CHECK(taken("solution-tested", R"("solution":"S-1","strip":"pass")"));
  CHECK(taken("solution-tested", R"("solution":"S-1","unknown":{"strip":"not-readable"})"));
  CHECK(at_field(refused("solution-tested", R"("solution":"S-1")"), "percent"));
}

TEST_CASE("an indicator names its load or its pack and an answer its procedure or its pack") {
  CHECK(taken("indicator-read", R"("load":"L-1","result":"pass")"));
  CHECK(taken("indicator-read", R"("load":"L-1","pack":"PK-1","result":"pass")"));
  CHECK(at_field(refused("indicator-read", R"("result":"pass")"), "load"));
  CHECK(taken("recall-answered", R"("recall":"R-1","procedure":"P-1","outcome":"patient-told")"));
  CHECK(at_field(refused("recall-answered", R"("recall":"R-1","outcome":"patient-told")"), "procedure"));
}

TEST_CASE("heat needs its equipment and a chemical method its solution") {
  for (const char* method :
       {"steam-gravity", "steam-prevacuum", "dry-heat", "thermal-disinfection", "boiling", "steaming"}) {
    const std::string body = R"("load":"L-1","packs":[],"method":")" + std::string(method) + "\"";
    CHECK(at_field(refused("load-started", body), "equipment"));
    CHECK(taken("load-started", body + R"(,"equipment":"AC-1")"));
    CHECK(taken("load-started", body + R"(,"unknown":{"equipment":"not-recorded"})"));
  }
  for (const char* method : {"chemical-sterilization", "chemical-disinfection"}) {
    const std::string body = R"("load":"L-1","packs":[],"method":")" + std::string(method) + "\"";
    CHECK(at_field(refused("load-started", body), "solution"));
    CHECK(taken("load-started", body + R"(,"solution":"S-1")"));
  }
}

TEST_CASE("a changed load names at least one pack") {
  CHECK(taken("load-changed", R"("load":"L-1","added":["PK-1"])"));
  CHECK(taken("load-changed", R"("load":"L-1","removed":["PK-1"])"));
  CHECK(taken("load-changed", R"("load":"L-1","unknown":{"removed":"not-recorded"})"));
  CHECK(at_field(refused("load-changed", R"("load":"L-1")"), "added"));
  CHECK(at_field(refused("load-changed", R"("load":"L-1","added":[],"removed":[])"), "added"));
}

TEST_CASE("an end before its beginning is refused when it must be one") {
  const std::string roster = R"("person":"ana","from":"2026-10-05T08:00:00+05:00","until":)";
  CHECK(taken("rostered", roster + R"("2026-10-05T08:00:00+05:00")"));
  CHECK(taken("rostered", roster + R"("2026-10-05T03:00:00Z")"));
  CHECK(at_field(refused("rostered", roster + R"("2026-10-05T07:59:59+05:00")"), "until"));
  CHECK(at_field(refused("rostered", roster + R"("2026-10-05T08:30:00+06:00")"), "until"));
  for (const char* kind : {"soaked", "procedure-done"}) {
    const std::string body = std::string(kind) == "soaked"
                                 ? R"("set":"DS-1","solution":"S-1")"
                                 : R"("procedure":"P-1","sort":"delivery","place":"room","packs":[])";
    CHECK(taken(kind, body + R"(,"until":"2026-10-05T09:00:00+05:00")"));
    CHECK(at_field(refused(kind, body + R"(,"until":"2026-10-05T08:59:59+05:00")"), "until"));
    CHECK(
        taken(kind, body + R"(,"precision":"hour","until":"2026-10-05T09:00:00+05:00")", "2026-10-05T09:40:00+05:00"));
    CHECK(at_field(
        refused(kind, body + R"(,"precision":"hour","until":"2026-10-05T08:59:00+05:00")", "2026-10-05T09:40:00+05:00"),
        "until"));
    CHECK(taken(kind, body + R"(,"precision":"day","until":"2026-10-05T01:00:00+05:00")"));
  }
  CHECK(at_field(
      refused("counted", R"("what":"births","number":3,"from":"2026-10-05T00:00Z","until":"2026-10-04T00:00Z")"),
      "until"));
  // `until` of a check is the date of the next one: it begins nowhere.
  CHECK(taken("equipment-checked",
              R"("equipment":"AC-1","check":"service","result":"pass","until":"2026-10-01T00:00Z")"));
}

TEST_CASE("as_read keeps the separators of a scanned element string") {
  auto event = json::parse(R"({"kind":"pack-opened","at":"2026-10-05T09:00Z","by":"ana","pack":"PK-1",)"
                           R"("as_read":{"pack":"0108806388269617\u001d21059","pressure_kpa_gauge":"15 psi"}})");
  REQUIRE(event.ok());
  const auto reading = events::read_draft(std::move(event).value(), events::Giver::recorder);
  REQUIRE(reading.draft);
  CHECK(reading.draft->event.find("as_read")->text_at("pack") ==
        "0108806388269617\x1D"
        "21059");
  const auto with = [](const std::string& as_read) {
    return refused("pack-opened", R"("pack":"PK-1","as_read":)" + as_read);
  };
  CHECK(with(R"({})").empty());
  CHECK(at_field(with(R"({"pack":7})"), "as_read.pack"));
  CHECK(at_field(with(R"({"pack":{"x":"y"}})"), "as_read.pack"));
  CHECK(at_field(with(R"("15 psi")"), "as_read"));
  CHECK(at_field(with(R"({"pack":"a\u001eb"})"), "as_read.pack"));
  CHECK(at_field(with(R"({"pack":"a\u202eb"})"), "as_read.pack"));
  CHECK(at_field(with(R"({"pack":"a\nb"})"), "as_read.pack"));
  CHECK(with(R"({"pack":")" + std::string(200, 'a') + "\"}").empty());
  CHECK(!with(R"({"pack":")" + std::string(201, 'a') + "\"}").empty());
  CHECK(!with(R"({"pack":")" + std::string(150, 'a') + R"(\u001d)" + std::string(150, 'a') + "\"}").empty());
}

TEST_CASE("files are a list of SHA-256") {
  const std::string sha(64, 'a');
  CHECK(taken("pack-opened", R"("pack":"PK-1","files":[")" + sha + "\"]"));
  CHECK(taken("pack-opened", R"("pack":"PK-1","files":[])"));
  CHECK(at_field(refused("pack-opened", R"("pack":"PK-1","files":")" + sha + "\""), "files"));
  CHECK(at_field(refused("pack-opened", R"("pack":"PK-1","files":["abc"])"), "files"));
}

TEST_CASE("a replacement is a whole event of a kind that can be corrected or null") {
  const auto with = [](const std::string& replacement) {
    return refused("corrected", R"("of":6,"why":"typed wrong","replacement":)" + replacement);
  };
  const std::string head =
      R"({"kind":"packed","at":"2026-10-05T09:00Z","by":"ana","pack":"PK-1","set":"DS-1","wrap":"wrapped")";
  CHECK(with("null").empty());
  CHECK(with(head + "}").empty());
  CHECK(at_field(with(head + R"(,"slip":"s-1"})"), "replacement.slip"));
  CHECK(at_field(with(head + R"(,"entered":"2026-10-05T09:00Z"})"), "replacement.entered"));
  CHECK(at_field(with(head + R"(,"seq":7})"), "replacement.seq"));
  CHECK(at_field(with(head + R"(,"colour":"red"})"), "replacement.colour"));
  CHECK(at_field(with(R"({"kind":"packed","at":"2026-10-05T09:00Z","by":"ana","pack":"PK-1","set":"DS-1"})"),
                 "replacement.wrap"));
  CHECK(
      at_field(with(R"({"kind":"packed","by":"ana","pack":"PK-1","set":"DS-1","wrap":"wrapped"})"), "replacement.at"));
  CHECK(at_field(with("7"), "replacement"));
  for (const char* kind :
       {"corrected", "sop-adopted", "key-added", "curve-measured", "recall-opened", "curve-judged", "exploded"}) {
    INFO(std::string(kind));
    CHECK(at_field(with(R"({"kind":")" + std::string(kind) + R"(","at":"2026-10-05T09:00Z","by":"ana"})"),
                   "replacement.kind"));
  }
}

TEST_CASE("every refusal of an event is told and not only the first") {
  const auto all = refused("packed", R"("pack":"P K","wrap":"paper","colour":"red")", "yesterday");
  CHECK(at_field(all, "at"));
  CHECK(at_field(all, "pack"));
  CHECK(at_field(all, "set"));
  CHECK(at_field(all, "wrap"));
  CHECK(at_field(all, "colour"));
}

TEST_CASE("a facility has a title that can be read and lies where air has a pressure") {
  const std::string place = R"("zone":"Etc/GMT-5","title":"Unit 7","altitude_m":)";
  CHECK(taken("facility-described", place + "-500"));
  CHECK(taken("facility-described", place + "11000"));
  CHECK(at_field(refused("facility-described", place + "11800"), "altitude_m"));
  CHECK(at_field(refused("facility-described", place + "-500.1"), "altitude_m"));
  for (const char* blank : {"", "   "}) {
    CHECK(at_field(
        refused("facility-described", R"("zone":"Etc/GMT-5","altitude_m":0,"title":")" + std::string(blank) + "\""),
        "title"));
  }
}
