// Answers of the register as files: the rows as CSV, sheets of a workbook, the funnel plot as SVG.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "report/command/context.h"
#include "report/register/questions.h"

namespace trayproof::command {

// Stands for all of them together, which only a workbook holds.
inline constexpr std::string_view book_question = "report";

// The heading of a column for people.
std::string heading_of(std::string column);
// A cell for people: numbers to three decimals; nothing for what is withheld or not there.
std::string cell_text(const json::Value& value);

// Why no file of that name can hold the answer to `question`, by the name's ending; nothing when one can.
std::optional<std::string> no_such_file(const std::string& file, std::string_view question, bool by_facility);
// Durable when it returns. Conflict when there is a file of that name.
Result<void> write_answer(const Context& context, const registry::Answer& answer, const std::string& file);
// One workbook: a sheet for each answer, and one for each funnel plot behind it.
Result<void> write_book(const Context& context, const std::vector<registry::Answer>& answers, const std::string& file);

}  // namespace trayproof::command
