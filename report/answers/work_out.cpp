// Shares with their intervals, exact probabilities and charts over the rows of an answer.
#include <algorithm>

#include "ledger/base/number.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/answers/answer.h"
#include "report/answers/statistics.h"

namespace trayproof::answers {
namespace {

using json::Value;

// Below that many the interval is so wide that a per cent says little; common practice, no source.
constexpr std::int64_t small_number = 30;

Value decimals(double value, int places) { return *parse_number(rounded(value, places)); }

std::int64_t whole(const Value& value) { return value.is_number() ? static_cast<std::int64_t>(value.number()) : 0; }

void add_shares(Answer& answer, std::size_t at) {
  std::size_t small = 0;
  for (auto& row : answer.rows) {
    const std::int64_t found = whole(row[at - 2]);
    const std::int64_t of = whole(row[at - 1]);
    if (of <= 0 || found > of || found < 0) {
      row.insert(row.begin() + static_cast<std::ptrdiff_t>(at), 3, Value());
      continue;
    }
    small += of < small_number ? 1 : 0;
    const Interval range = wilson(found, of);
    const std::vector<Value> worked = {decimals(100.0 * static_cast<double>(found) / static_cast<double>(of), 2),
                                       decimals(100 * range.low, 2), decimals(100 * range.high, 2)};
    row.insert(row.begin() + static_cast<std::ptrdiff_t>(at), worked.begin(), worked.end());
  }
  answer.notes.push_back(say("answers.note-interval"));
  if (small > 0) {
    answer.notes.push_back(say("answers.note-small", {{"rows", std::to_string(small)},
                                                      {"of", std::to_string(answer.rows.size())},
                                                      {"small", std::to_string(small_number)}}));
  }
}

void add_fisher(Answer& answer, std::size_t at) {
  for (auto& row : answer.rows) {
    const std::int64_t cases_with = whole(row[at - 4]);
    const std::int64_t others_with = whole(row[at - 2]);
    const TwoByTwo table{cases_with, whole(row[at - 3]) - cases_with, others_with, whole(row[at - 1]) - others_with};
    row.insert(row.begin() + static_cast<std::ptrdiff_t>(at), decimals(fisher_two_sided(table), 8));
  }
  std::stable_sort(answer.rows.begin(), answer.rows.end(),
                   [&](const auto& a, const auto& b) { return a[at].number() < b[at].number(); });
  answer.notes.push_back(say("answers.note-fisher", {{"compared", std::to_string(answer.rows.size())}}));
}

// Rows without a value (nothing was counted) stand in no chart.
std::vector<double> values_of(const Answer& answer, std::size_t at, std::vector<std::size_t>& places) {
  std::vector<double> values;
  for (std::size_t i = 0; i < answer.rows.size(); ++i) {
    if (!answer.rows[i][at].is_number()) continue;
    values.push_back(answer.rows[i][at].number());
    places.push_back(i);
  }
  return values;
}

void put_signals(Answer& answer, const std::vector<std::size_t>& places, const std::vector<std::string_view>& signals) {
  std::vector<Value> cells(answer.rows.size());
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (!signals[i].empty()) cells[places[i]] = Value(signals[i]);
  }
  for (std::size_t i = 0; i < cells.size(); ++i) answer.rows[i].push_back(std::move(cells[i]));
  answer.columns.push_back({"signal", Sort::word});
}

void add_individuals(Answer& answer) {
  std::vector<std::size_t> places;
  const auto values = values_of(answer, answer.columns.size() - 1, places);
  const IndividualsChart chart = individuals_chart(values);
  for (const char* name : {"centre", "lower", "upper"}) answer.columns.push_back({name, Sort::number});
  for (auto& row : answer.rows) {
    for (const double one : {chart.centre, chart.lower, chart.upper}) row.push_back(decimals(one, 4));
  }
  put_signals(answer, places, chart.signals);
  answer.notes.push_back(say("answers.note-individuals", {{"centre", number_here(chart.centre, 2)},
                                                          {"lower", number_here(chart.lower, 2)},
                                                          {"upper", number_here(chart.upper, 2)},
                                                          {"count", std::to_string(values.size())}}));
  constexpr std::size_t few_values = 20;
  if (values.size() < few_values)
    answer.notes.push_back(say("answers.note-few-values", {{"count", std::to_string(values.size())}}));
}

void add_run(Answer& answer) {
  std::vector<std::size_t> places;
  const auto percent = std::find_if(answer.columns.begin(), answer.columns.end(),
                                    [](const AnsweredColumn& one) { return one.name == "percent"; });
  const auto values = values_of(answer, static_cast<std::size_t>(percent - answer.columns.begin()), places);
  const RunChart chart = run_chart(values);
  answer.columns.push_back({"median", Sort::number});
  for (auto& row : answer.rows) row.push_back(decimals(chart.median, 4));
  put_signals(answer, places, chart.signals);
  answer.notes.push_back(say("answers.note-run", {{"median", number_here(chart.median, 2)},
                                                  {"count", std::to_string(values.size())},
                                                  {"runs", std::to_string(chart.runs)}}));
  constexpr std::size_t few_values = 10;
  if (values.size() < few_values)
    answer.notes.push_back(say("answers.note-few-values", {{"count", std::to_string(values.size())}}));
}

}  // namespace

void work_out(Answer& answer) {
  for (const Column& one : answer.question->columns) {
    if (one.sort == Sort::share) {
      add_shares(answer, answer.columns.size());
      for (const char* name : {"percent", "low_95", "high_95"}) answer.columns.push_back({name, Sort::number});
    } else {
      if (one.sort == Sort::fisher) add_fisher(answer, answer.columns.size());
      answer.columns.push_back({std::string(one.name), one.sort});
    }
  }
  if (answer.question->chart == Chart::individuals) add_individuals(answer);
  if (answer.question->chart == Chart::run) add_run(answer);
}

}  // namespace trayproof::answers
