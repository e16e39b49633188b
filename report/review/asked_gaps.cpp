#include "report/review/asked_gaps.h"

#include "ledger/sop/kept.h"
#include "ledger/words/words.h"
#include "report/asking/period.h"
#include "report/gaps/recall_changes.h"
#include "report/gaps/recall_work.h"
#include "report/gaps/what_if_curves.h"
#include "report/review/review.h"

namespace trayproof::review {

AskedGaps asked_gaps(const GapsWanted& wanted, const Zone& zone) {
  AskedGaps asked;
  const AskedPeriod period = period_of(wanted.from, wanted.to, zone);
  asked.misuse = period.misuse;
  asked.question.from = period.from;
  asked.question.until = period.until;
  asked.question.rule = wanted.rule;
  if (wanted.rule && gaps::find_rule(*wanted.rule) == nullptr) {
    std::string rules;
    for (const gaps::Rule& one : gaps::catalogue()) rules += (rules.empty() ? "" : ", ") + std::string(one.id);
    asked.misuse = say("gaps.command.unknown-rule", {{"found", *wanted.rule}, {"rules", rules}});
  }
  if (wanted.severity) {
    using enum gaps::Severity;
    for (const gaps::Severity one : {critical, major, minor, information}) {
      if (word(one) == *wanted.severity) asked.question.severity = one;
    }
    if (!asked.question.severity) asked.misuse = say("gaps.command.unknown-severity", {{"found", *wanted.severity}});
  }
  return asked;
}

Result<GapsFound> find_gaps(const Ledger& ledger, links::Links& tables, Instant now, const gaps::Question& question) {
  TRY_LET(const auto editions, ledger.editions(tables.known_at()));
  if (editions.empty()) return Error(ErrorCode::missing, say("review.no-edition"));
  GapsFound found;
  const auto judge = question.what_if ? gaps::curve_judge(ledger, tables, *question.what_if) : gaps::CurveJudge();
  TRY_LET(found.findings,
          gaps::find_gaps(tables.database(), editions, now, question, kept_answers(ledger),
                          gaps::recall_again(ledger, tables), gaps::recall_work(ledger, tables), judge));
  for (const std::int64_t seq : found.findings.editions) {
    TRY_LET(const auto entry, ledger.entry(seq));
    TRY_LET(const auto event, json::parse(entry.bytes));
    auto names = sop::read_kept(event.text_at("toml").value_or("")).unknown;
    if (!names.empty()) found.unknown.emplace_back(seq, std::move(names));
  }
  return found;
}

json::Value to_json(const GapsFound& found) {
  json::Value document = gaps::to_json(found.findings);
  if (found.unknown.empty()) return document;
  json::Value left_out = json::Value::list();
  for (const auto& [seq, names] : found.unknown) {
    json::Value keys = json::Value::list();
    for (const std::string& name : names) keys.push(name);
    left_out.push(json::Value::object().set("sop", seq).set("keys", std::move(keys)));
  }
  return document.set("unknown_limits", std::move(left_out));
}

}  // namespace trayproof::review
