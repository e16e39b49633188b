// The shares of `coverage`: how much of what was done has what belongs to it, place by place, beside what chance alone
// would do at that volume.
#include <algorithm>

#include "ledger/words/words.h"
#include "report/gaps/rule.h"
#include "report/register/facility_title.h"
#include "report/register/foreign_text.h"
#include "report/register/funnel.h"
#include "report/register/questions.h"

namespace trayproof::registry {
namespace {

using json::Value;

struct Measure {
  std::string name;
  const char* sql;  // ledger, how many have it, of how many; $1 and $2 bound the period
};

const std::vector<Measure>& all_measures() {
  static const std::vector<Measure> all = {
      {"evidence",
       "SELECT ledger, count(*) FILTER (WHERE evidence = 'recorded') AS found, count(*) AS total FROM derived.loads "
       "WHERE "
       "start_seq IS NOT NULL AND start_time >= coalesce($1::timestamptz, '-infinity') AND start_time <= "
       "coalesce($2::timestamptz, 'infinity') GROUP BY "
       "ledger"},
      {"decided",
       "SELECT ledger, count(*) FILTER (WHERE decision IS NOT NULL) AS found, count(*) AS total FROM derived.loads "
       "WHERE "
       "start_seq IS NOT NULL AND start_time >= coalesce($1::timestamptz, '-infinity') AND start_time <= "
       "coalesce($2::timestamptz, 'infinity') GROUP BY "
       "ledger"},
      {"load-known",
       "SELECT ledger, count(DISTINCT (procedure, pack)) FILTER (WHERE load IS NOT NULL) AS found, count(DISTINCT "
       "(procedure, "
       "pack)) AS total FROM derived.uses WHERE use_time >= coalesce($1::timestamptz, '-infinity') AND use_time <= "
       "coalesce($2::timestamptz, "
       "'infinity') GROUP BY ledger"},
  };
  return all;
}

bool is_few(std::int64_t count) { return count > 0 && count < shown_from; }

// Whether it lets somebody tell a count of fewer than five.
bool tells_of_few(std::int64_t found, std::int64_t of) { return is_few(of) || is_few(found) || is_few(of - found); }

struct Place {
  std::string ledger;
  std::string facility;
  std::int64_t found = 0;
  std::int64_t of = 0;
  bool withheld = false;
};

// Besides the places that tell of few, the smallest of the others, until nobody can work the withheld ones back from
// the sums of all. `places` stand by volume, the largest first.
void withhold_few(std::vector<Place>& places) {
  std::int64_t withheld = 0, found = 0, of = 0;
  const auto withhold = [&](Place& place) {
    place.withheld = true;
    ++withheld, found += place.found, of += place.of;
  };
  for (Place& place : places) {
    if (tells_of_few(place.found, place.of)) withhold(place);
  }
  for (auto next = places.rbegin(); next != places.rend(); ++next) {
    if (withheld == 0 || (withheld > 1 && !tells_of_few(found, of))) return;
    if (!next->withheld && next->of > 0) withhold(*next);
  }
}

// Without the limits where the share of all is withheld: they would tell it.
std::vector<Value> row_of(const Place& place, std::optional<double> overall) {
  std::vector<Value> out = {place.ledger, place.facility};
  if (place.withheld) {
    out.resize(9);
    out.emplace_back("withheld");
    return out;
  }
  const double share = static_cast<double>(place.found) / static_cast<double>(place.of);
  out.insert(out.end(), {Value(place.found), Value(place.of), Value(share)});
  if (!overall) {
    out.resize(10);
    return out;
  }
  const Limits narrow = funnel_limits(place.of, *overall, 0.025);
  const Limits wide = funnel_limits(place.of, *overall, 0.001);
  out.insert(out.end(), {Value(narrow.low), Value(narrow.high), Value(wide.low), Value(wide.high),
                         Value(place_of(place.found, place.of, *overall))});
  return out;
}

}  // namespace

const std::vector<std::string>& measures() {
  static const std::vector<std::string> names = [] {
    std::vector<std::string> all;
    for (const Measure& one : all_measures()) all.push_back(one.name);
    return all;
  }();
  return names;
}

namespace {

// `counts` gives ledger, found and total. By volume: who reads it looks at places of a size together, and nobody stands
// first for being good.
Result<Answer> shares(Connection& connection, std::string question, const std::string& counts,
                      const Parameters& parameters) {
  const std::string sql = "SELECT m.ledger, " + title_sql("m.ledger") + " AS facility, m.found, m.total FROM (" +
                          counts + ") m ORDER BY m.total DESC, facility, m.ledger";
  TRY_LET(const Rows rows, connection.ask(sql, parameters));
  Answer answer{
      .question = std::move(question),
      .columns = {"ledger", "facility", "found", "of", "share", "low_95", "high_95", "low_998", "high_998", "place"},
      .rows = {},
      .notes = {}};
  std::vector<Place> places;
  std::int64_t found = 0;
  std::int64_t of = 0;
  for (int row = 0; row < rows.count(); ++row) {
    places.push_back({.ledger = foreign_text(rows.text(row, 0)),
                      .facility = foreign_text(rows.text(row, 1)),
                      .found = rows.integer(row, 2),
                      .of = rows.integer(row, 3)});
    found += places.back().found, of += places.back().of;
  }
  withhold_few(places);
  const bool withheld = of == 0 || tells_of_few(found, of);
  std::optional<double> overall;
  if (!withheld) overall = static_cast<double>(found) / static_cast<double>(of);
  for (const Place& place : places) answer.rows.push_back(row_of(place, overall));
  answer.more.set("overall", Value::object()
                                 .set("found", withheld && of > 0 ? Value() : Value(found))
                                 .set("of", withheld && of > 0 ? Value() : Value(of))
                                 .set("share", overall ? Value(*overall) : Value()));
  return answer;
}

}  // namespace

Result<Answer> coverage(Connection& connection, const CoverageAsked& asked) {
  const auto& all = all_measures();
  const auto measure =
      std::find_if(all.begin(), all.end(), [&](const Measure& one) { return one.name == asked.measure; });
  if (measure == all.end()) {
    return Error(ErrorCode::invalid,
                 say("district.no-measure", {{"found", asked.measure}, {"allowed", listed(measures())}}));
  }
  TRY_LET(auto answer, shares(connection, "coverage", measure->sql, Parameters().add(asked.from).add(asked.until)));
  answer.more.set("measure", asked.measure)
      .set("from", asked.from ? Value(format_recorded(*asked.from)) : Value())
      .set("until", asked.until ? Value(format_recorded(*asked.until)) : Value());
  answer.notes = {say("district.measure-" + asked.measure), say("district.funnel-note"), say("district.few-note")};
  return answer;
}

Result<Answer> gap_shares(Connection& connection, const std::optional<std::string>& rule) {
  if (!rule) {
    TRY_LET(const Rows rows,
            connection.ask("SELECT rule, min(severity), count(*), sum(subjects)::bigint, sum(gaps)::bigint, "
                           "sum(cannot_tell)::bigint FROM derived.gap_counts GROUP BY rule ORDER BY rule"));
    Answer answer{.question = "gaps",
                  .columns = {"rule", "severity", "facilities", "of", "gaps", "cannot_tell"},
                  .rows = {},
                  .notes = {say("district.gaps-note"), say("district.few-note")}};
    for (int row = 0; row < rows.count(); ++row) {
      std::vector<Value>& out = answer.rows.emplace_back();
      out = {foreign_text(rows.text(row, 0)), foreign_text(rows.text(row, 1))};
      const std::int64_t of = rows.integer(row, 3);
      const auto part = [&](int column) {
        const std::int64_t count = rows.integer(row, column);
        return tells_of_few(count, of) ? Value() : Value(count);
      };
      out.insert(out.end(), {Value(rows.integer(row, 2)), is_few(of) ? Value() : Value(of), part(4), part(5)});
    }
    return answer;
  }
  if (gaps::find_rule(*rule) == nullptr) return Error(ErrorCode::invalid, say("district.no-rule", {{"found", *rule}}));
  TRY_LET(auto answer, shares(connection, "gaps",
                              "SELECT ledger, gaps AS found, subjects AS total FROM derived.gap_counts WHERE rule = $1",
                              Parameters().add(*rule)));
  answer.more.set("rule", *rule);
  answer.notes = {say("gaps." + *rule + ".title"), say("district.gaps-note"), say("district.funnel-note"),
                  say("district.few-note")};
  return answer;
}

}  // namespace trayproof::registry
