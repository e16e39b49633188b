#include "report/answers/answer.h"

#include <algorithm>
#include <cmath>

#include "ledger/base/number.h"
#include "ledger/base/utf8.h"
#include "ledger/crypto/random.h"
#include "ledger/sop/kept.h"
#include "ledger/words/words.h"
#include "report/asking/procedure_sorts.h"

namespace trayproof::answers {
namespace {

using json::Value;
using Bindings = std::vector<std::pair<std::string, Value>>;

constexpr std::string_view things[] = {"procedure", "pack", "set", "load", "equipment"};
constexpr std::string_view measures[] = {
    "late-entries",           "patients-not-recorded", "soaks-under-10-min",      "wet-loads",
    "loads-without-evidence", "early-releases",        "inspections-with-finding"};

Error unfit(std::string_view name, std::string_view found, std::string_view allowed) {
  return Error(ErrorCode::invalid, say("answers.unfit", {{"option", name}, {"found", found}, {"allowed", allowed}}));
}

std::vector<std::string> split(const std::string& text) {
  std::vector<std::string> items;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t comma = std::min(text.find(',', at), text.size());
    if (comma > at) items.push_back(text.substr(at, comma - at));
    at = comma + 1;
  }
  return items;
}

std::string random_seed() {
  const auto bytes = crypto::random_bytes<3>();
  const int drawn = (bytes[0] << 16) + (bytes[1] << 8) + bytes[2];
  return std::to_string(drawn % 1'000'000);
}

class Asking {
 public:
  Asking(const Asked& asked, links::Links& tables, const sop::Editions& editions)
      : asked_(asked), tables_(tables), editions_(editions), database_(tables.database()) {
    answer_.question = asked.question;
    answer_.zone = tables.zone();
    answer_.known_at = tables.known_at();
    answer_.as_of = std::max(tables.ledger().clock().now(), tables.last_at());
  }

  // Everything that the query needs stands ready.
  Result<void> prepare() {
    TRY(settle_period());
    for (const Parameter& one : question().parameters) TRY(settle(one));
    TRY(lay_out());
    bind("from", period_.from.ms);
    bind("until", period_.until.ms);
    bind("now", answer_.as_of.ms);
    if (answer_.period) bind("from_day", format_date(answer_.zone.civil(period_.from).date));
    return {};
  }

  Result<Answer> run() {
    TRY(run_setting());
    TRY_LET(const links::Snapshot snapshot, links::Snapshot::begin(tables_.statements()));
    TRY_LET(auto counts, statement(question().counts));
    TRY_LET(const bool counted, counts.step());
    if (counted) {
      answer_.examined = counts.integer(0);
      answer_.cannot_tell = counts.integer(1);
    }
    counts.reset();
    TRY_LET(auto rows, statement(question().query));
    for (;;) {
      TRY_LET(const bool more, rows.step());
      if (!more) break;
      TRY_LET(auto row, cells_of(rows));
      answer_.rows.push_back(std::move(row));
    }
    TRY_LET(auto unknown, database_.prepare("SELECT count(*) FROM unknown_events"));
    TRY_LET(const bool any, unknown.step());
    if (any) answer_.unknown_events = unknown.integer(0);
    work_out(answer_);
    return std::move(answer_);
  }

  // What a random sample holds, and a note that tells how to draw it again.
  Result<void> draw_sample() {
    if (question().draw_from.empty() || drawn_) return {};
    drawn_ = true;
    TRY_LET(auto rows, statement(question().draw_from));
    std::vector<std::string> ids;
    for (;;) {
      TRY_LET(const bool more, rows.step());
      if (!more) break;
      ids.emplace_back(rows.text(0));
    }
    const auto count = static_cast<std::size_t>(*parse_number(answer_.given.at("sample")));
    const std::string& seed = answer_.given.at("seed");
    setting_ += drawn_sql(draw(ids, count, seed));
    answer_.notes.push_back(say(
        "answers.note-drawn",
        {{"count", std::to_string(std::min(count, ids.size()))}, {"of", std::to_string(ids.size())}, {"seed", seed}}));
    return {};
  }

  Result<std::string> text() {
    std::string out;
    for (const auto& [name, value] : bindings_) out += ".parameter set :" + name + " " + shell_value(value) + "\n";
    out += setting_;
    out += std::string(question().query.substr(1)) + ";\n" + std::string(question().counts.substr(1)) + ";\n";
    return out;
  }

 private:
  const Question& question() const { return *asked_.question; }
  void bind(std::string name, Value value) { bindings_.emplace_back(std::move(name), std::move(value)); }

  bool names(std::string_view table) const {
    for (const std::string_view sql : {question().query, question().counts, question().draw_from}) {
      if (sql.find(table) != std::string_view::npos) return true;
    }
    return false;
  }

  Result<void> settle_period() {
    if (question().scope == Scope::whole) {
      if (asked_.from || asked_.until) answer_.notes.push_back(say("answers.note-whole"));
      period_ = {Instant{INT64_MIN / 2}, Instant{INT64_MAX / 2}};
      return {};
    }
    const Instant now = tables_.ledger().clock().now();
    const CivilDate last = answer_.zone.civil(asked_.until.value_or(std::min(now, tables_.last_at()))).date;
    const std::int64_t last_day = days_since_epoch(last);
    constexpr std::int64_t usual_days = 13 * 7;
    period_.until = asked_.until.value_or(Instant{answer_.zone.start_of(date_of_days(last_day + 1)).ms - 1});
    period_.from = asked_.from.value_or(answer_.zone.start_of(date_of_days(last_day - usual_days + 1)));
    answer_.usual_period = !asked_.from && !asked_.until;
    if (period_.from > period_.until)
      return unfit("--from", format_date(answer_.zone.civil(period_.from).date), say("answers.allowed-not-after"));
    constexpr std::int64_t most_days = 366 * 60;
    if ((period_.until.ms - period_.from.ms) / day_ms > most_days)
      return unfit("--from", format_date(answer_.zone.civil(period_.from).date), say("answers.allowed-period"));
    answer_.period = period_;
    return {};
  }

  Result<void> settle(const Parameter& one) {
    const std::string name(one.name);
    const auto given = asked_.given.find(one.name);
    std::string value = given != asked_.given.end() ? given->second : std::string(one.usual);
    if (value.empty() && name == "seed") value = random_seed();
    if (value.empty()) return unfit("--" + name, say("answers.found-nothing"), say("answers.allowed-needed"));
    if (name == "sample" || name == "hours") {
      const auto number = parse_number(value);
      constexpr double most = 1000;
      const bool fits =
          number && *number > 0 && *number <= most && (name == "hours" || *number == static_cast<int>(*number));
      if (!fits)
        return unfit("--" + name, value, say(name == "hours" ? "answers.allowed-hours" : "answers.allowed-sample"));
      bind(name, *number);
    } else if (name == "on") {
      TRY(settle_moment(value));
    } else if (name == "procedures") {
      TRY(settle_list(value));
    } else {
      TRY(is_known(name, value));
      bind(name, value);
    }
    answer_.given[name] = value;
    return {};
  }

  Result<void> settle_moment(std::string& value) {
    Instant on = answer_.as_of;
    if (value != "now") {
      if (const auto time = parse_date_time(value)) {
        on = time->instant;
      } else if (const auto date = parse_date(value)) {
        on = Instant{answer_.zone.start_of(date_of_days(days_since_epoch(*date) + 1)).ms - 1};
      } else {
        return unfit("--on", value, say("answers.allowed-moment"));
      }
    }
    value = format_date_time(answer_.zone.local(on));
    bind("on", on.ms);
    bind("on_day", format_date(answer_.zone.civil(on).date));
    return {};
  }

  Result<void> settle_list(const std::string& value) {
    json::Value list = json::Value::list();
    for (const std::string& one : split(value)) {
      TRY(is_known("procedure", one));
      list.push(one);
    }
    bind("procedures", json::plain(list));
    return {};
  }

  // What the ledger does not hold is no question about it: an answer of no rows would look like a good one.
  Result<void> is_known(const std::string& name, const std::string& value) {
    if (name == "measure") {
      if (std::find(std::begin(measures), std::end(measures), value) != std::end(measures)) return {};
      std::string allowed;
      for (const std::string_view one : measures) allowed += (allowed.empty() ? "" : ", ") + std::string(one);
      return unfit("--measure", value, allowed);
    }
    if (name == "key") {
      if (is_limit(value)) return {};
      return unfit("--key", value, say("answers.allowed-key"));
    }
    std::string sql = "SELECT 1 FROM mentions WHERE thing IN (SELECT value FROM json_each(?)) AND id = ? LIMIT 1";
    json::Value kinds = json::Value::list();
    if (std::find(std::begin(things), std::end(things), name) != std::end(things)) {
      kinds.push(name);
    } else if (name == "id") {
      for (const char* one :
           {"pack", "load", "set", "solution", "lot", "person", "equipment", "procedure", "biological", "recall"})
        kinds.push(one);
    } else {
      return {};
    }
    TRY_LET(auto rows, database_.prepare(sql));
    rows.bind(1, json::plain(kinds)).bind(2, value);
    TRY_LET(const bool known, rows.step());
    if (known) return {};
    return Error(ErrorCode::missing, say("answers.unknown-subject", {{"kind", name}, {"id", shortened(value, 80)}}));
  }

  Result<void> lay_out() {
    TRY_LET(auto spans, judging(database_, editions_));
    if (asked_.what_if) {
      TRY_LET(const auto sop, sop::read(*asked_.what_if));
      answer_.what_if = sop.title;
      spans = {Judging{.edition = 0, .toml = *asked_.what_if}};
      if (names("curve_verdict")) answer_.notes.push_back(say("answers.note-curves-as-recorded"));
    } else {
      for (const Judging& one : spans) {
        if (one.from > period_.until || one.until < period_.from) continue;
        if (std::find(answer_.editions.begin(), answer_.editions.end(), one.edition) != answer_.editions.end())
          continue;
        answer_.editions.push_back(one.edition);
        tell_unknown(one);
      }
      std::sort(answer_.editions.begin(), answer_.editions.end());
    }
    if (names("limits") || names("sop_keys") || names("release_wanted")) {
      TRY_LET(const std::string limits, limits_sql(spans));
      setting_ += limits;
    }
    bool calendar = false;
    for (const char* table : {"days", "weeks", "months"})
      calendar = calendar || names("FROM " + std::string(table)) || names("JOIN " + std::string(table));
    if (calendar && answer_.period) setting_ += calendar_sql(period_, answer_.zone);
    if (names("release_wanted")) setting_ += release_wanted_sql();
    if (names("procedure_sorts"))
      setting_ += "CREATE TEMP VIEW procedure_sorts AS\n" + std::string(procedure_sorts_sql()) + ";\n";
    if (names("recall_work")) {
      TRY_LET(const std::string work, recall_work_sql(tables_, editions_));
      setting_ += work;
    }
    if (names("every_event")) setting_ += every_event_sql();
    if (names("named_events")) setting_ += named_events_sql();
    return {};
  }

  // A newer program's edition may hold limits that this one does not know.
  void tell_unknown(const Judging& one) {
    std::string keys;
    for (const std::string& name : sop::read_kept(one.toml).unknown) keys += (keys.empty() ? "" : ", ") + name;
    if (!keys.empty())
      answer_.notes.push_back(say("command.sop-unknown", {{"seq", std::to_string(one.edition)}, {"keys", keys}}));
  }

  Result<void> run_setting() {
    std::string clear;
    for (const char* table : {"limits", "sop_keys", "days", "weeks", "months", "drawn", "recall_work"})
      clear += "DROP TABLE IF EXISTS temp." + std::string(table) + ";\n";
    TRY(database_.run(clear + "DROP VIEW IF EXISTS temp.release_wanted;\nDROP VIEW IF EXISTS temp.every_event;\nDROP "
                              "VIEW IF EXISTS temp.named_events;\nDROP VIEW IF EXISTS temp.procedure_sorts;\n"));
    TRY(draw_sample());
    return database_.run("SAVEPOINT setting;\n" + setting_ + "RELEASE setting;\n");
  }

  // The query with its named values as numbered ones, bound.
  Result<store::Statement> statement(std::string_view sql) {
    std::string numbered;
    std::vector<const Value*> values;
    for (std::size_t at = 0; at < sql.size();) {
      if (sql[at] != ':') {
        numbered += sql[at++];
        continue;
      }
      std::size_t end = at + 1;
      while (end < sql.size() && (sql[end] == '_' || (sql[end] >= 'a' && sql[end] <= 'z'))) ++end;
      const std::string_view name = sql.substr(at + 1, end - at - 1);
      const auto found =
          std::find_if(bindings_.begin(), bindings_.end(), [&](const auto& one) { return one.first == name; });
      CHECK(found != bindings_.end());
      values.push_back(&found->second);
      numbered += "?" + std::to_string(values.size());
      at = end;
    }
    TRY_LET(auto made, database_.prepare(numbered));
    for (std::size_t i = 0; i < values.size(); ++i) {
      const int place = static_cast<int>(i) + 1;
      if (!values[i]->is_number()) {
        made.bind(place, std::string_view(values[i]->text()));
      } else if (const double number = values[i]->number(); number == std::floor(number)) {
        made.bind(place, static_cast<std::int64_t>(number));
      } else {
        made.bind(place, number);
      }
    }
    return made;
  }

  Result<std::vector<Value>> cells_of(const store::Statement& row) {
    std::vector<Value> cells;
    int place = 0;
    for (const Column& column : question().columns) {
      if (column.sort == Sort::share || column.sort == Sort::fisher) continue;
      TRY_LET(auto cell, cell_of(row, place, column.sort));
      cells.push_back(std::move(cell));
      ++place;
    }
    return cells;
  }

  Result<Value> cell_of(const store::Statement& row, int place, Sort sort) {
    if (row.is_null(place)) return Value();
    switch (sort) {
      case Sort::number:
        return Value(row.real(place));
      case Sort::entry:
        return Value(row.integer(place));
      case Sort::yes_no:
        return Value(row.integer(place) != 0);
      case Sort::time:
        return Value(format_date_time(answer_.zone.local(Instant{row.integer(place)})));
      case Sort::written:
        return written(row.text(place));
      default:
        return Value(row.text(place));
    }
  }

  Result<Value> written(std::string_view stand_in) {
    TRY_LET(const auto parsed, json::parse(stand_in));
    Digest digest{};
    if (!from_hex(parsed.text_at("sha256").value_or(""), digest)) return Value(stand_in);
    TRY_LET(const auto text, tables_.ledger().text(digest));
    return Value(text ? *text : say("answers.text-removed"));
  }

  static std::string shell_value(const Value& value) {
    if (value.is_number() && value.number() == std::floor(value.number()))
      return std::to_string(static_cast<std::int64_t>(value.number()));
    if (value.is_number()) return shortest(value.number());
    // The shell takes the value as an SQL expression; its own quotes keep the words together.
    const std::string text = quoted(value.text());
    std::string out = "\"";
    for (const char c : text) {
      if (c == '"' || c == '\\') out += '\\';
      out += c;
    }
    return out + "\"";
  }

  const Asked& asked_;
  links::Links& tables_;
  const sop::Editions& editions_;
  store::Database& database_;
  Answer answer_;
  Period period_{Instant{0}, Instant{0}};
  Bindings bindings_;
  std::string setting_;
  bool drawn_ = false;
};

}  // namespace

Result<Answer> ask(const Asked& asked, links::Links& tables, const sop::Editions& editions) {
  Asking asking(asked, tables, editions);
  TRY(asking.prepare());
  return asking.run();
}

Result<std::string> for_the_shell(const Asked& asked, links::Links& tables, const sop::Editions& editions) {
  Asking asking(asked, tables, editions);
  TRY(asking.prepare());
  TRY(asking.draw_sample());
  return asking.text();
}

json::Value to_json(const Answer& answer) {
  Value out = Value::object();
  out.set("question", answer.question->id);
  const auto time = [&](Instant at) { return format_date_time(answer.zone.local(at)); };
  out.set("from", answer.period ? Value(time(answer.period->from)) : Value());
  out.set("until", answer.period ? Value(time(answer.period->until)) : Value(time(answer.as_of)));
  Value editions = Value::list();
  if (answer.what_if) editions.push(say("gaps.what-if", {{"title", *answer.what_if}}));
  for (const std::int64_t seq : answer.editions) editions.push(seq);
  out.set("sop", std::move(editions));
  out.set("examined", answer.examined).set("cannot_tell", answer.cannot_tell);
  Value columns = Value::list();
  for (const AnsweredColumn& one : answer.columns) columns.push(one.name);
  out.set("columns", std::move(columns));
  Value rows = Value::list();
  for (const auto& row : answer.rows) rows.push(Value(json::List(row)));
  out.set("rows", std::move(rows));
  Value given = Value::object();
  for (const auto& [name, value] : answer.given) given.set(name, value);
  out.set("given", std::move(given)).set("as_of", time(answer.as_of)).set("known_at", answer.known_at);
  if (answer.unknown_events > 0) out.set("unknown_events", answer.unknown_events);
  Value notes = Value::list();
  for (const std::string& one : answer.notes) notes.push(one);
  return out.set("notes", std::move(notes));
}

}  // namespace trayproof::answers
