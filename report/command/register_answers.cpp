// Questions to the register: on a terminal, as JSON, as CSV, as a workbook.
#include <algorithm>

#include "ledger/base/files.h"
#include "ledger/base/number.h"
#include "ledger/words/words.h"
#include "report/asking/new_file.h"
#include "report/asking/period.h"
#include "report/command/layout.h"
#include "report/command/register.h"
#include "report/command/table.h"
#include "report/csv/csv.h"
#include "report/register/derive.h"
#include "report/register/questions.h"
#include "report/workbook/book.h"

namespace trayproof::command {
namespace {

using json::Value;
using registry::Answer;

// Keys of texts have - where names of columns have _.
std::string head_of(std::string column) {
  std::ranges::replace(column, '_', '-');
  return say("district.head-" + column);
}

// A share as per cent; what is withheld says so where it stands.
std::string text_of(const Value& value) {
  if (value.is_text()) return value.text();
  if (!value.is_number()) return {};
  return rounded(value.number(), 3);
}

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

void print(const Context& context, const Answer& answer) {
  if (context.json) return context.print(json_of(answer));
  std::vector<TableColumn> columns;
  for (std::size_t i = 0; i < answer.columns.size(); ++i)
    columns.push_back({head_of(answer.columns[i]), is_number_column(answer, i)});
  std::vector<std::vector<std::string>> rows;
  for (const auto& row : answer.rows) {
    std::vector<std::string>& cells = rows.emplace_back();
    for (const Value& cell : row) cells.push_back(text_of(cell));
  }
  if (rows.empty() && answer.behind.empty())
    context.line(say("answers.none"));
  else if (!rows.empty())
    context.out << table_text(columns, rows, text_columns(context));
  for (const std::string& note : answer.notes) context.line(folded(note, text_columns(context)));
}

Result<void> write_csv(const Answer& answer, const std::string& file) {
  std::string text(csv::mark);
  text += csv::row(answer.columns);
  for (const auto& row : answer.rows) {
    std::vector<std::string> cells;
    for (const Value& cell : row) cells.push_back(cell.is_number() ? shortest(cell.number()) : text_of(cell));
    text += csv::row(cells);
  }
  return write_new_file(file, as_bytes(text), FileMode::shared);
}

Result<void> write_book(const Context& context, const Answer& answer, const std::string& file) {
  workbook::Setup setup;
  setup.path = file;
  setup.title = say("district.sheet-" + answer.question);
  setup.created = context.clock.now();
  setup.rows = answer.rows.size();
  TRY_LET(auto book, workbook::Book::begin(setup));
  workbook::Grid grid{
      .name = say("district.sheet-" + answer.question), .title = setup.title, .note = {}, .columns = {}, .rows = {}};
  for (const std::string& note : answer.notes) grid.note += (grid.note.empty() ? "" : " ") + note;
  for (const std::string& one : answer.columns) grid.columns.push_back({head_of(one), one == "facility" ? 32.0 : 16.0});
  for (const auto& row : answer.rows) {
    workbook::Row& cells = grid.rows.emplace_back();
    for (const Value& cell : row) {
      if (cell.is_number())
        cells.push_back(workbook::Number{
            cell.number(), cell.number() == static_cast<double>(static_cast<std::int64_t>(cell.number())) ? 0 : 3});
      else
        cells.push_back(workbook::text(text_of(cell)));
    }
  }
  book.add(grid);
  return book.finish();
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
  if (options.output && !options.output->ends_with(".csv") && !options.output->ends_with(".xlsx"))
    return say("district.ending", {{"file", *options.output}});
  return std::nullopt;
}

Result<Status> answered(const Context& context, const QuestionOptions& options) {
  if (const auto misuse = misuse_of(options)) return context.misused(*misuse);
  if (options.output) TRY(can_be_made(*options.output));
  TRY_LET(auto connection, opened_register(options.at));
  TRY_LET(auto behind, registry::behind(connection));
  TRY_LET(auto answer, ask(context, options, connection));
  registry::tell_behind(std::move(behind), answer);
  if (options.output && options.output->ends_with(".csv")) TRY(write_csv(answer, *options.output));
  if (options.output && options.output->ends_with(".xlsx")) TRY(write_book(context, answer, *options.output));
  print(context, answer);
  // Nowhere is no answer to where a lot went, while it may stand in what is not worked out.
  const bool unanswered = options.question == "lot" && answer.rows.empty();
  return unanswered ? Status::refused : Status::done;
}

}  // namespace

Status register_question(const Context& context, const QuestionOptions& options) {
  const auto done = answered(context, options);
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
