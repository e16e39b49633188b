#include "report/gaps/find.h"

#include "ledger/links/links.h"
#include "ledger/persons.h"
#include "ledger/recall/opening.h"
#include "ledger/recall/recall.h"
#include "report/gaps/recall_changes.h"
#include "report/gaps/recall_work.h"
#include "tests/support/folder.h"
#include "tests/support/set_clock.h"
#include "tests/support/test.h"

namespace trayproof::tests {
namespace {

template <typename T>
T must(Result<T> result) {
  if (!result.ok()) check_failed(result.error().sentence().c_str(), __FILE__, __LINE__);
  return std::move(result).value();
}

constexpr std::string_view sop_text = "[release]\nmethods = [\"steam-gravity\"]\n";

// One pack used from a load that was cut short, one procedure without a pack.
constexpr std::string_view events =
    R"({"kind":"packed","at":"2026-03-01T09:00:00+05:00","by":"N1","pack":"P-1","set":"S-1","wrap":"wrapped"}
{"kind":"load-started","at":"2026-03-01T10:00:00+05:00","by":"N1","load":"L-1","method":"steam-gravity","equipment":"AC-1","packs":["P-1"]}
{"kind":"load-ended","at":"2026-03-01T10:20:00+05:00","by":"N1","load":"L-1","complete":false}
{"kind":"load-released","at":"2026-03-01T11:00:00+05:00","by":"N1","load":"L-1"}
{"kind":"procedure-done","at":"2026-03-02T09:00:00+05:00","by":"N1","procedure":"D-1","sort":"delivery","place":"LR","packs":["P-1"]}
{"kind":"procedure-done","at":"2026-03-02T08:00:00+05:00","by":"N1","procedure":"D-2","sort":"delivery","place":"LR","packs":[]}
)";

class Ward {
 public:
  Ward()
      : clock_(parse_date_time("2026-03-01T00:00:00+05:00")->instant),
        ledger_(must(Ledger::create(
            folder_.file("w.trayproof"),
            {.title = "W", .zone = "Etc/GMT-5", .altitude_m = 0, .sop_toml = std::string(sop_text)}, clock_))) {
    clock_.set(parse_date_time("2026-03-03T00:00:00+05:00")->instant);
    take(events);
  }
  void take(std::string_view lines) { REQUIRE(must(ledger_.append_lines(lines, {})).refusals.empty()); }
  gaps::Findings find(const gaps::Question& question = {}) {
    auto tables = must(links::Links::open(ledger_));
    must_void(tables.catch_up());
    const auto kept = [&](std::string_view sha256) -> std::optional<json::Value> {
      Digest digest;
      REQUIRE(from_hex(sha256, digest));
      return must(json::parse(as_text(must(ledger_.attachment(digest)))));
    };
    return must(gaps::find_gaps(tables.database(), must(ledger_.editions()), clock_.now(), question, kept,
                                gaps::recall_again(ledger_, tables), gaps::recall_work(ledger_, tables)));
  }
  // Opens a recall of the load, known now.
  void open_recall(const std::string& load, const std::string& id) {
    auto tables = must(links::Links::open(ledger_));
    must_void(tables.catch_up());
    recall::Request request;
    request.load = load;
    const auto answer = must(recall::answer(request, tables, must(ledger_.editions())));
    REQUIRE(must(recall::open_recall(ledger_, answer, {.recall = id, .by = "N1"})).refusals.empty());
  }
  SetClock& clock() { return clock_; }
  std::int64_t last_seq() { return must(ledger_.head()).seq; }
  // An event, and the countersignature of a person with a key; the event's seq.
  std::int64_t take_countersigned(std::string_view line, const std::string& person) {
    take(line);
    const std::int64_t seq = last_seq();
    must(give_key(ledger_, {.person = person, .pin = "483920", .cost = {.passes = 1, .memory_kib = 8}}));
    AppendOptions options;
    options.giver = events::Giver::program;
    options.signer = must(ledger_.unlock(person, "483920"));
    json::Value event = json::Value::object().set("kind", "countersigned").set("of", seq);
    event.set("at", format_date_time({clock_.now(), 0}));
    REQUIRE(must(ledger_.append({{1, std::move(event)}}, options)).refusals.empty());
    return seq;
  }

 private:
  static void must_void(Result<void> result) { REQUIRE(result.ok()); }
  Folder folder_;
  SetClock clock_;
  Ledger ledger_;
};

const gaps::Finding& finding(const gaps::Findings& findings, std::string_view rule) {
  for (const gaps::Finding& one : findings.gaps) {
    if (one.rule->id == rule) return one;
  }
  check_failed("no such finding", __FILE__, __LINE__);
}

}  // namespace

TEST_CASE("findings come by time then rule then subject and every rule is counted") {
  Ward ward;
  const auto findings = ward.find();
  CHECK(findings.looked_at.size() == gaps::catalogue().size());
  for (std::size_t i = 1; i < findings.gaps.size(); ++i) {
    const auto& a = findings.gaps[i - 1];
    const auto& b = findings.gaps[i];
    const bool ordered = a.at < b.at || (a.at == b.at && a.rule->id <= b.rule->id);
    CHECK(ordered);
  }
  CHECK(finding(findings, "used-from-failed-load").subject_id == "P-1");
  CHECK(finding(findings, "cycle-cut-short").subject_id == "L-1");
  CHECK(finding(findings, "procedure-without-pack").subject_id == "D-2");
}

TEST_CASE("the document has the shape of the command's json") {
  Ward ward;
  gaps::Question question;
  question.rule = "procedure-without-pack";
  question.from = parse_date_time("2026-03-02T00:00:00+05:00")->instant;
  const auto document = gaps::to_json(ward.find(question));
  CHECK(json::plain(document) ==
        R"({"from":"2026-03-02T00:00:00+05:00","until":null,"sop":[5],)"
        R"("looked_at":{"procedure-without-pack":{"subjects":2,"gaps":1,"cannot_tell":0}},)"
        R"("gaps":[{"rule":"procedure-without-pack","severity":"major","subject":{"kind":"procedure","id":"D-2"},)"
        R"("at":"2026-03-02T08:00:00+05:00","found":null,"limit":null,)"
        R"("says":"Procedure D-2 lists no pack and no disposable kit.","seqs":[11],)"
        R"("closes":"The pack that was used, entered late with its label or register page, or the kit's lot.",)"
        R"("first_seen":11,"state":"open"}]})");
}

TEST_CASE("an answer holds for its occasion only and a remark closes nothing") {
  Ward ward;
  ward.take(
      R"({"kind":"remarked","at":"2026-03-02T10:00:00+05:00","by":"N1","subject":{"kind":"procedure","id":"D-2"},"text":"kit"})");
  ward.take(
      R"({"kind":"finding-answered","at":"2026-03-02T10:00:00+05:00","by":"N1","rule":"procedure-without-pack",)"
      R"("subject":{"kind":"procedure","id":"D-2"},"arose":"2026-03-02T08:00:01+05:00","state":"accepted","text":"x"})");
  CHECK(finding(ward.find(), "procedure-without-pack").state == gaps::State::open);
  // The same instant in another offset.
  ward.take(
      R"({"kind":"finding-answered","at":"2026-03-02T11:00:00+05:00","by":"N1","rule":"procedure-without-pack",)"
      R"("subject":{"kind":"procedure","id":"D-2"},"arose":"2026-03-02T03:00:00Z","state":"explained","text":"x"})");
  const auto findings = ward.find();
  CHECK(finding(findings, "procedure-without-pack").state == gaps::State::explained);
  CHECK(findings.open() == static_cast<std::int64_t>(findings.gaps.size()) - 1);
}

TEST_CASE("a critical finding stays open until its answer has a second person") {
  Ward ward;
  const std::int64_t open = ward.find().open();
  const std::string answer =
      R"({"kind":"finding-answered","at":"2026-03-02T11:00:00+05:00","by":"N1","rule":"used-from-failed-load",)"
      R"("subject":{"kind":"pack","id":"P-1"},"arose":"2026-03-02T09:00:00+05:00","state":)";
  // Nobody, and the same person: each is shown as awaiting and closes nothing.
  for (const std::string_view rest : {R"("action","text":"x"})", R"("action","text":"x","second":"N1"})"}) {
    ward.take(answer + std::string(rest));
    const auto findings = ward.find();
    const gaps::Finding& one = finding(findings, "used-from-failed-load");
    CHECK(one.state == gaps::State::open);
    CHECK(one.answered_by);
    CHECK(one.second == people::Second::awaiting);
    CHECK(findings.open() == open);
  }
  // Another person: it stands at once, and awaits them.
  ward.take(answer + R"("action","text":"x","second":"Q1"})");
  CHECK(finding(ward.find(), "used-from-failed-load").state == gaps::State::action);
  CHECK(finding(ward.find(), "used-from-failed-load").second == people::Second::awaiting);
  CHECK(ward.find().open() == open - 1);
  const std::int64_t seq = ward.take_countersigned(answer + R"("accepted","text":"x","second":"Q1"})", "Q1");
  auto findings = ward.find();
  CHECK(finding(findings, "used-from-failed-load").state == gaps::State::accepted);
  CHECK(finding(findings, "used-from-failed-load").second == people::Second::confirmed);
  CHECK(findings.open() == open - 1);
  // A later answer of one person does not undo it.
  ward.take(answer + R"("explained","text":"y"})");
  findings = ward.find();
  CHECK(finding(findings, "used-from-failed-load").state == gaps::State::accepted);
  CHECK(finding(findings, "used-from-failed-load").answered_by == seq);
  CHECK(findings.open() == open - 1);
}

TEST_CASE("an answer to nothing is told with its rule") {
  Ward ward;
  const auto answer = [&](std::string_view rule, std::string_view arose) {
    ward.take(R"({"kind":"finding-answered","at":"2026-03-02T11:00:00+05:00","by":"N1","rule":")" + std::string(rule) +
              R"(","subject":{"kind":"procedure","id":"D-2"},"arose":"2026-03-02T)" + std::string(arose) +
              R"(+05:00","state":"explained","text":"x"})");
  };
  answer("procedure-without-pack", "08:00:00");
  CHECK(ward.find().answers_nothing.empty());
  answer("no-such-rule", "08:00:00");
  answer("procedure-without-pack", "08:00:01");
  const auto all = ward.find().answers_nothing;
  REQUIRE(all.size() == 2);
  CHECK(all[0].rule == "no-such-rule");
  CHECK_FALSE(all[0].rule_known);
  CHECK(all[1].rule == "procedure-without-pack");
  CHECK(all[1].rule_known);
  CHECK(all[0].seq + 1 == all[1].seq);
  // Of another rule, another severity or another time nothing is told here.
  gaps::Question question;
  question.rule = "used-from-failed-load";
  CHECK(ward.find(question).answers_nothing.empty());
  question = {};
  question.severity = gaps::Severity::critical;
  CHECK(ward.find(question).answers_nothing.size() == 2);
  question = {};
  question.from = parse_date_time("2026-03-02T09:00:00+05:00")->instant;
  CHECK(ward.find(question).answers_nothing.empty());
}

TEST_CASE("another edition judges what if and says so") {
  Ward ward;
  gaps::Question question;
  question.rule = "used-before-release";
  CHECK(ward.find(question).looked_at.at(0).subjects == 1);
  question.what_if = must(sop::read("[sop]\ntitle = \"Other\"\n[release]\nmethods = []\n"));
  const auto findings = ward.find(question);
  CHECK(findings.looked_at.at(0).subjects == 0);
  CHECK(findings.what_if == "Other");
}

TEST_CASE("what could not be told is named where that is asked for") {
  Ward ward;
  ward.take(
      R"({"kind":"procedure-done","at":"2026-03-02T10:00:00+05:00","by":"N1","procedure":"D-3","sort":"delivery",)"
      R"("place":"LR","packs":["P-1"],"unknown":{"patient":"not-recorded"}})");
  gaps::Question question;
  question.rule = "patient-not-recorded";
  const auto counted = ward.find(question);
  CHECK(counted.looked_at.at(0).cannot_tell == 1);
  CHECK_FALSE(counted.not_told);
  CHECK(gaps::to_json(counted).find("cannot_tell") == nullptr);
  question.name_open = true;
  const auto document = gaps::to_json(ward.find(question));
  CHECK(
      json::plain(*document.find("cannot_tell")) ==
      R"([{"rule":"patient-not-recorded","subject":{"kind":"procedure","id":"D-3"},"at":"2026-03-02T10:00:00+05:00"}])");
}

TEST_CASE("a pack used while an open recall lists it") {
  Ward ward;
  ward.take(R"({"kind":"packed","at":"2026-03-01T09:00:00+05:00","by":"N1","pack":"P-2","set":"S-2","wrap":"wrapped"}
{"kind":"load-started","at":"2026-03-01T12:00:00+05:00","by":"N1","load":"L-2","method":"steam-gravity","equipment":"AC-1","packs":["P-2"]}
{"kind":"load-ended","at":"2026-03-01T13:00:00+05:00","by":"N1","load":"L-2","complete":true}
)");
  ward.open_recall("L-2", "R-1");
  ward.clock().move(2 * hour_ms);
  ward.take(
      R"({"kind":"procedure-done","at":"2026-03-03T01:00:00+05:00","by":"N1","procedure":"D-9","sort":"delivery","place":"LR","packs":["P-2"]})");
  const auto findings = ward.find();
  CHECK(finding(findings, "used-under-open-recall").subject_id == "P-2");
  CHECK(finding(findings, "recall-open").subject_id == "R-1");
  // Read for that moment alone.
  gaps::Question moment;
  moment.from = moment.until = parse_date_time("2026-03-03T01:00:00+05:00")->instant;
  CHECK(finding(ward.find(moment), "used-under-open-recall").subject_id == "P-2");
}

TEST_CASE("a recall is open as long as one of its packs is to be found") {
  Ward ward;
  ward.take(R"({"kind":"packed","at":"2026-03-01T09:00:00+05:00","by":"N1","pack":"P-2","set":"S-2","wrap":"wrapped"}
{"kind":"packed","at":"2026-03-01T09:00:00+05:00","by":"N1","pack":"P-3","set":"S-3","wrap":"wrapped"}
{"kind":"load-started","at":"2026-03-01T12:00:00+05:00","by":"N1","load":"L-2","method":"steam-gravity","equipment":"AC-1","packs":["P-2","P-3"]}
{"kind":"load-ended","at":"2026-03-01T13:00:00+05:00","by":"N1","load":"L-2","complete":true}
)");
  ward.open_recall("L-2", "R-1");
  const std::int64_t opened = ward.last_seq();
  ward.clock().move(hour_ms);
  gaps::Question question;
  question.rule = "recall-open";
  const auto gaps_now = [&] { return ward.find(question).gaps; };
  const auto answer = [&](std::string_view pack, std::string_view outcome, std::string_view at) {
    ward.take(R"({"kind":"recall-answered","at":"2026-03-03T)" + std::string(at) + R"(:00+05:00","by":"N1",)" +
              R"("recall":"R-1","pack":")" + std::string(pack) + R"(","outcome":")" + std::string(outcome) + R"("})");
  };
  answer("P-2", "found-held", "00:10");
  REQUIRE(gaps_now().size() == 1);
  CHECK(gaps_now().at(0).says == "Packs of recall R-1 are still to be found.");
  CHECK(gaps_now().at(0).first_seen == opened);
  // Looked for in vain is not found.
  answer("P-3", "not-found", "00:20");
  CHECK(gaps_now().size() == 1);
  ward.take(
      R"({"kind":"recall-closed","at":"2026-03-03T00:30:00+05:00","by":"N1","recall":"R-1","conclusion":"x","second":"Q1"})");
  CHECK(gaps_now().size() == 1);
  answer("P-3", "destroyed", "00:40");
  CHECK(gaps_now().empty());
  CHECK(ward.find(question).looked_at.at(0).cannot_tell == 0);
  // A pack that an entry puts into the load after the closing opens it again, and dates the finding.
  ward.clock().move(hour_ms);
  ward.take(
      R"({"kind":"packed","at":"2026-03-01T09:00:00+05:00","by":"N1","pack":"P-4","set":"S-4","wrap":"wrapped"})");
  CHECK(gaps_now().empty());
  ward.take(R"({"kind":"load-changed","at":"2026-03-01T12:30:00+05:00","by":"N1","load":"L-2","added":["P-4"]})");
  REQUIRE(gaps_now().size() == 1);
  CHECK(gaps_now().at(0).first_seen == ward.last_seq());
  CHECK(gaps_now().at(0).at == parse_date_time("2026-03-03T00:00:00+05:00")->instant);
}

TEST_CASE("a correction that changes the list of an opened recall and one that does not") {
  Ward ward;
  ward.open_recall("L-1", "R-1");
  ward.clock().move(hour_ms);
  gaps::Question question;
  question.rule = "corrected-after-recall";
  CHECK(ward.find(question).gaps.empty());
  // The time of the load moves by a minute: the list stays.
  ward.take(R"({"kind":"corrected","at":"2026-03-03T00:10:00+05:00","by":"N1","of":8,"why":"x","replacement":)"
            R"({"kind":"load-ended","at":"2026-03-01T10:21:00+05:00","by":"N1","load":"L-1","complete":false}})");
  CHECK(ward.find(question).gaps.empty());
  // The procedure used another pack.
  ward.take(
      R"({"kind":"corrected","at":"2026-03-03T00:20:00+05:00","by":"N1","of":10,"why":"x","replacement":)"
      R"({"kind":"procedure-done","at":"2026-03-02T09:00:00+05:00","by":"N1","procedure":"D-1","sort":"delivery","place":"LR","packs":["P-7"]}})");
  const auto findings = ward.find(question);
  REQUIRE(findings.gaps.size() == 1);
  CHECK(findings.looked_at.at(0).cannot_tell == 0);
  CHECK(findings.gaps.at(0).subject_id == "R-1");
  CHECK(format_date_time(findings.zone.local(findings.gaps.at(0).at)) == "2026-03-03T00:20:00+05:00");
}

}  // namespace trayproof::tests
