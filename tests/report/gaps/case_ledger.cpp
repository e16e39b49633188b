#include "tests/report/gaps/case_ledger.h"

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <filesystem>

#include "ledger/base/number.h"
#include "ledger/persons.h"
#include "report/gaps/recall_changes.h"
#include "report/gaps/recall_work.h"
#include "report/review/review.h"
#include "tests/support/test.h"

namespace trayproof::tests {
namespace {

const std::string folder_of_cases = std::string(TRAYPROOF_SOURCE_DIR) + "/tests/cases/gaps";

template <typename T>
T must(Result<T> result, const GapCase& one, int line = 0) {
  if (!result.ok()) {
    std::fprintf(stderr, "%s, %s, line %d: %s\n", one.rule.c_str(), one.name.c_str(), line,
                 result.error().sentence().c_str());
    std::abort();
  }
  return std::move(result).value();
}

constexpr const char* pin = "483920";

Instant instant(std::string_view text) { return parse_date_time(text)->instant; }

Instant first_now(const GapCase& one) {
  for (const GapStep& step : one.steps) {
    if (step.what == GapStep::What::now) return instant(step.text);
  }
  return instant("2026-03-31T00:00:00+05:00");
}

}  // namespace

std::vector<std::string> case_files() {
  std::vector<std::string> out;
  for (const auto& entry : std::filesystem::directory_iterator(folder_of_cases)) {
    if (entry.path().extension() == ".txt") out.push_back(entry.path().string());
  }
  std::sort(out.begin(), out.end());
  return out;
}

CaseLedger::CaseLedger(const GapCase& one) : case_(one), clock_(instant("2026-03-01T00:00:00+05:00")), ledger_(made()) {
  clock_.set(first_now(one));
  for (const GapStep& step : one.steps) run(step);
  append();
}

gaps::Findings CaseLedger::find() {
  gaps::Question question;
  question.rule = case_.rule;
  question.from = case_.from;
  question.until = case_.until;
  question.name_open = true;
  return must(gaps::find_gaps(tables().database(), must(ledger_.editions(), case_), clock_.now(), question), case_);
}

gaps::Facts CaseLedger::facts(std::optional<Instant> from, std::optional<Instant> until) {
  return read(tables(), must(ledger_.editions(), case_), from, until);
}

gaps::Facts CaseLedger::facts_of_first(std::int64_t entries) {
  auto then = must(links::Links::derive_in_memory(ledger_, {.known_at = entries, .as_of = {}}), case_);
  const sop::Editions editions = must(ledger_.editions(), case_);
  sop::Editions adopted;
  for (const sop::Edition& one : editions.all()) {
    if (one.seq <= entries) adopted.add(one.seq, one.sop, one.in_force, one.recorded);
  }
  return read(then, std::move(adopted), {}, {});
}

gaps::Facts CaseLedger::read(links::Links& tables, sop::Editions editions, std::optional<Instant> from,
                             std::optional<Instant> until) {
  return must(gaps::read_facts(tables.database(), {.editions = std::move(editions),
                                                   .what_if = {},
                                                   .now = clock_.now(),
                                                   .from = from,
                                                   .until = until,
                                                   .recall_answers = review::kept_answers(ledger_),
                                                   .recall_again = gaps::recall_again(ledger_, tables),
                                                   .recall_work = gaps::recall_work(ledger_, tables)}),
              case_);
}

Ledger CaseLedger::made() {
  Creation creation{.title = "Invented ward",
                    .zone = "Etc/GMT-5",
                    .altitude_m = 0,
                    .sop_toml = case_.sop.empty() ? "[sop]\ntitle = \"Test\"\n" : case_.sop};
  for (const GapStep& step : case_.steps) {
    if (step.what == GapStep::What::created) clock_.set(instant(step.text));
    if (step.what == GapStep::What::altitude) creation.altitude_m = parse_number(step.text);
  }
  return must(Ledger::create(folder_.file("ward.trayproof"), creation, clock_), case_);
}

void CaseLedger::run(const GapStep& step) {
  using What = GapStep::What;
  switch (step.what) {
    case What::event:
    case What::program:
      return add(step, parsed(step));
    case What::curve:
      return add_curve(step);
    case What::now:
      append();
      return clock_.set(instant(step.text));
    case What::created:
    case What::altitude:
      return;
    case What::key:
      append();
      must(give_key(ledger_, {.person = step.text, .pin = pin, .cost = {.passes = 1, .memory_kib = 8}}), case_);
      return;
    case What::signed_by:
    case What::countersigned: {
      const std::size_t blank = step.text.find(' ');
      const GapStep rest{What::event, step.text.substr(blank + 1), step.line};
      return add_signed(step.text.substr(0, blank), rest, step.what);
    }
  }
}

void CaseLedger::add_signed(const std::string& person, const GapStep& step, GapStep::What what) {
  json::Value given = parsed(step);
  append();
  if (what == GapStep::What::countersigned) {
    json::Value event = json::Value::object().set("kind", "countersigned").set("of", given);
    given = event.set("at", format_date_time({clock_.now(), 0}));
  }
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  options.signer = must(ledger_.unlock(person, pin), case_, step.line);
  const Appended report = must(ledger_.append({{step.line, std::move(given)}}, options), case_, step.line);
  REQUIRE(report.refusals.empty());
  last_ = report.last;
}

json::Value CaseLedger::parsed(const GapStep& step) {
  std::string text = step.text;
  if (text.find("@last") != std::string::npos) append();
  for (const auto& [token, seq] : {std::pair<std::string, std::int64_t>{"@last", last_}, {"@sop", 5}}) {
    for (std::size_t at = text.find(token); at != std::string::npos; at = text.find(token)) {
      text.replace(at, token.size(), std::to_string(seq));
    }
  }
  return must(json::parse(text), case_, step.line);
}

void CaseLedger::add(const GapStep& step, json::Value event) { waiting_.push_back({step.line, std::move(event)}); }

// What waits, in one commit.
void CaseLedger::append() {
  if (waiting_.empty()) return;
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  options.default_by = "N1";
  const Appended report = must(ledger_.append(std::exchange(waiting_, {}), options), case_);
  for (const events::Refusal& one : report.refusals) {
    std::fprintf(stderr, "%s, %s, line %d: %s: %s\n", case_.rule.c_str(), case_.name.c_str(),
                 static_cast<int>(one.line), one.field.c_str(), one.why.c_str());
  }
  REQUIRE(report.refusals.empty());
  last_ = report.last;
}

// Measured, placed and judged in one line.
void CaseLedger::add_curve(const GapStep& step) {
  const json::Value given = parsed(step);
  const auto at = std::string(given.text_at("from").value_or(""));
  json::Value measured = json::Value::object().set("kind", "curve-measured").set("at", at);
  for (const std::string_view field : {"equipment", "logger", "from", "until"}) {
    if (const json::Value* value = given.find(field)) measured.set(field, *value);
  }
  measured.set("file", std::string(64, 'a'))
      .set("part", ++curves_)
      .set("interval_s", 60)
      .set("reading", json::Value::object());
  add(step, std::move(measured));
  append();
  json::Value placed = json::Value::object().set("kind", "curve-placed").set("at", at).set("curve", last_);
  add(step, placed.set("load", *given.find("load")));
  if (given.find("verdict") == nullptr) return;
  json::Value judged =
      json::Value::object().set("kind", "curve-judged").set("at", at).set("curve", last_).set("sop", 5);
  judged.set("program", "test").set("method", *given.find("method")).set("verdict", *given.find("verdict"));
  for (const std::string_view field :
       {"hold", "temperature_c", "saturation_difference_k", "f0", "f0_low", "a0", "findings"}) {
    if (const json::Value* value = given.find(field)) judged.set(field, *value);
  }
  add(step, std::move(judged));
}

links::Links& CaseLedger::tables() {
  if (!tables_) tables_.emplace(must(links::Links::derive_in_memory(ledger_, {}), case_));
  return *tables_;
}

}  // namespace trayproof::tests
