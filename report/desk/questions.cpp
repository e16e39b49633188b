// The assessor's questions: the list, one of them with what it is asked with, its answer as a table and, where it is
// one over time, as a chart; the same as CSV and JSON.
#include <algorithm>
#include <cmath>
#include <limits>

#include "ledger/base/desk_limits.h"
#include "ledger/base/number.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/answers/answer.h"
#include "report/answers/spelling.h"
#include "report/asking/facility.h"
#include "report/asking/period.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"
#include "report/desk/frame.h"
#include "report/desk/parts.h"

namespace trayproof::desk {
namespace {

using answers::Answer;
using answers::Question;
using answers::Sort;
using markup::Element;
using markup::Markup;

Result<const Question*> question_of(const Asked& asked) {
  const Question* question = answers::find_question(asked.at("question"));
  if (question == nullptr) return Error(ErrorCode::missing, say("desk.no-question", {{"found", asked.at("question")}}));
  return question;
}

// Whether everything that it needs is given.
bool is_whole(const Question& question, const Fields& query) {
  return std::all_of(question.parameters.begin(), question.parameters.end(), [&](const answers::Parameter& one) {
    return !answers::is_needed(one) || query.filled(one.name).has_value();
  });
}

Result<Answer> answer_of(Asked& asked, const Question& question, links::Links& tables, const sop::Editions& editions) {
  const AskedPeriod period = period_of(asked.query.filled("from"), asked.query.filled("to"), tables.zone());
  if (period.misuse) return Error(ErrorCode::invalid, *period.misuse);
  answers::Asked asking{.question = &question, .from = period.from, .until = period.until, .given = {}, .what_if = {}};
  for (const answers::Parameter& one : question.parameters) {
    if (const auto value = asked.query.filled(one.name)) asking.given[std::string(one.name)] = *value;
  }
  return answers::ask(asking, tables, editions);
}

std::string label_of(const answers::Parameter& parameter) {
  for (const char* const among : {"desk.kind-", "desk.parameter-", "answers.column."}) {
    const std::string key = among + std::string(parameter.name);
    if (has_word(key)) return say(key);
  }
  return std::string(parameter.name);
}

// As it is typed, and what that means where the language has another word for it.
std::string usual_of(const answers::Parameter& parameter) {
  const std::string usual(parameter.usual);
  const std::string here(spelled_here(usual));
  return here == usual ? usual : usual + ": " + here;
}

Markup form_of(const Question& question, const Fields& query) {
  Element form = Element("form").with("method", "get").with("class", "filters");
  form.with("action", "/questions/" + std::string(question.id));
  const auto given = [&](std::string_view name) { return query.filled(name).value_or(""); };
  if (question.scope == answers::Scope::period) {
    form.inside(input({.label = say("desk.from"), .name = "from", .type = "date", .value = given("from")}));
    form.inside(input({.label = say("desk.to"), .name = "to", .type = "date", .value = given("to")}));
  }
  for (const answers::Parameter& one : question.parameters) {
    std::string label = label_of(one);
    if (!one.usual.empty()) label = say("desk.parameter-usual", {{"name", label}, {"usual", usual_of(one)}});
    form.inside(input({.label = label, .name = one.name, .value = given(one.name)}));
  }
  return form.inside(button(say("desk.ask"))).markup();
}

// Column by its name; nothing where the answer has none of that name.
std::optional<std::size_t> column_of(const Answer& answer, std::string_view name) {
  for (std::size_t i = 0; i < answer.columns.size(); ++i) {
    if (answer.columns[i].name == name) return i;
  }
  return std::nullopt;
}

// One line over the rows with its centre and limits; signals are ringed. Black on white.
class Chart {
 public:
  explicit Chart(const Answer& answer) : answer_(answer) {
    const bool run = answer.question->chart == answers::Chart::run;
    centre_ = column_of(answer, run ? "median" : "centre");
    value_ = run ? column_of(answer, "percent") : centre_ ? std::optional(*centre_ - 1) : std::nullopt;
    for (std::size_t row = 0; value_ && row < answer.rows.size(); ++row) {
      if (answer.rows[row][*value_].is_number()) rows_.push_back(row);
    }
  }

  Markup draw() {
    if (!value_ || !centre_ || rows_.size() < 2) return {};
    scale();
    Element root("svg");
    root.with("viewBox", "0 0 640 260").with("class", "curve").with("role", "img");
    root.with("aria-label", say("desk.chart", {{"column", answers::head_of(answer_.columns[*value_].name)},
                                               {"count", std::to_string(rows_.size())}}));
    root.with("font-family", "DejaVu Sans, Verdana, Arial, sans-serif");
    root.inside(Element("rect").with("width", 640.0).with("height", 260.0).with("fill", "#fff"));
    level(root, *centre_, "", 1.2);
    for (const char* name : {"lower", "upper"}) {
      if (const auto column = column_of(answer_, name)) level(root, *column, "5 4", 1);
    }
    line(root);
    const auto label = [&](std::size_t row, double x, const char* anchor) {
      const std::string text =
          answers::cell_text(answer_.rows[row][1].is_text() ? answer_.rows[row][1] : answer_.rows[row][0],
                             answer_.columns[answer_.rows[row][1].is_text() ? 1 : 0].sort);
      root.inside(
          Element("text").with("x", x).with("y", 252.0).with("font-size", 12.0).with("text-anchor", anchor).text(text));
    };
    label(rows_.front(), left, "start");
    label(rows_.back(), right, "end");
    root.inside(Element("text")
                    .with("x", left)
                    .with("y", 16.0)
                    .with("font-size", 12.0)
                    .with("font-weight", "bold")
                    .text(answers::head_of(answer_.columns[*value_].name)));
    return Element("figure").inside(root).markup();
  }

 private:
  static constexpr double left = 14, right = 572, top = 26, bottom = 232;

  double at(std::size_t row, std::size_t column) const { return answer_.rows[row][column].number(); }

  void scale() {
    low_ = std::numeric_limits<double>::max();
    high_ = std::numeric_limits<double>::lowest();
    const auto take = [&](double value) { low_ = std::min(low_, value), high_ = std::max(high_, value); };
    for (const std::size_t row : rows_) take(at(row, *value_));
    for (const char* name : {"centre", "median", "lower", "upper"}) {
      const auto column = column_of(answer_, name);
      if (column && answer_.rows[rows_.front()][*column].is_number()) take(at(rows_.front(), *column));
    }
    if (high_ - low_ < 1e-9) low_ -= 1, high_ += 1;
  }
  double x_of(std::size_t i) const {
    return left + (right - left) * static_cast<double>(i) / static_cast<double>(rows_.size() - 1);
  }
  double y_of(double value) const { return bottom - (bottom - top) * (value - low_) / (high_ - low_); }

  void level(Element& root, std::size_t column, std::string_view dashes, double width) const {
    if (!answer_.rows[rows_.front()][column].is_number()) return;
    const double value = at(rows_.front(), column);
    const double y = y_of(value);
    Element rule("line");
    rule.with("x1", left)
        .with("x2", right)
        .with("y1", y)
        .with("y2", y)
        .with("stroke", "#000")
        .with("stroke-width", width);
    if (!dashes.empty()) rule.with("stroke-dasharray", dashes);
    root.inside(rule);
    root.inside(
        Element("text").with("x", right + 5).with("y", y + 4).with("font-size", 11.0).text(number_here(value, 2)));
  }

  void line(Element& root) const {
    std::string path;
    for (std::size_t i = 0; i < rows_.size(); ++i)
      path += (i == 0 ? "M" : "L") + rounded(x_of(i), 1) + " " + rounded(y_of(at(rows_[i], *value_)), 1);
    root.inside(Element("path").with("d", path).with("fill", "none").with("stroke", "#000").with("stroke-width", 1.5));
    const auto signal = column_of(answer_, "signal");
    for (std::size_t i = 0; i < rows_.size(); ++i) {
      const bool rings = signal && !answer_.rows[rows_[i]][*signal].is_null();
      Element dot("circle");
      dot.with("cx", x_of(i)).with("cy", y_of(at(rows_[i], *value_))).with("r", rings ? 5.0 : 2.5);
      dot.with("fill", rings ? "#fff" : "#000").with("stroke", "#000").with("stroke-width", rings ? 2.5 : 1.0);
      root.inside(dot);
    }
  }

  const Answer& answer_;
  std::optional<std::size_t> value_, centre_;
  std::vector<std::size_t> rows_;
  double low_ = 0, high_ = 1;
};

// Ids of things that have a page lead there; by the column's name.
std::string_view kind_in(std::string_view column) {
  for (const std::string_view kind : {"pack", "load", "set", "solution", "lot", "equipment", "procedure", "recall"}) {
    if (column == kind) return kind;
  }
  return {};
}

Markup cell(const json::Value& value, const answers::AnsweredColumn& column) {
  const std::string text = answers::cell_text(value, column.sort);
  if (text.empty()) return {};
  if (column.sort == Sort::entry) return link("/entry/" + text, text);
  const std::string_view kind = kind_in(column.name);
  return kind.empty() || !value.is_text() ? Markup::text(text) : thing(kind, text);
}

Markup table_of(const Answer& answer) {
  std::vector<Heading> heads;
  for (const answers::AnsweredColumn& one : answer.columns)
    heads.push_back({answers::head_of(one.name), answers::is_number(one.sort)});
  Table table(std::move(heads));
  for (std::size_t i = 0; i < answer.rows.size() && i < limits::desk_answer_rows; ++i) {
    std::vector<Markup> cells;
    for (std::size_t j = 0; j < answer.columns.size(); ++j) cells.push_back(cell(answer.rows[i][j], answer.columns[j]));
    table.row(cells);
  }
  constexpr std::size_t few_columns = 5;
  Markup out = table.markup(answer.columns.size() > few_columns ? Table::On::wide : Table::On::cards);
  if (answer.rows.size() > table.size())
    out.add(paragraph(say("desk.rows-cut", {{"count", std::to_string(answer.rows.size() - table.size())}}), "quiet"));
  return out;
}

// The query of this page again, for its downloads.
std::string same_query(const Fields& query) {
  std::string out;
  for (const auto& [name, value] : query.all()) out += (out.empty() ? "?" : "&") + encoded(name) + "=" + encoded(value);
  return out;
}

std::string period_text(const Answer& answer, const std::string& facility) {
  if (!answer.period) return say("answers.period-whole", {{"facility", facility}});
  return say(answer.usual_period ? "answers.period-usual" : "answers.period",
             {{"facility", facility},
              {"from", short_time(answer.zone, answer.period->from)},
              {"until", short_time(answer.zone, answer.period->until)}});
}

Markup shown(const Answer& answer, const std::string& facility, const sop::Editions& editions, const Fields& query) {
  Markup out = paragraph(period_text(answer, facility));
  out.add(Chart(answer).draw());
  out.add(answer.rows.empty() ? paragraph(say("answers.none")) : table_of(answer));
  const std::string id(answer.question->id);
  out.add(paragraph(say("answers.looked-at", {{"examined", std::to_string(answer.examined)},
                                              {"cannot_tell", std::to_string(answer.cannot_tell)}})));
  out.add(paragraph(say("answers.looked-at-what", {{"what", say("answers." + id + ".looked")}})));
  for (const std::string& note : answer.notes) out.add(paragraph(note));
  if (answer.unknown_events > 0)
    out.add(paragraph(say("answers.unknown-events", {{"count", std::to_string(answer.unknown_events)}})));
  out.add(paragraph(say("answers.source", {{"known_at", std::to_string(answer.known_at)},
                                           {"as_of", time_here(answer.zone.local(answer.as_of))},
                                           {"sop", answers::editions_text(answer, editions)}}),
                    "quiet"));
  Element downloads("p");
  downloads.with("class", "doings");
  downloads.inside(Element("a")
                       .with("class", "button")
                       .with("href", "/questions/" + id + "/table.csv" + same_query(query))
                       .text(say("desk.as-csv")));
  downloads.inside(Element("a")
                       .with("class", "button")
                       .with("href", "/api/v1/answers/" + id + same_query(query))
                       .text(say("desk.as-json")));
  return out.add(downloads.markup());
}

}  // namespace

namespace {

Markup family(std::string_view name, const std::vector<Question>& questions) {
  Table table = Table::of({"desk.column-question", "desk.column-needs"});
  for (const Question& one : questions) {
    std::string needs;
    for (const answers::Parameter& parameter : one.parameters) {
      if (!answers::is_needed(parameter)) continue;
      needs += (needs.empty() ? "" : ", ") + label_of(parameter);
    }
    table.row({link("/questions/" + std::string(one.id), answers::words_of(one)), Markup::text(needs)});
  }
  Markup out = heading(say("desk.family-" + std::string(name)));
  return out.add(table.markup());
}

}  // namespace

Result<Response> answer_questions_page(Asked& asked) {
  Markup inside = paragraph(say("desk.questions-how"));
  inside.add(family("use", answers::use_questions())).add(family("pack", answers::pack_questions()));
  inside.add(family("load", answers::load_questions())).add(family("indicator", answers::indicator_questions()));
  inside.add(family("solution", answers::solution_questions()))
      .add(family("equipment", answers::equipment_questions()));
  inside.add(family("people", answers::people_questions())).add(family("record", answers::record_questions()));
  inside.add(family("chart", answers::chart_questions()));
  return page(frame_of(asked.who, say("desk.questions-title"), "/questions"), inside);
}

Result<Response> answer_question_page(Asked& asked) {
  TRY_LET(const Question* question, question_of(asked));
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  const Frame frame = frame_of(asked.who, answers::words_of(*question), {});
  Markup inside = form_of(*question, asked.query);
  if (!is_whole(*question, asked.query)) return page(frame, inside.add(paragraph(say("desk.question-needs"))));
  TRY_LET(const auto editions, reader.ledger().editions(tables->known_at()));
  const auto answer = answer_of(asked, *question, *tables, editions);
  if (!answer.ok() && status_of(answer.error().code()) < 500)
    return page(frame, inside.add(alert(answer.error().sentence())), status_of(answer.error().code()));
  if (!answer.ok()) return answer.error();
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  return page(frame, inside.add(shown(answer.value(), facility.title, editions, asked.query)));
}

Result<Response> answer_question_csv(Asked& asked) {
  TRY_LET(const Question* question, question_of(asked));
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto editions, reader.ledger().editions(tables->known_at()));
  TRY_LET(const auto answer, answer_of(asked, *question, *tables, editions));
  Response response{.type = "text/csv; charset=utf-8", .body = answers::to_csv(answer)};
  response.headers.emplace_back("Content-Disposition",
                                "attachment; filename=\"" + std::string(question->id) + ".csv\"");
  return response;
}

Result<Response> answer_api_questions(Asked&) {
  json::Value all = json::Value::list();
  for (const Question& one : answers::questions()) all.push(answers::to_json(one));
  return json_response(json::Value::object().set("questions", std::move(all)));
}

Result<Response> answer_api_answer(Asked& asked) {
  TRY_LET(const Question* question, question_of(asked));
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto editions, reader.ledger().editions(tables->known_at()));
  TRY_LET(const auto answer, answer_of(asked, *question, *tables, editions));
  return json_response(answers::to_json(answer));
}

}  // namespace trayproof::desk
