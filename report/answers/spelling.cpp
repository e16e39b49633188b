#include "report/answers/spelling.h"

#include <algorithm>

#include "ledger/base/number.h"
#include "ledger/text/locale.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"
#include "report/csv/csv.h"

namespace trayproof::answers {

std::string words_of(const Question& question) { return say("answers." + std::string(question.id) + ".words"); }

json::Value to_json(const Question& question) {
  json::Value parameters = json::Value::list();
  for (const Parameter& one : question.parameters) parameters.push(one.name);
  json::Value columns = json::Value::list();
  for (const Column& one : question.columns) columns.push(one.name);
  return json::Value::object()
      .set("question", question.id)
      .set("words", words_of(question))
      .set("parameters", std::move(parameters))
      .set("columns", std::move(columns));
}

std::string head_of(std::string_view column) {
  std::string key = "answers.column." + std::string(column);
  std::replace(key.begin(), key.end(), '_', '-');
  return say(key);
}

namespace {

// "positive, control growth", "load started": each of the words as the language that is spoken has it.
std::string word_here(std::string_view word) {
  if (parse_number(word)) return number_here(word);
  std::string kind = "kind." + std::string(word);
  std::replace(kind.begin(), kind.end(), ' ', '-');
  return has_word(kind) ? say(kind) : std::string(spelled_here(word));
}

}  // namespace

std::string cell_text(const json::Value& value, Sort sort) {
  if (value.is_null()) return "";
  if (value.is_bool()) return say(value.boolean() ? "answers.yes" : "answers.no");
  if (value.is_number()) return number_here(shortest(value.number()));
  const std::string& text = value.text();
  if (sort == Sort::day) return written_here(text);
  if (sort == Sort::word) return language() == Language::english ? text : spelled_each(text, word_here);
  const auto time = sort == Sort::time ? parse_date_time(text) : std::nullopt;
  return time ? minute_here(*time) : text;
}

bool is_number(Sort sort) { return sort == Sort::number || sort == Sort::entry || sort == Sort::fisher; }

bool is_needed(const Parameter& parameter) { return parameter.usual.empty() && parameter.name != "seed"; }

std::string editions_text(const Answer& answer, const sop::Editions& editions) {
  if (answer.what_if) return say("answers.source-what-if", {{"title", *answer.what_if}});
  std::string text;
  for (const sop::Edition& one : editions.all()) {
    if (std::find(answer.editions.begin(), answer.editions.end(), one.seq) == answer.editions.end()) continue;
    text += (text.empty() ? "" : "; ") +
            say("answers.source-edition",
                {{"title", one.sop.title}, {"edition", one.sop.edition}, {"seq", std::to_string(one.seq)}});
  }
  return text.empty() ? say("answers.source-none") : text;
}

std::string to_csv(const Answer& answer) {
  std::string out(csv::mark);
  std::vector<std::string> cells;
  for (const AnsweredColumn& one : answer.columns) cells.push_back(one.name);
  out += csv::row(cells);
  for (const auto& row : answer.rows) {
    cells.clear();
    for (const json::Value& one : row) {
      if (one.is_null())
        cells.emplace_back();
      else if (one.is_number())
        cells.push_back(shortest(one.number()));
      else
        cells.push_back(one.is_text() ? one.text() : json::plain(one));
    }
    out += csv::row(cells);
  }
  return out;
}

}  // namespace trayproof::answers
