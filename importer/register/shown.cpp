#include "importer/register/shown.h"

#include <algorithm>
#include <functional>
#include <utility>

#include "importer/register/headings.h"
#include "ledger/events/fields.h"

namespace trayproof::registers {
namespace {

using json::Value;

// Kinds, times and the row's place in the file are the program's own words.
bool is_own_word(std::string_view name, const events::Kind* kind) {
  if (name == "kind" || name == "paper" || name == "precision") return true;
  const events::Field* field = kind == nullptr ? nullptr : register_field(*kind, name);
  return field != nullptr && field->type == events::Type::date_time;
}

void each_text(Value& value, const std::function<std::string(std::string)>& change) {
  if (value.is_text()) {
    value = Value(change(value.text()));
  } else if (value.is_list()) {
    for (Value& one : value.items()) each_text(one, change);
  } else if (value.is_object()) {
    for (json::Member& member : value.members()) each_text(member.value, change);
  }
}

Value shown(Value event, const std::function<std::string(std::string)>& change) {
  const auto name = event.text_at("kind");
  const events::Kind* kind = name ? events::find_kind(*name) : nullptr;
  for (json::Member& member : event.members()) {
    if (member.name == "patient") {
      member.value = Value(events::masked(member.value));
    } else if (member.name == "newborns" && member.value.is_list()) {
      for (Value& one : member.value.items()) one = Value(events::masked(one));
    } else if (!is_own_word(member.name, kind)) {
      each_text(member.value, change);
    }
  }
  return event;
}

}  // namespace

std::vector<std::string> numbers_in(const Value& event) {
  std::vector<std::string> numbers;
  if (const auto patient = event.text_at("patient")) numbers.emplace_back(*patient);
  if (const Value* newborns = event.find("newborns"); newborns != nullptr && newborns->is_list()) {
    for (const Value& one : newborns->items()) {
      if (one.is_text()) numbers.push_back(one.text());
    }
  }
  std::erase_if(numbers, [](const std::string& one) { return one.empty(); });
  return numbers;
}

std::string without_numbers(std::string text, const std::vector<std::string>& numbers) {
  for (const std::string& number : numbers) {
    const std::string masked = events::masked(Value(number));
    for (std::size_t found = text.find(number); found != std::string::npos;) {
      text.replace(found, number.size(), masked);
      found = text.find(number, found + masked.size());
    }
  }
  return text;
}

Value shown_event(Value event) {
  const auto numbers = numbers_in(event);
  return shown(std::move(event), [&](std::string text) { return without_numbers(std::move(text), numbers); });
}

Value shown_event(Value event, const KnownNumbers& known) {
  const auto numbers = numbers_in(event);
  return shown(std::move(event),
               [&](std::string text) { return known.masked(without_numbers(std::move(text), numbers)); });
}

void mask(Register& read, const KnownNumbers& known) {
  for (std::string& note : read.notes) note = known.masked(std::move(note));
  for (RefusedCell& one : read.refused) one.why = known.masked(std::move(one.why));
  std::map<std::string, std::int64_t> understood;
  for (const auto& [word, count] : read.understood) understood[known.masked(word)] += count;
  read.understood = std::move(understood);
}

}  // namespace trayproof::registers
