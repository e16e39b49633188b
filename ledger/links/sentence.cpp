#include <algorithm>

#include "ledger/base/number.h"
#include "ledger/links/trace.h"
#include "ledger/text/locale.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"

namespace trayproof::links {
namespace {

constexpr std::size_t items_shown = 12;

// What people call a field in the language that is spoken; nothing in English. Fields of events are called as the forms
// call them where one has them.
enum class Stands { in_event, inside };
std::optional<std::string> field_here(std::string_view name, Stands stands) {
  if (language() == Language::english) return std::nullopt;
  std::string key(name);
  std::replace(key.begin(), key.end(), '_', '-');
  const std::string of_form = "form.field-" + key;
  const std::string plain = "field." + key;
  if (has_word(of_form) && (stands == Stands::in_event || !has_word(plain))) return say(of_form);
  return has_word(plain) ? std::optional(say(plain)) : std::nullopt;
}

std::string list_in_words(const Ledger& ledger, const json::Value& list) {
  if (list.items().empty()) return say("trace.nothing");
  std::string out;
  std::size_t shown = 0;
  for (const json::Value& one : list.items()) {
    if (shown == items_shown)
      return out + " " + say("trace.more", {{"count", std::to_string(list.items().size() - shown)}});
    if (shown++ > 0) out += ", ";
    out += in_words(ledger, one);
  }
  return out;
}

// What a text inside an object says: a word of the format by its member's name, else an id or what somebody wrote.
std::string text_in_words(const Ledger& ledger, std::string_view member, const json::Value& text) {
  constexpr std::pair<std::string_view, std::string_view> words[] = {{"kind", "thing."},
                                                                     {"decimal", "word."},
                                                                     {"delimiter", "word."},
                                                                     {"date_order", "desk.word-"},
                                                                     {"pressure", "word.sense-"}};
  for (const auto& [name, first] : words) {
    if (name == member) return std::string(spelled_here(text.text(), first));
  }
  return in_words(ledger, text);
}

std::string object_in_words(const Ledger& ledger, const json::Value& object) {
  if (const auto stand_in = object.text_at("sha256"); stand_in && object.members().size() == 1) {
    Digest digest{};
    if (from_hex(*stand_in, digest)) {
      const auto text = ledger.text(digest);
      if (text.ok() && text.value()) return "“" + *text.value() + "”";
    }
    return say("trace.text-removed");
  }
  std::string out;
  for (const json::Member& member : object.members()) {
    if (!out.empty()) out += " ";
    out += field_here(member.name, Stands::inside).value_or(member.name) + " " +
           (member.value.is_text() ? text_in_words(ledger, member.name, member.value) : in_words(ledger, member.value));
  }
  return out;
}

// Which fields are not known, and why.
std::string unknown_in_words(const Ledger& ledger, const json::Value& unknown) {
  if (!unknown.is_object()) return in_words(ledger, unknown);
  std::string out;
  for (const json::Member& member : unknown.members()) {
    if (!out.empty()) out += " ";
    out += field_here(member.name, Stands::in_event).value_or(member.name) + " " +
           (member.value.is_text() ? std::string(spelled_here(member.value.text())) : in_words(ledger, member.value));
  }
  return out;
}

}  // namespace

std::string in_words(const Ledger& ledger, const json::Value& value) {
  if (value.is_null()) return say("trace.nothing");
  if (value.is_bool()) return say(value.boolean() ? "trace.yes" : "trace.no");
  if (value.is_number()) return number_here(shortest(value.number()));
  if (value.is_text()) {
    const auto time = parse_date_time(value.text());
    return time ? time_here(*time) : value.text();
  }
  return value.is_list() ? list_in_words(ledger, value) : object_in_words(ledger, value);
}

namespace {

// In English as it is recorded.
std::string field_in_words(std::string_view name) {
  if (const auto here = field_here(name, Stands::in_event)) return *here + ":";
  std::string out(name);
  for (char& letter : out) {
    if (letter == '_') letter = ' ';
  }
  return out;
}

// A lot may be called like a day; a field that holds one is told as one.
bool is_of_calendar(events::Type type) {
  return type == events::Type::date || type == events::Type::date_or_time || type == events::Type::flag_or_date;
}

}  // namespace

std::string sentence_of(const Ledger& ledger, std::string_view kind, const json::Value& fields) {
  const events::Kind* known = events::find_kind(kind);
  if (known == nullptr) return say("trace.unknown-kind", {{"kind", kind}});
  std::string told;
  const auto tell = [&](std::string_view name, const json::Value& value) {
    if (!told.empty()) told += "; ";
    told += field_in_words(name) + " " + in_words(ledger, value);
  };
  for (const events::Field& field : known->fields) {
    const json::Value* value = fields.find(field.name);
    if (value == nullptr) continue;
    if (field.type == events::Type::replacement) {
      if (value->is_null()) {
        told += "; " + say("trace.never-happened");
      } else {
        told += "; " +
                say("trace.instead", {{"sentence", sentence_of(ledger, value->text_at("kind").value_or(""), *value)}});
      }
    } else if (field.type == events::Type::toml) {
      continue;  // the whole text of an edition is no sentence
    } else if (field.type == events::Type::choice && value->is_text()) {
      tell(field.name, json::Value(spelled_here(value->text())));
    } else if (field.type == events::Type::choice_list && value->is_list()) {
      json::Value spelled = json::Value::list();
      for (const json::Value& one : value->items())
        spelled.push(one.is_text() ? json::Value(spelled_here(one.text())) : one);
      tell(field.name, spelled);
    } else if (is_of_calendar(field.type) && value->is_text()) {
      tell(field.name, json::Value(written_here(value->text())));
    } else {
      tell(field.name, *value);
    }
  }
  for (const std::string_view name : {"unknown", "paper", "files", "note"}) {
    const json::Value* value = fields.find(name);
    if (value == nullptr) continue;
    if (name == "unknown")
      tell(name, json::Value(unknown_in_words(ledger, *value)));
    else
      tell(name, *value);
  }
  return say("trace.says", {{"what", say("kind." + std::string(kind))}, {"fields", told}});
}

}  // namespace trayproof::links
