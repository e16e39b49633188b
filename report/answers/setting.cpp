#include "report/answers/setting.h"

#include <algorithm>
#include <array>

#include "ledger/base/number.h"
#include "ledger/crypto/hash.h"
#include "ledger/events/kinds.h"
#include "ledger/links/kind_tables.h"
#include "ledger/recall/work.h"
#include "ledger/sop/stated.h"
#include "ledger/text/json.h"

namespace trayproof::answers {
namespace {

// "wrapped, drum" of a list of words as JSON; numbers and yes or no as SQL has them.
std::string sql_value(const sop::Key& key, const std::string& value) {
  switch (key.sort) {
    case sop::Sort::number:
    case sop::Sort::whole:
      return value;
    case sop::Sort::days:
      return value == "until-damaged" ? quoted(value) : value;
    case sop::Sort::yes_no:
      return value == "true" ? "1" : "0";
    case sop::Sort::words:
    case sop::Sort::prefixes: {
      json::Value list = json::Value::list();
      for (std::size_t at = 0; at < value.size();) {
        const std::size_t comma = std::min(value.find(", ", at), value.size());
        list.push(value.substr(at, comma - at));
        at = comma + 2;
      }
      return quoted(json::plain(list));
    }
    default:
      return quoted(value);
  }
}

std::string plain_name(const sop::Key& key) { return std::string(key.table) + "." + std::string(key.name); }

std::string moment_sql(Instant at) { return std::to_string(at.ms); }

void add_limit(std::string& sql, const std::string& name, const sop::Key& key, const std::string& value,
               const Judging& one, bool stated) {
  sql += "INSERT INTO limits VALUES (" + quoted(name) + ", " + quoted(plain_name(key)) + ", " + sql_value(key, value) +
         ", " + std::to_string(one.edition) + ", " + moment_sql(one.from) + ", " + moment_sql(one.until) + ", " +
         (stated ? "1" : "0") + ");\n";
}

struct Cell {
  std::string name;
  int weekday = 0;
  Period span;
};

void add_calendar(std::string& sql, const std::string& table, const std::vector<Cell>& cells) {
  sql +=
      "CREATE TEMP TABLE " + table + " (name TEXT, weekday INTEGER, from_ms INTEGER PRIMARY KEY, until_ms INTEGER);\n";
  for (const Cell& one : cells) {
    sql += "INSERT INTO " + table + " VALUES (" + quoted(one.name) + ", " + std::to_string(one.weekday) + ", " +
           moment_sql(one.span.from) + ", " + moment_sql(one.span.until) + ");\n";
  }
}

// Days from Monday are 1 to 7 (ISO 8601); 1970-01-01 was a Thursday.
int weekday_of(std::int64_t day) { return static_cast<int>(((day + 3) % 7 + 7) % 7) + 1; }

// "2026-W44", the year being that of the week's Thursday (ISO 8601).
std::string week_of(std::int64_t day) {
  const std::int64_t thursday = day + 4 - weekday_of(day);
  const int year = date_of_days(thursday).year;
  const std::int64_t week = (thursday - days_since_epoch({year, 1, 1})) / 7 + 1;
  return std::to_string(year) + (week < 10 ? "-W0" : "-W") + std::to_string(week);
}

// Days that bear one name, one after the other, as one cell.
void extend(std::vector<Cell>& cells, const std::string& name, const Period& day) {
  if (!cells.empty() && cells.back().name == name) {
    cells.back().span.until = day.until;
  } else {
    cells.push_back({.name = name, .weekday = 0, .span = day});
  }
}

}  // namespace

std::string quoted(std::string_view text) {
  std::string out = "'";
  for (const char c : text) {
    out += c;
    if (c == '\'') out += c;
  }
  return out + "'";
}

Result<std::vector<Judging>> judging(store::Database& tables, const sop::Editions& editions) {
  std::vector<Judging> out;
  if (editions.empty()) return out;
  std::vector<Instant> turns = {Instant{INT64_MIN}};  // where another edition may begin to judge
  for (const sop::Edition& one : editions.all()) turns.push_back(one.judges_from);
  std::sort(turns.begin(), turns.end());
  turns.erase(std::unique(turns.begin(), turns.end()), turns.end());
  TRY_LET(auto texts, tables.prepare("SELECT toml FROM sop_adopted WHERE seq = ?"));
  for (std::size_t i = 0; i < turns.size(); ++i) {
    const std::int64_t seq = editions.at(turns[i])->seq;
    const Instant until{i + 1 < turns.size() ? turns[i + 1].ms - 1 : INT64_MAX};
    if (!out.empty() && out.back().edition == seq) {
      out.back().until = until;
      continue;
    }
    Judging one{.edition = seq, .toml = {}, .from = turns[i], .until = until};
    texts.bind(1, seq);
    TRY_LET(const bool found, texts.step());
    if (found) one.toml = texts.text(0);
    texts.reset();
    out.push_back(std::move(one));
  }
  return out;
}

Result<std::string> limits_sql(const std::vector<Judging>& editions) {
  std::string sql =
      "CREATE TEMP TABLE limits (key TEXT, plain TEXT, value, edition INTEGER, from_ms INTEGER, until_ms INTEGER, "
      "stated INTEGER);\n"
      "CREATE TEMP TABLE sop_keys (place INTEGER PRIMARY KEY, key TEXT, usual TEXT);\n";
  for (const Judging& one : editions) {
    TRY_LET(const auto said, sop::stated(one.toml));
    for (const sop::Stated& limit : said)
      add_limit(sql, sop::full_name(*limit.key, limit.element), *limit.key, limit.value, one, true);
    for (const sop::Key& key : sop::keys()) {
      const auto usual = sop::default_of(key);
      const bool silent =
          std::none_of(said.begin(), said.end(), [&](const sop::Stated& limit) { return limit.key == &key; });
      if (usual && silent) add_limit(sql, plain_name(key), key, *usual, one, false);
    }
  }
  int place = 0;
  for (const sop::Key& key : sop::keys()) {
    const auto usual = sop::default_of(key);
    sql += "INSERT INTO sop_keys VALUES (" + std::to_string(++place) + ", " + quoted(plain_name(key)) + ", " +
           (usual ? quoted(*usual) : std::string("NULL")) + ");\n";
  }
  return sql + "CREATE INDEX temp.limits_by_key ON limits (key, from_ms);\n";
}

std::string calendar_sql(const Period& period, const Zone& zone) {
  std::vector<Cell> days, weeks, months;
  std::int64_t day = days_since_epoch(zone.civil(period.from).date);
  for (Instant from = period.from; from <= period.until; ++day) {
    const Instant next = zone.start_of(date_of_days(day + 1));
    const Period whole{from, std::min(Instant{next.ms - 1}, period.until)};
    const std::string name = format_date(date_of_days(day));
    days.push_back({.name = name, .weekday = weekday_of(day), .span = whole});
    extend(weeks, week_of(day), whole);
    extend(months, name.substr(0, 7), whole);
    from = next;
  }
  std::string sql;
  add_calendar(sql, "days", days);
  add_calendar(sql, "weeks", weeks);
  add_calendar(sql, "months", months);
  return sql;
}

Result<std::string> recall_work_sql(links::Links& tables, const sop::Editions& editions) {
  std::string sql =
      "CREATE TEMP TABLE recall_work (recall TEXT PRIMARY KEY, state TEXT, packs_to_find INTEGER, packs_answered "
      "INTEGER, procedures INTEGER, procedures_answered INTEGER);\n";
  std::vector<std::string> recalls;
  TRY_LET(auto rows, tables.database().prepare("SELECT DISTINCT recall FROM recall_opened ORDER BY recall"));
  for (;;) {
    TRY_LET(const bool more, rows.step());
    if (!more) break;
    recalls.emplace_back(rows.text(0));
  }
  for (const std::string& recall : recalls) {
    const auto work = recall::work_of(recall, tables.ledger(), tables, editions);
    // A list that was destroyed on request leaves nothing to count.
    if (!work.ok() && work.error().code() != ErrorCode::corrupt) return work.error();
    sql += "INSERT INTO recall_work VALUES (" + quoted(recall);
    if (work.ok()) {
      sql += ", " + quoted(recall::word(work.value().state));
      for (const std::int64_t count : {work.value().packs_to_find(), work.value().packs_answered(),
                                       work.value().procedures(), work.value().procedures_answered()})
        sql += ", " + std::to_string(count);
    } else {
      sql += ", NULL, NULL, NULL, NULL, NULL";
    }
    sql += ");\n";
  }
  return sql;
}

std::string drawn_sql(const std::vector<std::string>& ids) {
  std::string sql = "CREATE TEMP TABLE drawn (id TEXT PRIMARY KEY);\n";
  for (const std::string& one : ids) sql += "INSERT INTO drawn VALUES (" + quoted(one) + ");\n";
  return sql;
}

bool is_limit(std::string_view name) {
  std::string plain;
  bool inside = false;  // of [1], which tells elements apart
  for (const char c : name) {
    inside = c == '[' || (inside && c != ']');
    if (!inside && c != ']') plain += c;
  }
  return !plain.empty() &&
         std::ranges::any_of(sop::keys(), [&](const sop::Key& key) { return plain_name(key).starts_with(plain); });
}

std::string release_wanted_sql() {
  return "CREATE TEMP VIEW release_wanted AS\n"
         "  SELECT l.load FROM main.loads l WHERE EXISTS (SELECT 1 FROM limits x, json_each(x.value) j\n"
         "    WHERE x.key = 'release.methods' AND coalesce(l.end_ms, l.start_ms) BETWEEN x.from_ms AND x.until_ms\n"
         "      AND j.value = l.method);\n";
}

std::string every_event_sql() {
  std::string sql = "CREATE TEMP VIEW every_event AS\n";
  bool first = true;
  for (const events::Kind& kind : events::kinds()) {
    sql += first ? "  SELECT" : "  UNION ALL SELECT";
    sql += " origin, seq, " + quoted(kind.name) + " AS kind, " + (kind.recordable() ? "1" : "0") +
           " AS given, at_ms, recorded_ms, entered_ms, \"by\", paper, files FROM main." + links::table_of(kind.name) +
           "\n";
    first = false;
  }
  return sql + ";\n";
}

std::string named_events_sql() {
  std::string sql = "CREATE TEMP VIEW named_events AS\n";
  bool first = true;
  for (const events::Kind& kind : events::kinds()) {
    sql += first ? "  SELECT" : "  UNION ALL SELECT";
    sql +=
        " m.thing, m.id, t.origin, t.seq, m.kind, t.at_ms, t.\"by\", t.paper, t.files FROM main.mentions m CROSS JOIN "
        "main." +
        links::table_of(kind.name) + " t ON t.origin = m.origin WHERE m.holds = 1 AND m.kind = " + quoted(kind.name) +
        "\n";
    first = false;
  }
  return sql + ";\n";
}

std::vector<std::string> draw(const std::vector<std::string>& from, std::size_t count, std::string_view seed) {
  std::vector<std::pair<Digest, std::string>> marked;
  marked.reserve(from.size());
  for (const std::string& one : from)
    marked.emplace_back(crypto::sha256({as_bytes(seed), as_bytes(":"), as_bytes(one)}), one);
  std::sort(marked.begin(), marked.end());
  marked.erase(std::unique(marked.begin(), marked.end()), marked.end());
  if (marked.size() > count) marked.resize(count);
  std::vector<std::string> out;
  for (auto& [mark, id] : marked) out.push_back(std::move(id));
  return out;
}

}  // namespace trayproof::answers
