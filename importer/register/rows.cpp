#include "importer/register/rows.h"

#include <algorithm>

#include "ledger/base/utf8.h"
#include "ledger/events/fields.h"
#include "ledger/words/words.h"

namespace trayproof::registers {
namespace {

using events::Type;
using json::Value;

constexpr std::string_view replacement_character = "\xEF\xBF\xBD";
constexpr std::size_t understood_max = 200;
constexpr std::size_t found_code_points = 40;

// Lists of several columns under one field are one list.
void join(Value& held, Value more) {
  if (!held.is_list() || !more.is_list()) {
    held = std::move(more);
    return;
  }
  for (Value& one : more.items()) held.push(std::move(one));
}

}  // namespace

RowReader::RowReader(const events::Kind& kind, const Choices& choices, const RowRules& rules, Register& into)
    : kind_(kind), rules_(rules), into_(into), width_(into.matching.headings.size()) {
  const auto of = [&](const events::Field* field) -> Field& {
    for (Field& one : fields_) {
      if (one.field == field) return one;
    }
    fields_.push_back({field, {}, {}});
    return fields_.back();
  };
  for (const MatchedColumn& column : into.matching.columns) {
    of(column.field).columns.push_back(&column);
    if (is_patient(*column.field)) patients_.push_back(&column);
  }
  for (const auto& [name, value] : choices.fixed) {
    if (name.starts_with("unknown."))
      fixed_unknown_.emplace_back(name.substr(8), value);
    else if (const events::Field* field = register_field(kind, name))
      of(field).fixed = value;
  }
  std::stable_partition(fields_.begin(), fields_.end(), [](const Field& one) { return one.field->name == "at"; });
}

std::string_view RowReader::cell_of(const Event& event, const MatchedColumn& column) const {
  return column.cell < event.row->cells.size() ? event.row->cells[column.cell] : std::string_view{};
}

std::string RowReader::found(const Event& event, const Field& field, std::string_view cell) const {
  if (is_patient(*field.field)) return events::masked(Value(cell));
  // A number that slipped into another column is masked there too.
  for (const MatchedColumn* column : patients_) {
    const std::string_view number = cell_of(event, *column);
    if (!number.empty() && cell.find(number) != std::string_view::npos) return events::masked(Value(cell));
  }
  return events::shown(Value(shortened(cell, found_code_points)));
}

void RowReader::refuse(Event& event, std::string column, std::string_view field, std::string why) {
  event.good = false;
  into_.refused.push_back({event.row->row, std::move(column), std::string(field), std::move(why)});
}

void RowReader::keep_numbers(const Event& event) {
  for (const MatchedColumn* column : patients_) {
    if (const std::string_view number = cell_of(event, *column); !says_nothing(number))
      into_.patients.emplace_back(number);
  }
}

void RowReader::read(const SheetRow& row, const std::string& paper) {
  Event event{.row = &row,
              .value = Value::object(),
              .unknown = Value::object(),
              .as_read = Value::object(),
              .precision = Precision::second,
              .at = {},
              .good = true};
  ++into_.rows;
  if (width_ != 0 && row.cells.size() > width_) {
    keep_numbers(event);
    return refuse(event, {}, {},
                  say("register.too-many-cells",
                      {{"found", std::to_string(row.cells.size())}, {"allowed", std::to_string(width_)}}));
  }
  event.value.set("kind", kind_.name);
  for (const Field& field : fields_) read_field(field, event);
  for (const auto& [name, reason] : fixed_unknown_) {
    if (event.value.find(name) == nullptr) event.unknown.set(name, reason);
  }
  take_missing(event);
  if (!event.good) return keep_numbers(event);
  if (event.precision != Precision::second && event.value.find("precision") == nullptr)
    event.value.set("precision", name_of(event.precision));
  if (!event.unknown.members().empty()) event.value.set("unknown", std::move(event.unknown));
  if (!event.as_read.members().empty()) event.value.set("as_read", std::move(event.as_read));
  event.value.set("paper", paper);
  // The line's number is the row's.
  while (static_cast<std::int64_t>(into_.events_lines) + 1 < row.row) {
    into_.lines += '\n';
    ++into_.events_lines;
  }
  into_.lines += json::plain(event.value);
  into_.lines += '\n';
  ++into_.events_lines;
  ++into_.events;
}

void RowReader::read_field(const Field& field, Event& event) {
  for (const MatchedColumn* column : field.columns) {
    if (cell_of(event, *column).find(replacement_character) == std::string_view::npos) continue;
    return refuse(event, column->heading, field.field->name, say("register.bad-character"));
  }
  if (is_time(*field.field))
    read_time(field, event);
  else
    read_plain(field, event);
}

void RowReader::read_plain(const Field& field, Event& event) {
  const auto take = [&](std::string_view cell, const MatchedColumn* column) {
    CellRead read = read_cell(*field.field, cell, column == nullptr ? std::nullopt : column->unit, rules_.cells);
    if (!read.why.empty()) {
      return refuse(event, column == nullptr ? std::string() : column->heading, field.field->name,
                    say("register.refused-cell", {{"found", found(event, field, cell)}, {"allowed", read.why}}));
    }
    if (!read.unknown.empty()) event.unknown.set(field.field->name, read.unknown);
    if (!read.understood.empty() && into_.understood.size() < understood_max)
      ++into_.understood[say(
          "register.understood",
          {{"field", field.field->name}, {"found", shortened(cell, found_code_points)}, {"meant", read.understood}})];
    if (read.as_read) event.as_read.set(field.field->name, *read.as_read);
    if (!read.value) return;
    if (Value* held = event.value.find(field.field->name))
      join(*held, std::move(*read.value));
    else
      event.value.set(field.field->name, std::move(*read.value));
  };
  for (const MatchedColumn* column : field.columns) {
    const std::string_view cell = cell_of(event, *column);
    if (!says_nothing(cell)) take(cell, column);
  }
  const bool any = event.value.find(field.field->name) != nullptr || event.unknown.find(field.field->name) != nullptr;
  if (!any && !field.fixed.empty()) take(field.fixed, nullptr);
  // What is given in one of several columns is not unknown.
  if (event.value.find(field.field->name) != nullptr) event.unknown.erase(field.field->name);
}

// The day of one cell and the clock of another, or both of one. False when something is refused.
bool RowReader::gather_time(const Field& field, Event& event, RegisterTime& time, bool& any, std::string& unknown) {
  const auto take = [&](std::string_view cell, const std::string& heading, bool dotted) {
    if (says_nothing(cell)) return true;
    if (const auto reason = unknown_reason(cell); !reason.empty()) {
      unknown = reason;
      return true;
    }
    const auto part = parse_register_time(cell, dotted);
    if (!part || (part->has_day() && time.has_day()) || (part->clock_ms && time.clock_ms)) {
      refuse(event, heading, field.field->name,
             say("register.refused-cell", {{"found", found(event, field, cell)}, {"allowed", say("register.a-time")}}));
      return false;
    }
    any = true;
    if (part->has_day()) {
      time.date = part->date;
      time.day = day_meant(*part, rules_.order);
      if (!time.day) {
        refuse(event, heading, field.field->name,
               say("register.no-such-day",
                   {{"found", found(event, field, cell)},
                    {"order", say(std::string("register.order-") + std::string(reading::name_of(rules_.order)))}}));
        return false;
      }
    }
    if (part->clock_ms) {
      time.clock_ms = part->clock_ms;
      time.seconds = part->seconds;
    }
    if (part->offset_minutes) time.offset_minutes = part->offset_minutes;
    return true;
  };
  for (const MatchedColumn* column : field.columns) {
    if (!take(cell_of(event, *column), column->heading, column->dotted)) return false;
  }
  return any || field.fixed.empty() || take(field.fixed, {}, false);
}

void RowReader::set_moment(const Field& field, const MomentFound& found, Event& event) {
  if (!found.moment) {
    return refuse(event, field.columns.empty() ? std::string() : field.columns.front()->heading, field.field->name,
                  say(found.why == NoMoment::skipped ? "register.clock-skipped" : "register.clock-twice",
                      {{"zone", rules_.zone.name()}}));
  }
  event.precision = std::max(event.precision, found.moment->precision);
  if (field.field->name == "at") event.at = found.moment;
  event.value.set(field.field->name, format_date_time(found.moment->at));
}

void RowReader::read_time(const Field& field, Event& event) {
  RegisterTime time;
  bool any = false;
  std::string unknown;
  if (field.field->type == Type::flag_or_date && field.columns.size() == 1) {
    const CellRead flag = read_cell(*field.field, cell_of(event, *field.columns.front()), {}, rules_.cells);
    if (flag.value && flag.value->is_bool()) {
      event.value.set(field.field->name, *flag.value);
      return;
    }
  }
  if (!gather_time(field, event, time, any, unknown)) return;
  if (!any) {
    if (!unknown.empty()) event.unknown.set(field.field->name, unknown);
    return;
  }
  if (!time.day) {
    const std::string heading = field.columns.empty() ? std::string() : field.columns.front()->heading;
    if (field.field->name == "at" || !event.at)
      return refuse(event, heading, field.field->name, say("register.no-day"));
    // A clock alone is of the day on which the row began, or past its midnight.
    const CivilTime began = civil_of(event.at->at.instant, event.at->at.offset_minutes);
    time.day = began.date;
    const std::int64_t began_ms = began.hour * hour_ms + began.minute * minute_ms + began.second * second_ms;
    if (event.at->precision < Precision::hour && *time.clock_ms < began_ms)
      time.day = date_of_days(days_since_epoch(began.date) + 1);
  }
  const bool date_alone = field.field->type == Type::date || (field.field->type != Type::date_time && !time.clock_ms);
  if (date_alone) {
    event.value.set(field.field->name, format_date(*time.day));
    return;
  }
  set_moment(field, moment_of(*time.day, time, rules_.zone), event);
}

// A time that the row does not tell, and needed fields whose cells are empty.
void RowReader::take_missing(Event& event) {
  if (event.value.find("at") == nullptr && event.good) {
    const Value* from = event.value.find("from");
    const events::Field* begins = kind_.field("from");
    if (rules_.at) {
      event.value.set("at", format_date_time(rules_.at->at));
      event.precision = std::max(event.precision, rules_.at->precision);
    } else if (from != nullptr && begins != nullptr && begins->type == Type::date_time) {
      event.value.set("at", *from);
    }
  }
  if (!rules_.empty_not_recorded || !kind_.takes_unknown()) return;
  for (const events::Field& field : kind_.fields) {
    if (field.needed == events::Needed::no || &field == kind_.fields.data() || field.name == "method") continue;
    if (event.value.find(field.name) == nullptr && event.unknown.find(field.name) == nullptr)
      event.unknown.set(field.name, "not-recorded");
  }
}

}  // namespace trayproof::registers
