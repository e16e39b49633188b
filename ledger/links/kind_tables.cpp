#include "ledger/links/kind_tables.h"

#include <algorithm>
#include <cmath>

namespace trayproof::links {
namespace {

using events::Field;
using events::Type;

constexpr std::string_view envelope_columns[] = {"origin INTEGER PRIMARY KEY",
                                                 "seq INTEGER NOT NULL",
                                                 "at TEXT NOT NULL",
                                                 "at_ms INTEGER NOT NULL",
                                                 "earliest_ms INTEGER NOT NULL",
                                                 "latest_ms INTEGER NOT NULL",
                                                 "precision TEXT NOT NULL",
                                                 "by TEXT",
                                                 "entered TEXT",
                                                 "entered_ms INTEGER",
                                                 "recorded TEXT",
                                                 "recorded_ms INTEGER",
                                                 "station TEXT",
                                                 "\"key\" TEXT",
                                                 "paper TEXT",
                                                 "unknown TEXT",
                                                 "as_read TEXT",
                                                 "files TEXT",
                                                 "note TEXT"};

std::string quoted(std::string_view name) { return "\"" + std::string(name) + "\""; }

std::string_view affinity(Type type) {
  switch (type) {
    case Type::boolean:
    case Type::integer:
    case Type::indicator_type:
    case Type::seq:
      return " INTEGER";
    case Type::number:
    case Type::amount:
    case Type::percent:
    case Type::temperature:
      return " REAL";
    case Type::any:
    case Type::flag_or_date:
      return "";
    default:
      return " TEXT";
  }
}

// The fields by which events are found again.
bool is_indexed(const events::Kind& kind, const Field& field) {
  if (field.type == Type::seq) return field.name == "curve" || field.name == "of" || field.name == "sop";
  if (field.type != Type::id && field.type != Type::id_or_null) return false;
  if (field.needed == events::Needed::yes) return field.name != "second";
  return field.name == "load" || field.name == "pack" || field.name == "biological" ||
         (kind.name == "load-started" && field.name == "equipment") ||
         (kind.name == "curve-measured" && field.name == "logger");
}

int columns_beside(Type type) { return type == Type::date_time ? 3 : type == Type::date_or_time ? 1 : 0; }

bool is_whole(double number) { return std::abs(number) <= 999'999'999'999'999.0 && std::floor(number) == number; }

// A value as a column holds it: what has no simple form is kept as JSON.
void bind_value(store::Statement& statement, int parameter, Type type, const json::Value* value) {
  if (value == nullptr || value->is_null()) {
    statement.bind_null(parameter);
  } else if (value->is_text()) {
    statement.bind_view(parameter, std::string_view(value->text()));
  } else if (value->is_bool()) {
    statement.bind(parameter, value->boolean() ? 1 : 0);
  } else if (value->is_number()) {
    const bool integer = affinity(type) == " INTEGER" || type == Type::any;
    if (integer && is_whole(value->number())) {
      statement.bind(parameter, static_cast<std::int64_t>(value->number()));
    } else {
      statement.bind(parameter, value->number());
    }
  } else if (const auto pseudonym = value->text_at("pseudonym"); type == Type::patient && pseudonym) {
    statement.bind(parameter, *pseudonym);
  } else {
    statement.bind(parameter, json::canonical(*value));
  }
}

int bind_beside(store::Statement& statement, int parameter, const StandingEvent& event, const Field& field,
                const json::Value* value, const Zone& zone) {
  const int beside = columns_beside(field.type);
  if (beside == 0) return parameter;
  const auto time = value != nullptr && value->is_text() ? parse_date_time(value->text()) : std::nullopt;
  if (beside == 3) {
    if (time) {
      const Span span = span_of(*time, event.precision);
      statement.bind(parameter, time->instant.ms)
          .bind(parameter + 1, span.earliest.ms)
          .bind(parameter + 2, span.latest.ms);
    } else {
      statement.bind_null(parameter).bind_null(parameter + 1).bind_null(parameter + 2);
    }
    return parameter + 3;
  }
  if (const auto last = last_moment(value, event.precision, zone)) {
    statement.bind(parameter, last->ms);
  } else {
    statement.bind_null(parameter);
  }
  return parameter + 1;
}

void bind_text(store::Statement& statement, int parameter, std::string_view text) {
  if (text.empty()) {
    statement.bind_null(parameter);
  } else {
    statement.bind_view(parameter, text);
  }
}

void bind_envelope(store::Statement& statement, const StandingEvent& event) {
  const auto bind_field = [&](int parameter, std::string_view name) {
    bind_value(statement, parameter, Type::object, event.fields.find(name));
  };
  statement.bind(1, event.origin).bind(2, event.seq);
  bind_field(3, "at");
  statement.bind(4, event.at.instant.ms).bind(5, event.span.earliest.ms).bind(6, event.span.latest.ms);
  statement.bind_view(7, name_of(event.precision));
  bind_field(8, "by");
  const auto entered = event.taking.entered ? parse_date_time(*event.taking.entered) : std::nullopt;
  bind_text(statement, 9, event.taking.entered ? std::string_view(*event.taking.entered) : std::string_view());
  if (entered)
    statement.bind(10, entered->instant.ms);
  else
    statement.bind_null(10);
  bind_text(statement, 11, event.taking.recorded);
  statement.bind(12, event.taking.recorded_at.ms);
  bind_text(statement, 13, event.taking.station);
  bind_text(statement, 14, event.taking.key);
  bind_field(15, "paper");
  bind_field(16, "unknown");
  bind_field(17, "as_read");
  bind_field(18, "files");
  bind_field(19, "note");
}

}  // namespace

std::string table_of(std::string_view kind) {
  std::string name(kind);
  std::ranges::replace(name, '-', '_');
  return name;
}

std::string column_of(const Field& field) { return field.name == "origin" ? "origin_name" : std::string(field.name); }

std::optional<Instant> last_moment(const json::Value* value, Precision precision, const Zone& zone) {
  if (value == nullptr || !value->is_text()) return std::nullopt;
  if (const auto time = parse_date_time(value->text())) return span_of(*time, precision).latest;
  const auto date = parse_date(value->text());
  if (!date) return std::nullopt;
  const CivilDate next = date_of_days(days_since_epoch(*date) + 1);
  return Instant{zone.start_of(next).ms - 1};
}

std::string kind_tables_sql() {
  std::string sql;
  for (const events::Kind& kind : events::kinds()) {
    sql += "CREATE TABLE " + table_of(kind.name) + " (";
    for (const std::string_view column : envelope_columns) sql.append(column).append(", ");
    for (const Field& field : kind.fields) {
      const std::string name = column_of(field);
      sql.append(quoted(name)).append(affinity(field.type)).append(", ");
      if (columns_beside(field.type) > 0) sql += "\"" + name + "_ms\" INTEGER, ";
      if (columns_beside(field.type) > 1)
        sql += "\"" + name + "_earliest_ms\" INTEGER, \"" + name + "_latest_ms\" INTEGER, ";
    }
    sql.resize(sql.size() - 2);
    sql += ");\n";
  }
  return sql;
}

std::string kind_indexes_sql() {
  std::string sql;
  for (const events::Kind& kind : events::kinds()) {
    const std::string table = table_of(kind.name);
    sql += "CREATE INDEX " + table + "_by_time ON " + table + " (at_ms);\n";
    if (kind.group != events::Group::record_itself) {
      sql += "CREATE INDEX " + table + "_by_recorder ON " + table + " (\"by\", at_ms);\n";
      sql += "CREATE INDEX " + table + "_by_entry ON " + table + " (coalesce(entered_ms, recorded_ms));\n";
    }
    for (const Field& field : kind.fields) {
      if (!is_indexed(kind, field)) continue;
      sql += "CREATE INDEX " + table + "_by_" + std::string(field.name) + " ON " + table + " (" + quoted(field.name) +
             ", at_ms);\n";
    }
  }
  return sql;
}

Result<store::Statement*> KindTables::insertion(const events::Kind& kind) {
  const auto place = static_cast<std::size_t>(&kind - events::kinds().data());
  if (insertions_.empty()) insertions_.resize(events::kinds().size());
  auto& kept = insertions_[place];
  if (!kept) {
    int columns = static_cast<int>(std::size(envelope_columns));
    for (const Field& field : kind.fields) columns += 1 + columns_beside(field.type);
    std::string sql = "INSERT INTO " + table_of(kind.name) + " VALUES (?";
    for (int column = 1; column < columns; ++column) sql += ",?";
    TRY_LET(kept, database_->prepare(sql + ")"));
  }
  return &*kept;
}

Result<void> KindTables::put(const StandingEvent& event) {
  TRY_LET(store::Statement* const statement, insertion(*event.kind));
  bind_envelope(*statement, event);
  int parameter = static_cast<int>(std::size(envelope_columns)) + 1;
  for (const Field& field : event.kind->fields) {
    const json::Value* value = event.fields.find(field.name);
    bind_value(*statement, parameter, field.type, value);
    parameter = bind_beside(*statement, parameter + 1, event, field, value, zone_);
  }
  return statement->run();
}

Result<void> KindTables::drop(const events::Kind& kind, std::int64_t origin) {
  TRY_LET(auto statement, database_->prepare("DELETE FROM " + table_of(kind.name) + " WHERE origin = ?"));
  statement.bind(1, origin);
  return statement.run();
}

}  // namespace trayproof::links
