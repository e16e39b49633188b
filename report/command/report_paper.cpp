#include <algorithm>

#include "ledger/base/files.h"
#include "ledger/crypto/hash.h"
#include "ledger/links/links.h"
#include "ledger/links/trace.h"
#include "ledger/recall/recall.h"
#include "ledger/words/words.h"
#include "report/command/period.h"
#include "report/command/verbs.h"
#include "report/paper/sheets.h"
#include "report/picture/kept_curve.h"
#include "report/review/review.h"

namespace trayproof::command {
namespace {

using json::Value;

bool is_sheet_kind(std::string_view kind) { return kind == "procedure" || kind == "load" || kind == "recall"; }

Result<std::vector<picture::Curve>> curves_of(const Ledger& ledger, links::Links& tables, const review::Asked& asked,
                                              const std::string& load) {
  TRY_LET(const auto editions, review::editions_asked(ledger, tables, asked));
  TRY_LET(auto rows, tables.database().prepare("SELECT curve FROM curves WHERE load = ? ORDER BY curve"));
  rows.bind(1, load);
  std::vector<std::int64_t> seqs;
  for (;;) {
    TRY_LET(const bool more, rows.step());
    if (!more) break;
    seqs.push_back(rows.integer(0));
  }
  std::vector<picture::Curve> curves;
  TRY_LET(auto kept, picture::kept_curves(ledger, tables, editions, seqs));
  for (picture::KeptCurve& one : kept) {
    if (one.curve) curves.push_back(std::move(*one.curve));
  }
  return curves;
}

// What was answered for the packs and procedures of a recall, in the order of the answers.
Result<std::vector<std::pair<std::string, std::string>>> answers_to(links::Links& tables, const std::string& recall) {
  TRY_LET(auto rows, tables.database().prepare("SELECT coalesce(pack, procedure), outcome FROM recall_answered "
                                               "WHERE recall = ? AND outcome IS NOT NULL ORDER BY at_ms, seq"));
  rows.bind(1, recall);
  std::vector<std::pair<std::string, std::string>> out;
  for (;;) {
    TRY_LET(const bool more, rows.step());
    if (!more) return out;
    out.emplace_back(rows.text(0), rows.text(1));
  }
}

// The recall as it would be answered now; nothing where it was never opened.
Result<std::optional<Value>> answer_now(const Ledger& ledger, links::Links& tables, const review::Asked& asked,
                                        const std::string& recall) {
  TRY_LET(auto row, tables.database().prepare("SELECT because, subject FROM recall_opened WHERE recall = ?"));
  row.bind(1, recall);
  TRY_LET(const bool found, row.step());
  if (!found) return std::optional<Value>();
  TRY_LET(const auto subject, json::parse(row.text(1)));
  TRY_LET(const auto request, recall::request_of(row.text(0), subject));
  TRY_LET(const auto editions, review::editions_asked(ledger, tables, asked));
  TRY_LET(const auto answer, recall::answer(request, tables, editions));
  return std::optional(recall::to_json(answer, recall::Timing::left_out));
}

Result<paper::Document> sheet_of(const Ledger& ledger, links::Links& tables, const review::Asked& asked,
                                 const workbook::Facts& facts, const std::string& kind, const std::string& id,
                                 Numbers& numbers) {
  if (kind == "procedure") return paper::case_sheet(facts, id);
  if (kind == "load") {
    TRY_LET(const auto curves, curves_of(ledger, tables, asked, id));
    return paper::load_sheet(facts, id, curves);
  }
  const auto row = std::find_if(facts.recalls.begin(), facts.recalls.end(),
                                [&](const workbook::RecallRow& one) { return one.recall == id; });
  std::optional<Value> answer;
  if (row != facts.recalls.end()) answer = review::kept_answers(ledger)(row->answer_sha256);
  if (answer) TRY(numbers.put_into(*answer));
  TRY_LET(auto now, answer_now(ledger, tables, asked, id));
  if (now) TRY(numbers.put_into(*now));
  TRY_LET(const auto answered, answers_to(tables, id));
  return paper::recall_sheet(facts, id, answer, now, answered);
}

Result<void> put_numbers(workbook::Facts& facts, Numbers& numbers) {
  for (workbook::CaseRow& row : facts.cases) {
    TRY(numbers.put_into(row.patient));
    for (std::string& newborn : row.newborns) TRY(numbers.put_into(newborn));
  }
  return {};
}

}  // namespace

Result<Status> report_paper(const Context& context, Ledger& ledger, const ReportOptions& options) {
  TRY(may_read(ledger, options.numbers));
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  std::string kind;
  if (options.subject) {
    TRY_LET(auto kinds, links::kinds_of(tables, *options.subject));
    std::erase_if(kinds, [](const std::string& one) { return !is_sheet_kind(one); });
    if (!options.kind && kinds.size() > 1) {
      return context.misused(say("command.trace-kinds", {{"id", *options.subject}, {"kinds", listed(kinds)}}));
    }
    if (!options.kind && kinds.empty())
      return Error(ErrorCode::missing, say("command.trace-nothing", {{"id", *options.subject}}));
    kind = options.kind ? *options.kind : kinds.front();
    if (!is_sheet_kind(kind)) return context.misused(say("report.command.other-kind", {{"kind", kind}}));
  }
  const AskedPeriod period = period_of(options.from, options.to, tables.zone());
  if (period.misuse) return context.misused(*period.misuse);
  review::Asked asked{period.from, period.until, {}};
  if (options.sop) {
    TRY_LET(asked.what_if, sop_text(*options.sop));
  }
  TRY_LET(auto review, review::gather(ledger, tables, context.clock.now(), asked));
  const std::string about = options.subject ? *options.subject : *options.from + "/" + *options.to;
  TRY_LET(auto numbers, Numbers::read(context, ledger, options.numbers, options.subject ? kind : "report", about));
  TRY(put_numbers(review.facts, numbers));
  paper::Document document;
  if (options.subject) {
    TRY_LET(document, sheet_of(ledger, tables, asked, review.facts, kind, *options.subject, numbers));
  } else {
    document = paper::register_sheet(review.facts);
  }
  TRY_LET(const auto bytes, paper::pdf_of(document));
  TRY(write_new_file(options.output, bytes, numbers.shown() ? FileMode::owner_only : FileMode::shared));
  const std::string sha256 = hex(crypto::sha256(bytes));
  if (context.json) {
    context.print(Value::object().set("file", options.output).set("sha256", sha256));
    return Status::done;
  }
  context.line(say("report.command.paper-written", {{"file", options.output}}));
  context.line(say("report.command.sha256", {{"sha256", sha256}}));
  return Status::done;
}

}  // namespace trayproof::command
