// Questions to the register: on a terminal, as JSON, as files.
#include <algorithm>
#include <set>

#include "ledger/words/words.h"
#include "report/asking/new_file.h"
#include "report/asking/period.h"
#include "report/command/layout.h"
#include "report/command/register.h"
#include "report/command/register_files.h"
#include "report/command/table.h"
#include "report/register/derive.h"
#include "report/register/questions.h"

namespace trayproof::command {
namespace {

using json::Value;
using registry::Answer;

bool is_number_column(const Answer& answer, std::size_t column) {
  for (const auto& row : answer.rows) {
    if (row[column].is_text()) return false;
  }
  return true;
}

Value json_of(const Answer& answer) {
  Value out = Value::object().set("question", answer.question);
  for (const json::Member& one : answer.more.members()) out.set(one.name, one.value);
  Value columns = Value::list();
  for (const std::string& one : answer.columns) columns.push(one);
  Value rows = Value::list();
  for (const auto& row : answer.rows) {
    Value cells = Value::list();
    for (const Value& cell : row) cells.push(cell);
    rows.push(std::move(cells));
  }
  Value notes = Value::list();
  for (const std::string& one : answer.notes) notes.push(one);
  Value behind = Value::list();
  for (const std::string& one : answer.behind) behind.push(one);
  out.set("behind", std::move(behind));
  return out.set("columns", std::move(columns)).set("rows", std::move(rows)).set("notes", std::move(notes));
}

// Of many ids the first; files and JSON have all.
std::string shown(const std::string& column, const Value& cell) {
  const std::string text = cell_text(cell);
  if (!column.ends_with("_ids")) return text;
  constexpr std::int64_t shown_most = 12;
  const std::int64_t ids = text.empty() ? 0 : 1 + std::count(text.begin(), text.end(), ' ');
  if (ids <= shown_most) return text;
  std::size_t end = 0;
  for (std::int64_t i = 0; i < shown_most; ++i) end = text.find(' ', end) + 1;
  return text.substr(0, end) + say("workbook.more", {{"count", count_text(ids - shown_most)}});
}

void print(const Context& context, const Answer& answer) {
  if (context.json) return context.print(json_of(answer));
  std::vector<TableColumn> columns;
  for (std::size_t i = 0; i < answer.columns.size(); ++i)
    columns.push_back({heading_of(answer.columns[i]), is_number_column(answer, i)});
  std::vector<std::vector<std::string>> rows;
  for (const auto& row : answer.rows) {
    std::vector<std::string>& cells = rows.emplace_back();
    for (std::size_t i = 0; i < row.size(); ++i) cells.push_back(shown(answer.columns[i], row[i]));
  }
  if (rows.empty() && answer.behind.empty())
    context.line(say("answers.none"));
  else if (!rows.empty())
    context.out << table_text(columns, rows, text_columns(context));
  for (const std::string& note : answer.notes) context.line(folded(note, text_columns(context)));
}

Result<Answer> ask(const Context& context, const QuestionOptions& options, registry::Connection& connection) {
  if (options.question == "facilities") return registry::facilities(connection);
  if (options.question == "lot") return registry::lot(connection, options.lot);
  if (options.question == "silent") return registry::silent(connection, options.days, context.clock.now());
  if (options.question == "gaps") return registry::gap_shares(connection, options.rule);
  if (options.question == "sizes") return registry::sizes(connection, options.ledger);
  if (options.question == "apart") return registry::apart(connection);
  const AskedPeriod period = period_of(options.from, options.to, Zone::utc());
  return registry::coverage(connection, {.measure = options.measure, .from = period.from, .until = period.until});
}

std::optional<std::string> misuse_of(const QuestionOptions& options) {
  if (const auto period = period_of(options.from, options.to, Zone::utc()); period.misuse) return period.misuse;
  if (options.days < 0) return say("district.days", {{"found", std::to_string(options.days)}});
  if (!options.output) return std::nullopt;
  return no_such_file(*options.output, options.question, options.rule.has_value());
}

Result<Status> answered(const Context& context, const QuestionOptions& options) {
  if (const auto misuse = misuse_of(options)) return context.misused(*misuse);
  if (options.output) TRY(can_be_made(*options.output));
  TRY_LET(auto connection, opened_register(options.at));
  TRY_LET(auto behind, registry::behind(connection));
  TRY_LET(auto answer, ask(context, options, connection));
  registry::tell_behind(std::move(behind), answer);
  if (options.output) TRY(write_answer(context, answer, *options.output));
  print(context, answer);
  // Nowhere is no answer to where a lot went, while it may stand in what is not worked out.
  const bool unanswered = options.question == "lot" && answer.rows.empty();
  return unanswered ? Status::refused : Status::done;
}

// The answers that a district looks at together, one sheet each.
Result<Status> reported(const Context& context, const QuestionOptions& options) {
  if (const auto misuse = misuse_of(options)) return context.misused(*misuse);
  const std::string& file = *options.output;
  TRY(can_be_made(file));
  TRY_LET(auto connection, opened_register(options.at));
  std::vector<Answer> answers;
  const auto add = [&](QuestionOptions one) -> Result<void> {
    TRY_LET(auto late, registry::behind(connection));
    TRY_LET(auto answer, ask(context, one, connection));
    registry::tell_behind(std::move(late), answer);
    answers.push_back(std::move(answer));
    return {};
  };
  for (const char* const question : {"facilities", "silent", "apart", "gaps", "sizes"}) {
    QuestionOptions one = options;
    one.question = question;
    TRY(add(std::move(one)));
  }
  for (const std::string& measure : registry::measures()) {
    QuestionOptions one = options;
    one.question = "coverage";
    one.measure = measure;
    TRY(add(std::move(one)));
  }
  TRY(write_book(context, answers, file));
  // Of each answer; what came in between is behind in the later ones.
  std::set<std::string> late;
  for (const Answer& one : answers) late.insert(one.behind.begin(), one.behind.end());
  if (context.json) {
    Value behind = Value::list();
    for (const std::string& one : late) behind.push(one);
    Value told = Value::object();
    told.set("file", file).set("answers", static_cast<std::int64_t>(answers.size())).set("behind", std::move(behind));
    context.print(told);
  } else {
    context.line(
        say("district.book", {{"file", file}, {"answers", count_text(static_cast<std::int64_t>(answers.size()))}}));
    if (!late.empty()) context.line(say("district.behind-note", {{"ledgers", std::to_string(late.size())}}));
  }
  return Status::done;
}

}  // namespace

Status register_report(const Context& context, const QuestionOptions& options) {
  const auto done = reported(context, options);
  return done.ok() ? done.value() : context.fail(done.error());
}

Status register_question(const Context& context, const QuestionOptions& options) {
  const auto done = answered(context, options);
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
