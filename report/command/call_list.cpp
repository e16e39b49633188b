#include "report/command/call_list.h"

#include "ledger/base/files.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/asking/new_file.h"
#include "report/command/numbers.h"
#include "report/csv/csv.h"
#include "report/workbook/book.h"

namespace trayproof::command {
namespace {

std::vector<std::string> headings() {
  return {say("command.call-procedure"), say("command.call-at"),       say("command.call-place"),
          say("command.call-patient"),   say("command.call-newborns"), say("command.call-packs"),
          say("command.call-answer")};
}

std::vector<std::string> cells(const recall::Call& call) {
  return {call.procedure, call.at, call.place, call.patient, call.newborns, call.packs, ""};
}

std::string csv_file(const recall::Answer& answer, bool drill) {
  std::string out(csv::mark);
  if (drill) out += csv::row({say("command.drill")});
  out += csv::row(headings());
  for (const recall::Call& call : recall::call_list(answer)) out += csv::row(cells(call));
  return out;
}

Result<void> write_book(const std::string& path, const recall::Answer& answer, bool drill, Patients patients) {
  const std::string subject = recall::subject_text(recall::subject_of(answer.request, answer.zone));
  workbook::Setup setup;
  setup.path = path;
  setup.title = say("command.call-title");
  setup.subject = subject;
  setup.created = answer.as_of;
  setup.zone = answer.zone;
  setup.footer_left = drill ? say("command.drill") : say("command.call-title");
  TRY_LET(auto book, workbook::Book::begin(setup));
  workbook::Grid grid;
  grid.name = say("command.call-sheet");
  grid.title = (drill ? say("command.drill") + " " : std::string()) + say("command.call-title");
  grid.note = say(patients == Patients::numbers ? "command.call-note-numbers" : "command.call-note",
                  {{"because", recall::name_of(answer.request.because)},
                   {"subject", subject},
                   {"as_of", time_here(answer.zone.local(answer.as_of))}});
  const double widths[] = {16, 27, 20, 36, 36, 30, 30};
  const auto names = headings();
  for (std::size_t i = 0; i < names.size(); ++i) grid.columns.push_back({.heading = names[i], .width = widths[i]});
  for (const recall::Call& call : recall::call_list(answer)) {
    workbook::Row row;
    for (const std::string& text : cells(call)) row.push_back(workbook::text(text));
    grid.rows.push_back(std::move(row));
  }
  book.add(grid);
  TRY(book.finish());
  if (patients == Patients::numbers) keep_to_owner(path);
  return {};
}

}  // namespace

Result<void> can_write_call_list(const std::string& path) {
  if (path.ends_with(".xlsx") || path.ends_with(".csv")) return can_be_made(path);
  return Error(ErrorCode::invalid, say("command.call-ending", {{"file", path}}));
}

Result<void> write_call_list(const std::string& path, const recall::Answer& answer, bool drill, Patients patients) {
  TRY(can_write_call_list(path));
  if (path.ends_with(".xlsx")) return write_book(path, answer, drill, patients);
  return write_new_file(path, as_bytes(csv_file(answer, drill)), FileMode::owner_only);
}

}  // namespace trayproof::command
