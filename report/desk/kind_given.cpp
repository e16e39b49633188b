// From the fields of a form to an event, and back.
#include <algorithm>
#include <cmath>

#include "ledger/base/number.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/desk/kind_form.h"
#include "report/desk/typed_number.h"

namespace trayproof::desk {
namespace {

using events::Field;
using events::Type;
using json::Value;

bool is_many(Type type) { return type == Type::id_list || type == Type::choice_list || type == Type::patient_list; }

// Lines, and where `commas` says so what stands between commas; without what is empty.
std::vector<std::string> pieces(std::string_view text, bool commas) {
  std::vector<std::string> out;
  while (!text.empty()) {
    const std::size_t end = text.find_first_of(commas ? "\r\n,; \t" : "\n");
    const std::string_view one = trimmed(text.substr(0, end));
    if (!one.empty()) out.emplace_back(one);
    if (end == std::string_view::npos) break;
    text.remove_prefix(end + 1);
  }
  return out;
}

bool is_numeric(Type type) {
  return type == Type::integer || type == Type::indicator_type || type == Type::seq || type == Type::number ||
         type == Type::amount || type == Type::percent || type == Type::temperature;
}

// "0,5" as "0.5". What is left as typed is refused.
Value number_in(std::string_view typed) {
  const auto plain = plain_number(typed);
  if (!plain) return Value(typed);
  if (auto value = json::parse(*plain); value.ok() && value.value().is_number()) return std::move(value).value();
  return Value(typed);
}

// "2026-11-29T06:40", as a browser gives a local time, with the facility's offset.
Value time_in(std::string_view typed, const Zone& zone) {
  if (parse_date_time(typed)) return Value(typed);
  const auto at = parse_wall_clock(typed, zone);
  return at ? Value(format_date_time(zone.local(*at))) : Value(typed);
}

// "2 artery forceps": how many, and of what; without a number, one.
Value item_in(const std::string& line) {
  std::size_t digits = 0;
  while (digits < line.size() && line[digits] >= '0' && line[digits] <= '9') ++digits;
  const bool counted = digits > 0 && digits < 10 && digits < line.size() && line[digits] == ' ';
  return Value::object()
      .set("item", trimmed(counted ? std::string_view(line).substr(digits) : std::string_view(line)))
      .set("count", counted ? std::int64_t{std::stoll(line.substr(0, digits))} : std::int64_t{1});
}

std::string item_line(const Value& item) {
  const auto count = item.number_at("count");
  return (count ? shortest(*count) + " " : std::string()) + std::string(item.text_at("item").value_or(""));
}

Value value_in(const Field& field, std::string_view typed, const Zone& zone) {
  if (is_numeric(field.type)) return number_in(typed);
  switch (field.type) {
    case Type::boolean:
      return typed == "yes" ? Value(true) : typed == "no" ? Value(false) : Value(typed);
    case Type::flag_or_date:
      return typed == "yes" ? Value(true) : typed == "no" ? Value(false) : Value(typed);
    case Type::date_time:
      return time_in(typed, zone);
    case Type::date_or_time:
      return parse_date(typed) ? Value(typed) : time_in(typed, zone);
    case Type::items: {
      Value list = Value::list();
      for (const std::string& line : pieces(typed, false)) list.push(item_in(line));
      return list;
    }
    default:
      return Value(typed);
  }
}

Value list_in(const Field& field, const Fields& given) {
  Value list = Value::list();
  std::vector<std::string> seen;
  const auto put = [&](const std::string& one) {
    if (std::find(seen.begin(), seen.end(), one) != seen.end()) return;  // scanned and tapped
    seen.push_back(one);
    list.push(one);
  };
  const std::string more = std::string(field.name) + ".more";
  for (const auto& [name, value] : given.all()) {
    if (name == field.name && !trimmed(value).empty()) put(std::string(trimmed(value)));
    if (name != more) continue;
    for (const std::string& one : pieces(value, field.type != Type::patient_list)) put(one);
  }
  return list;
}

void put_field(Value& event, const Field& field, const Fields& given, const Zone& zone) {
  const std::string name(field.name);
  if (is_many(field.type)) {
    Value list = list_in(field, given);
    if (!list.items().empty()) event.set(name, std::move(list));
    return;
  }
  if (field.type == Type::subject) {
    const auto kind = given.filled(name + ".kind");
    const auto id = given.filled(name + ".id");
    if (kind || id) event.set(name, Value::object().set("kind", kind.value_or("")).set("id", id.value_or("")));
    return;
  }
  const auto typed = given.find(name);
  if (!typed || trimmed(*typed).empty()) return;
  std::string text(trimmed(*typed));
  std::erase(text, '\r');  // browsers end lines with CR LF
  event.set(name, value_in(field, text, zone));
}

std::string local_text(std::string_view time, const Zone& zone) {
  const auto parsed = parse_date_time(time);
  if (!parsed) return std::string(time);
  return format_date_time(zone.local(parsed->instant)).substr(0, 16);
}

std::string typed_text(const Field& field, const Value& value, const Zone& zone) {
  if (value.is_bool()) return value.boolean() ? "yes" : "no";
  if (value.is_number()) return shortest(value.number());
  if (value.is_text()) {
    const bool time = field.type == Type::date_time || (field.type == Type::date_or_time && !parse_date(value.text()));
    return time ? local_text(value.text(), zone) : value.text();
  }
  if (field.type == Type::items && value.is_list()) {
    std::string lines;
    for (const Value& item : value.items()) lines += (lines.empty() ? "" : "\n") + item_line(item);
    return lines;
  }
  return {};
}

}  // namespace

std::vector<std::string> ids_in(std::string_view typed) { return pieces(typed, true); }

Value event_of(const events::Kind& kind, const Fields& given, const Zone& zone, Instant now) {
  Value event = Value::object().set("kind", kind.name);
  for (const Field& field : kind.fields) put_field(event, field, given, zone);
  // When it happened; else when it was typed, which a browser that had no connection says; else now.
  const auto typed = given.filled("typed");
  const auto at = given.filled("at");
  event.set("at",
            at ? time_in(*at, zone) : Value(typed ? *typed : format_date_time(zone.local({now.ms / 1000 * 1000}))));
  if (const auto precision = given.filled("precision"); at && precision) event.set("precision", *precision);
  if (typed) event.set("entered", *typed);
  for (const char* name : {"by", "slip", "paper", "note"}) {
    if (const auto* field = kind.find(name).field) put_field(event, *field, given, zone);
  }
  Value unknown = Value::object();
  for (const Field& field : kind.fields) {
    if (const auto why = given.filled("unknown." + std::string(field.name))) unknown.set(field.name, *why);
  }
  if (!unknown.members().empty()) event.set("unknown", std::move(unknown));
  return event;
}

events::Refusals with_commas_told(events::Refusals refused, const events::Kind& kind, const Fields& given) {
  for (events::Refusal& one : refused) {
    const Field* field = kind.find(one.field).field;
    if (field == nullptr || !is_numeric(field->type)) continue;
    const std::string_view typed = trimmed(given.find(one.field).value_or(""));
    const auto meant = meanings_of_comma(typed);
    if (meant)
      one.why = say("form.comma-either", {{"why", one.why}, {"whole", meant->whole}, {"decimal", meant->decimal}});
  }
  return refused;
}

Fields fields_from(const events::Kind& kind, const Value& event, const Zone& zone) {
  std::vector<std::pair<std::string, std::string>> all;
  const auto put = [&](const Field& field) {
    const Value* value = event.find(field.name);
    if (value == nullptr || field.type == Type::patient || field.type == Type::patient_list) return;
    const std::string name(field.name);
    if (field.type == Type::subject) {
      all.emplace_back(name + ".kind", value->text_at("kind").value_or(""));
      all.emplace_back(name + ".id", value->text_at("id").value_or(""));
    } else if (is_many(field.type) && value->is_list()) {
      for (const Value& one : value->items()) {
        if (one.is_text()) all.emplace_back(name, one.text());
      }
    } else {
      all.emplace_back(name, typed_text(field, *value, zone));
    }
  };
  for (const Field& field : kind.fields) put(field);
  const bool exact = event.text_at("precision") == "second";  // which the form calls as written
  for (const char* name : {"at", "precision", "by", "paper", "note"}) {
    const auto* field = kind.find(name).field;
    if (field != nullptr && !(exact && field->name == "precision")) put(*field);
  }
  if (const Value* unknown = event.find("unknown"); unknown != nullptr && unknown->is_object()) {
    for (const auto& [name, why] : unknown->members()) {
      if (why.is_text()) all.emplace_back("unknown." + name, why.text());
    }
  }
  return Fields(std::move(all));
}

}  // namespace trayproof::desk
