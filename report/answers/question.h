// One question of an assessor as a row of a table: its id, what has to be given, the query over the derived tables
// (docs/tables.md) and its columns. The words stand in the catalogue under answers.<id>. A question that needs more
// than its query has a `finish`.
#pragma once

#include <span>
#include <string_view>
#include <vector>

namespace trayproof::answers {

enum class Sort {
  text,
  number,
  time,     // ms; shown in the facility's zone
  day,      // a day, or a month, as ISO text
  word,     // of the catalogue or of the format; people read it in their language
  yes_no,   // 1, 0
  entry,    // a seq to look up
  written,  // the stand-in of a free text; shown as the text, or as removed
  // Worked out from the columns before it; the query gives nothing for it.
  share,   // of the two before, found and of: per cent with its 95 % interval
  fisher,  // of the four before, cases with, cases, others with, others: the exact probability
};

struct Column {
  std::string_view name;
  Sort sort = Sort::text;
};

// What a question asks for beside the period. A parameter without a usual value has to be given.
struct Parameter {
  std::string_view name;  // of its option: --pack
  std::string_view usual = {};
};

enum class Scope {
  period,  // from --from to --to
  whole,   // the whole record, whatever the period
};

// What is worked out over the rows, in the order of the query.
enum class Chart {
  none,
  individuals,  // of the last column: centre, limits, signals
  run,          // of the per cents of the last column, a share: median, signals
};

struct Question {
  std::string_view id;
  Scope scope = Scope::period;
  std::vector<Parameter> parameters = {};
  std::vector<Column> columns = {};
  // Rows. Named values: :from and :until (ms, both included), :now, and every parameter by its name.
  std::string_view query = {};
  // One row: how many were looked at, and how many of them could not be judged.
  std::string_view counts = {};
  // One column of ids: what a random sample is drawn from. The drawn ones stand in the table `drawn`.
  std::string_view draw_from = {};
  Chart chart = Chart::none;
};

// setting.h tells which tables stand beside the derived ones while a question is asked.

std::span<const Question> questions();
const Question* find_question(std::string_view id);

// One family a file, in the order of docs/answers.md.
std::vector<Question> use_questions();
std::vector<Question> pack_questions();
std::vector<Question> load_questions();
std::vector<Question> indicator_questions();
std::vector<Question> solution_questions();
std::vector<Question> equipment_questions();
std::vector<Question> people_questions();
std::vector<Question> record_questions();
std::vector<Question> chart_questions();

}  // namespace trayproof::answers
