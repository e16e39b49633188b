// The list of the assessor's questions, one of them answered as a table, or its query for the shell.
#include "report/command/answer.h"

#include <algorithm>

#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/answers/answer.h"
#include "report/answers/spelling.h"
#include "report/command/layout.h"
#include "report/command/period.h"
#include "report/command/table.h"

namespace trayproof::command {
namespace {

using answers::Question;

std::string options_of(const Question& question, bool needed_only) {
  std::string options;
  for (const answers::Parameter& one : question.parameters) {
    if (needed_only && !answers::is_needed(one)) continue;
    options += (options.empty() ? "--" : ", --") + std::string(one.name);
  }
  return options;
}

Status list(const Context& context) {
  if (context.json) {
    json::Value all = json::Value::list();
    for (const Question& one : answers::questions()) all.push(answers::to_json(one));
    context.print(json::Value::object().set("questions", std::move(all)));
    return Status::done;
  }
  context.line(say("answers.list-head") + "\n");
  std::vector<std::vector<std::string>> rows;
  for (const Question& one : answers::questions()) {
    const std::string needed = options_of(one, true);
    std::string words = answers::words_of(one);
    if (!needed.empty()) words += " (" + say("answers.list-needs", {{"options", needed}}) + ")";
    rows.push_back({std::string(one.id), words});
  }
  const std::string text = table_text({{"", false}, {"", false}}, rows, text_columns(context));
  // Without the two empty lines of headings.
  context.out << text.substr(text.find('\n', text.find('\n') + 1) + 1);
  return Status::done;
}

// The smallest number of letters to change, add or leave out.
std::size_t distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t corner = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t above = row[j];
      row[j] = std::min({above + 1, row[j - 1] + 1, corner + (a[i - 1] == b[j - 1] ? 0 : 1)});
      corner = above;
    }
  }
  return row[b.size()];
}

std::string near_names(const std::string& found) {
  std::vector<std::pair<std::size_t, std::string>> near;
  for (const Question& one : answers::questions()) {
    const std::string id(one.id);
    std::size_t far = distance(found, id);
    const bool part = found.size() > 2 && id.find(found) != std::string::npos;
    // A word of the one that stands in the other.
    bool word = false;
    for (std::size_t at = 0; at < found.size();) {
      const std::size_t end = std::min(found.find('-', at), found.size());
      constexpr std::size_t telling = 4;
      word = word || (end - at >= telling && id.find(found.substr(at, end - at)) != std::string::npos);
      at = end + 1;
    }
    if (part || word) far = std::min<std::size_t>(far, 3);
    constexpr std::size_t near_enough = 4;
    if (far <= near_enough) near.emplace_back(far, id);
  }
  std::stable_sort(near.begin(), near.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  constexpr std::size_t named = 4;
  if (near.size() > named) near.resize(named);
  if (near.empty()) return say("answers.unknown-question-none");
  std::string names;
  for (const auto& one : near) names += (names.empty() ? "" : ", ") + one.second;
  return say("answers.unknown-question-near", {{"near", names}});
}

// Options that the question does not know, and those that it needs and has not got.
std::optional<std::string> misuse_of(const Question& question, const AnswerOptions& options) {
  for (const auto& [name, value] : options.given) {
    const bool taken = std::any_of(question.parameters.begin(), question.parameters.end(),
                                   [&, &named = name](const answers::Parameter& one) { return one.name == named; });
    if (taken) continue;
    const std::string takes = options_of(question, false);
    return say("answers.option-unused", {{"question", question.id},
                                         {"option", "--" + name},
                                         {"options", takes.empty() ? say("answers.option-none") : takes}});
  }
  for (const answers::Parameter& one : question.parameters) {
    if (!answers::is_needed(one) || options.given.contains(std::string(one.name))) continue;
    return say("answers.unfit", {{"option", "--" + std::string(one.name)},
                                 {"found", say("answers.found-nothing")},
                                 {"allowed", say("answers.allowed-needed")}});
  }
  return std::nullopt;
}

class Page {
 public:
  Page(const Context& context, const answers::Answer& answer) : context_(context), answer_(answer) {}

  void print(const Facility& facility, const sop::Editions& editions, bool all) {
    fold(answers::words_of(*answer_.question));
    fold(period_line(facility));
    std::string given;
    for (const auto& [name, value] : answer_.given)
      given += (given.empty() ? "" : ", ") + std::string(spelled_here(name)) + " " + written_here(value);
    if (!given.empty()) fold(say("answers.asked", {{"given", given}}));
    context_.line("");
    rows(all);
    context_.line("");
    fold(say("answers.looked-at",
             {{"examined", count_text(answer_.examined)}, {"cannot_tell", count_text(answer_.cannot_tell)}}));
    fold(say("answers.looked-at-what", {{"what", say("answers." + std::string(answer_.question->id) + ".looked")}}));
    for (const std::string& note : answer_.notes) fold(note);
    if (answer_.unknown_events > 0)
      fold(say("answers.unknown-events", {{"count", count_text(answer_.unknown_events)}}));
    fold(say("answers.source", {{"known_at", count_text(answer_.known_at)},
                                {"as_of", time_here(answer_.zone.local(answer_.as_of))},
                                {"sop", answers::editions_text(answer_, editions)}}));
  }

 private:
  void fold(const std::string& text) const { context_.line(folded(text, text_columns(context_))); }

  std::string period_line(const Facility& facility) const {
    if (!answer_.period) return say("answers.period-whole", {{"facility", facility.title}});
    return say(answer_.usual_period ? "answers.period-usual" : "answers.period",
               {{"facility", facility.title},
                {"from", short_time(answer_.zone, answer_.period->from)},
                {"until", short_time(answer_.zone, answer_.period->until)}});
  }

  void rows(bool all) const {
    if (answer_.rows.empty()) return context_.line(say("answers.none"));
    constexpr std::size_t first = 100;
    const std::size_t shown = all ? answer_.rows.size() : std::min(first, answer_.rows.size());
    std::vector<TableColumn> columns;
    for (const answers::AnsweredColumn& one : answer_.columns)
      columns.push_back({answers::head_of(one.name), answers::is_number(one.sort)});
    std::vector<std::vector<std::string>> cells;
    for (std::size_t i = 0; i < shown; ++i) {
      std::vector<std::string>& row = cells.emplace_back();
      for (std::size_t j = 0; j < columns.size(); ++j)
        row.push_back(answers::cell_text(answer_.rows[i][j], answer_.columns[j].sort));
    }
    context_.out << table_text(columns, cells, text_columns(context_));
    if (shown < answer_.rows.size())
      context_.line(say("answers.more", {{"count", std::to_string(answer_.rows.size() - shown)}}));
  }

  const Context& context_;
  const answers::Answer& answer_;
};

Result<Status> answered(const Context& context, const Ledger& ledger, const AnswerOptions& options,
                        const Question& question) {
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  const AskedPeriod period = period_of(options.from, options.to, tables.zone());
  if (period.misuse) return context.misused(*period.misuse);
  answers::Asked asked{.question = &question, .from = period.from, .until = period.until, .given = {}, .what_if = {}};
  asked.given.insert(options.given.begin(), options.given.end());
  if (options.sop) {
    TRY_LET(asked.what_if, sop_text(*options.sop));
  }
  TRY_LET(const auto editions, ledger.editions(tables.known_at()));
  if (options.query) {
    TRY_LET(const std::string text, answers::for_the_shell(asked, tables, editions));
    context.out << text;
    return Status::done;
  }
  TRY_LET(const auto answer, answers::ask(asked, tables, editions));
  if (context.json) {
    context.print(answers::to_json(answer));
    return Status::done;
  }
  TRY_LET(const auto facility, facility_of(ledger));
  Page(context, answer).print(facility, editions, options.all);
  return Status::done;
}

}  // namespace

Status answer_question(const Context& context, const AnswerOptions& options) {
  if (!options.question) return list(context);
  const Question* question = answers::find_question(*options.question);
  if (question == nullptr) {
    return context.misused(
        say("answers.unknown-question", {{"found", *options.question}, {"near", near_names(*options.question)}}));
  }
  if (const auto misuse = misuse_of(*question, options)) return context.misused(*misuse);
  const auto ledger = context.open(store::Access::read);
  if (!ledger.ok()) return context.fail(ledger.error());
  const auto done = answered(context, ledger.value(), options, *question);
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
