#include "report/gaps/record.h"

#include "ledger/links/kind_tables.h"

namespace trayproof::gaps {
namespace {

enum class Held { text, number, boolean, json };

Held held_as(events::Type type) {
  using enum events::Type;
  switch (type) {
    case boolean:
      return Held::boolean;
    case integer:
    case indicator_type:
    case seq:
    case number:
    case amount:
    case percent:
    case temperature:
      return Held::number;
    case choice_list:
    case id_list:
    case patient_list:
    case items:
    case subject:
    case head:
    case origin_head:
    case object:
    case any:
    case replacement:
      return Held::json;
    default:
      return Held::text;
  }
}

std::string quoted(std::string_view name) { return "\"" + std::string(name) + "\""; }

std::string query_of(const events::Kind& kind, std::string_view where) {
  std::string sql = "SELECT origin, seq, at, precision, \"by\", key, entered_ms, recorded_ms, unknown";
  for (const events::Field& field : kind.fields) {
    // The text of an SOP is read once, as an edition.
    sql += field.type == events::Type::toml ? ", NULL" : ", " + quoted(links::column_of(field));
  }
  sql += " FROM " + links::table_of(kind.name);
  if (!where.empty()) sql.append(" WHERE ").append(where);
  return sql + " ORDER BY at_ms, seq";
}

json::Value value_of(const store::Statement& row, int column, events::Type type) {
  if (row.is_null(column)) return {};
  switch (held_as(type)) {
    case Held::boolean:
      return row.integer(column) != 0;
    case Held::number:
      return row.real(column);
    case Held::text:
      return row.text(column);
    case Held::json:
      break;
  }
  auto parsed = json::parse(row.text(column));
  return parsed.ok() ? std::move(parsed).value() : json::Value(row.text(column));
}

std::string_view kept(Names& names, std::string_view name) {
  const auto found = names.find(name);
  return found == names.end() ? *names.emplace(name).first : *found;
}

Result<Record> record_of(const store::Statement& row, const events::Kind& kind, Names& names) {
  Record record;
  record.kind = &kind;
  record.origin = row.integer(0);
  record.seq = row.integer(1);
  record.precision = parse_precision(row.text(3)).value_or(Precision::second);
  const auto at = parse_date_time(row.text(2));
  if (!at) return Error(ErrorCode::corrupt, "a derived table holds a time that is none: " + std::string(row.text(2)));
  record.at = When::of(*at, record.precision);
  record.by = kept(names, row.text(4));
  record.key = kept(names, row.text(5));
  if (const auto entered = row.maybe_integer(6)) record.entered = Instant{*entered};
  record.recorded = Instant{row.integer(7)};
  if (!row.is_null(8)) {
    TRY_LET(auto unknown, json::parse(row.text(8)));
    record.unknown = std::make_shared<const json::Value>(std::move(unknown));
  }
  std::size_t count = 0;
  for (std::size_t i = 0; i < kind.fields.size(); ++i) count += row.is_null(9 + static_cast<int>(i)) ? 0U : 1U;
  record.held.reserve(count);
  for (std::size_t i = 0; i < kind.fields.size(); ++i) {
    const int column = 9 + static_cast<int>(i);
    if (!row.is_null(column)) record.held.push_back({i, value_of(row, column, kind.fields[i].type)});
  }
  return record;
}

}  // namespace

const json::Value* Record::value(std::string_view field) const {
  static const json::Value absent;
  for (const Held& one : held) {
    if (kind->fields[one.field].name == field) return &one.value;
  }
  return kind->field(field) == nullptr ? nullptr : &absent;
}

bool Record::has(std::string_view field) const {
  const json::Value* found = value(field);
  return found != nullptr && !found->is_null();
}

std::string_view Record::text(std::string_view field) const {
  const json::Value* found = value(field);
  return found != nullptr && found->is_text() ? std::string_view(found->text()) : std::string_view();
}

std::optional<double> Record::number(std::string_view field) const {
  const json::Value* found = value(field);
  if (found == nullptr || !found->is_number()) return std::nullopt;
  return found->number();
}

std::optional<bool> Record::flag(std::string_view field) const {
  const json::Value* found = value(field);
  if (found == nullptr || !found->is_bool()) return std::nullopt;
  return found->boolean();
}

std::vector<std::string_view> Record::texts(std::string_view field) const {
  std::vector<std::string_view> out;
  const json::Value* found = value(field);
  if (found == nullptr || !found->is_list()) return out;
  for (const json::Value& item : found->items()) {
    if (item.is_text()) out.push_back(item.text());
  }
  return out;
}

std::size_t Record::count(std::string_view field) const {
  const json::Value* found = value(field);
  return found != nullptr && found->is_list() ? found->items().size() : 0;
}

std::optional<When> Record::time(std::string_view field) const {
  const auto parsed = parse_date_time(text(field));
  if (!parsed) return std::nullopt;
  return When::of(*parsed, precision);
}

Mark Record::mark(std::string_view field) const {
  const auto marker = unknown == nullptr ? std::nullopt : unknown->text_at(field);
  if (!marker) return Mark::none;
  return *marker == "not-done" ? Mark::not_done : Mark::not_known;
}

Result<std::vector<Record>> read_records(store::Database& tables, const events::Kind& kind, Names& names,
                                         std::string_view where) {
  TRY_LET(store::Statement rows, tables.prepare(query_of(kind, where)));
  std::vector<Record> records;
  for (;;) {
    TRY_LET(const bool more, rows.step());
    if (!more) break;
    TRY_LET(Record record, record_of(rows, kind, names));
    records.push_back(std::move(record));
  }
  records.shrink_to_fit();
  return records;
}

}  // namespace trayproof::gaps
