#include "ledger/base/files.h"
#include "ledger/crypto/hash.h"
#include "ledger/links/links.h"
#include "ledger/words/words.h"
#include "report/asking/new_file.h"
#include "report/command/period.h"
#include "report/command/verbs.h"
#include "report/paper/curve_pictures.h"
#include "report/review/review.h"
#include "report/workbook/sheets/sheets.h"
#include "report/workbook/write.h"

namespace trayproof::command {
namespace {

using json::Value;

constexpr std::size_t book_bytes_max = std::size_t{1} << 30;

// How many things each sheet shows.
Value row_counts(const workbook::Facts& facts) {
  Value rows = Value::object();
  for (const workbook::Sheet& sheet : workbook::contents_of(facts))
    rows.set(sheet.name, static_cast<std::int64_t>(sheet.things));
  return rows;
}

Result<void> put_numbers(workbook::Facts& facts, Numbers& numbers) {
  for (workbook::CaseRow& row : facts.cases) {
    TRY(numbers.put_into(row.patient));
    for (std::string& newborn : row.newborns) TRY(numbers.put_into(newborn));
  }
  facts.numbers_shown = numbers.shown();
  return {};
}

Result<Status> make(const Context& context, Ledger& ledger, const ReportOptions& options) {
  TRY(may_read(ledger, options.numbers));
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  const AskedPeriod period = period_of(options.from, options.to, tables.zone());
  if (period.misuse) return context.misused(*period.misuse);
  review::Asked asked{period.from, period.until, {}};
  if (options.sop) {
    TRY_LET(asked.what_if, sop_text(*options.sop));
  }
  // So that the book carries a proof of all that it was made from. A signature is no event and changes none.
  if (ledger.writable()) {
    TRY_LET(const auto note, ledger.sign_checkpoint());
    CHECK(!note.empty());
  } else {
    context.tell(say("report.command.unsigned"));
  }
  TRY_LET(auto review, review::gather(ledger, tables, context.clock.now(), asked));
  TRY_LET(auto numbers, Numbers::read(context, ledger, options.numbers, "report", *options.from + "/" + *options.to));
  TRY(put_numbers(review.facts, numbers));
  TRY_LET(const auto editions, review::editions_asked(ledger, tables, asked));
  TRY(paper::put_pictures(ledger, tables, editions, review.facts));
  TRY_LET(const auto written, workbook::write(options.output, review.facts));
  if (written.links_left_out > 0)
    context.tell(say("report.command.links-left-out", {{"count", std::to_string(written.links_left_out)}}));
  if (numbers.shown()) keep_to_owner(options.output);
  TRY_LET(const auto bytes, read_file(options.output, book_bytes_max));
  const std::string sha256 = hex(crypto::sha256(bytes));
  if (context.json) {
    context.print(Value::object()
                      .set("file", options.output)
                      .set("sha256", sha256)
                      .set("rows", row_counts(review.facts))
                      .set("gaps", review.gaps)
                      .set("cannot_tell", review.cannot_tell));
    return Status::done;
  }
  context.line(say("report.command.written", {{"file", options.output},
                                              {"cases", std::to_string(review.facts.cases.size())},
                                              {"loads", std::to_string(review.facts.loads.size())},
                                              {"gaps", count_text(review.gaps)},
                                              {"cannot_tell", count_text(review.cannot_tell)}}));
  context.line(say("report.command.sha256", {{"sha256", sha256}}));
  return Status::done;
}

}  // namespace

Status report(const Context& context, const ReportOptions& options) {
  if (const auto misuse = misuse_of(options.numbers)) return context.misused(*misuse);
  const bool paper = options.output.ends_with(".pdf");
  if (!paper && !options.output.ends_with(".xlsx"))
    return context.misused(say("report.command.ending", {{"file", options.output}}));
  if (options.subject && !paper) return context.misused(say("report.command.subject-on-paper"));
  const bool period = options.from && options.to;
  if (!options.subject && !period) return context.misused(say("report.command.period"));
  if (options.subject && (options.from || options.to)) return context.misused(say("report.command.subject-no-period"));
  // Asked before the work, so that nobody waits for a book that cannot be written.
  if (const auto can = can_be_made(options.output); !can.ok()) return context.fail(can.error());
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto done = paper ? report_paper(context, ledger.value(), options) : make(context, ledger.value(), options);
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
