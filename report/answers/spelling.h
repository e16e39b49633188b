// How questions and their answers read: in words, column by column, cell by cell, and as rows of CSV.
#pragma once

#include <string>

#include "report/answers/answer.h"

namespace trayproof::answers {

std::string words_of(const Question& question);
// As the list of questions shows it: its id, words, parameters and columns.
json::Value to_json(const Question& question);
std::string head_of(std::string_view column);
// Times to the minute; what is absent is empty.
std::string cell_text(const json::Value& value, Sort sort);
bool is_number(Sort sort);
// Whether it has to be given.
bool is_needed(const Parameter& parameter);
// Which editions judged.
std::string editions_text(const Answer& answer, const sop::Editions& editions);
// RFC 4180 in UTF-8 with a byte order mark, machine names of columns first.
std::string to_csv(const Answer& answer);

}  // namespace trayproof::answers
