#include "ledger/events/fields.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "ledger/base/bytes.h"
#include "ledger/base/limits.h"
#include "ledger/base/number.h"
#include "ledger/base/time.h"
#include "ledger/base/utf8.h"
#include "ledger/base/zone.h"
#include "ledger/text/unicode.h"
#include "ledger/words/words.h"

namespace trayproof::events {
namespace {

using json::Value;

class Settling {
 public:
  Settling(const Field& field, Refusals& refusals, StandIns stand_ins)
      : field_(field), refusals_(refusals), stand_ins_(stand_ins) {}

  void settle(Value& value, Type type, const std::string& path);

 private:
  void refuse(const Value& value, const std::string& path) {
    const bool secret = field_.type == Type::patient || field_.type == Type::patient_list;
    refusals_.push_back(
        {0, path,
         say("refused.value", {{"found", secret ? masked(value) : shown(value)}, {"allowed", allowed(field_)}})});
  }
  // Text in its one spelling, or a refusal.
  bool text(Value& value, const std::string& path, std::size_t most, std::string_view controls);
  void number(const Value& value, const std::string& path, bool whole, double least, double most);
  void list(Value& value, Type item, const std::string& path, bool distinct);
  void items(Value& value, const std::string& path);
  void shape(Value& value, const std::string& path, std::initializer_list<Field> fields);
  void free(Value& value, const std::string& path, std::size_t depth);

  bool kept(const Value& value, std::string_view name, std::size_t bytes) const {
    const auto token = value.text_at(name);
    return stand_ins_ == StandIns::taken && token && value.members().size() == 1 && is_hex(*token, bytes);
  }

  const Field& field_;
  Refusals& refusals_;
  StandIns stand_ins_;
};

bool Settling::text(Value& value, const std::string& path, std::size_t most, std::string_view controls) {
  if (!value.is_text()) return refuse(value, path), false;
  std::string settled = nfc(value.text());
  if (controls.find('\n') != std::string_view::npos) {
    std::string lines;
    for (std::size_t i = 0; i < settled.size(); ++i) {
      if (settled[i] != '\r') lines += settled[i];
      if (settled[i] == '\r' && (i + 1 >= settled.size() || settled[i + 1] != '\n')) lines += '\n';
    }
    settled = std::move(lines);
  }
  for (std::size_t at = 0; at < settled.size();) {
    const char32_t c = next_code_point(settled, at);
    const bool excused = c < 0x80 && controls.find(static_cast<char>(c)) != std::string_view::npos;
    if ((is_control(c) && !excused) || is_direction_mark(c)) {
      refusals_.push_back({0, path, say("refused.character", {{"found", shown(value)}, {"allowed", allowed(field_)}})});
      return false;
    }
  }
  const std::size_t length = code_points(settled);
  if (length > most) {
    refusals_.push_back(
        {0, path, say("refused.long", {{"found", std::to_string(length)}, {"allowed", std::to_string(most)}})});
    return false;
  }
  value = Value(std::move(settled));
  return true;
}

void Settling::number(const Value& value, const std::string& path, bool whole, double least, double most) {
  if (!value.is_number() || value.number() < least || value.number() > most ||
      (whole && std::floor(value.number()) != value.number())) {
    refuse(value, path);
  }
}

void Settling::list(Value& value, Type item, const std::string& path, bool distinct) {
  if (!value.is_list()) return refuse(value, path);
  if (value.items().size() > limits::list_items) {
    refusals_.push_back({0, path,
                         say("refused.list-long", {{"found", std::to_string(value.items().size())},
                                                   {"allowed", std::to_string(limits::list_items)}})});
    return;
  }
  std::set<std::string> seen;
  for (Value& one : value.items()) {
    const std::size_t before = refusals_.size();
    settle(one, item, path);
    if (refusals_.size() == before && distinct && one.is_text() && !seen.insert(one.text()).second) {
      refusals_.push_back(
          {0, path, say("refused.twice", {{"found", item == Type::patient ? masked(one) : shown(one)}})});
    }
  }
}

void Settling::shape(Value& value, const std::string& path, std::initializer_list<Field> fields) {
  if (!value.is_object()) return refuse(value, path);
  for (const Field& one : fields) {
    const std::string name = path + "." + std::string(one.name);
    Value* there = value.find(one.name);
    if (there == nullptr) {
      if (one.needed == Needed::yes)
        refusals_.push_back({0, name, say("refused.missing", {{"allowed", allowed(one)}})});
      continue;
    }
    Settling(one, refusals_, stand_ins_).settle(*there, one.type, name);
  }
  for (const json::Member& member : value.members()) {
    const bool known = std::any_of(fields.begin(), fields.end(), [&](const Field& f) { return f.name == member.name; });
    if (!known)
      refusals_.push_back(
          {0, path + "." + shortened(member.name, 40), say("refused.unknown-member", {{"allowed", allowed(field_)}})});
  }
}

void Settling::items(Value& value, const std::string& path) {
  if (!value.is_list()) return refuse(value, path);
  if (value.items().size() > limits::list_items) return list(value, Type::any, path, false);
  for (Value& one : value.items()) {
    shape(one, path,
          {{"item", Type::text, Needed::yes},
           {"count", Type::integer, Needed::yes},
           {"marks", Type::id_list, Needed::no}});
  }
}

// Values whose shape the table does not tell (a curve's reading, a recall's subject): every text NFC and within the
// length of its name, every list and level within the limits.
void Settling::free(Value& value, const std::string& path, std::size_t depth) {
  if (depth > limits::depth &&
      (value.is_list() || value.is_object())) {  // levels are counted as json::parse counts them
    refusals_.push_back({0, path, say("refused.depth", {{"allowed", std::to_string(limits::depth)}})});
    return;
  }
  if (value.is_text()) {
    const std::string name = path.substr(path.find_last_of('.') + 1);
    if (is_free_text(name)) {
      text(value, path, limits::free_text_code_points, "\n");
    } else {
      text(value, path, limits::text_code_points, "");
    }
  } else if (value.is_list()) {
    if (value.items().size() > limits::list_items) return list(value, Type::any, path, false);
    for (Value& one : value.items()) free(one, path, depth + 1);
  } else if (value.is_object()) {
    for (json::Member& member : value.members()) {
      Value name(member.name);
      if (text(name, path, limits::text_code_points, "")) member.name = name.text();
      free(member.value, path + "." + shortened(member.name, 40), depth + 1);
    }
  }
}

void Settling::settle(Value& value, Type type, const std::string& path) {
  constexpr double most = 999'999'999'999'999.0;
  const auto hex_of = [&](std::size_t bytes) {
    if (!value.is_text() || !is_hex(value.text(), bytes)) refuse(value, path);
  };
  switch (type) {
    case Type::id_or_null:
      if (value.is_null()) return;
      [[fallthrough]];
    case Type::id: {
      if (!value.is_text()) return refuse(value, path);
      std::string settled = nfc(value.text());
      if (!is_id(settled)) return refuse(value, path);
      value = Value(std::move(settled));
      return;
    }
    case Type::text:
      text(value, path, limits::text_code_points, "");
      return;
    case Type::free_text:
      if (kept(value, "sha256", 32)) return;
      text(value, path, limits::free_text_code_points, "\n");
      return;
    case Type::toml:
      if (value.is_text() && value.text().size() > limits::toml_bytes) {
        refusals_.push_back({0, path,
                             say("refused.toml-long", {{"found", std::to_string(value.text().size())},
                                                       {"allowed", std::to_string(limits::toml_bytes)}})});
        return;
      }
      text(value, path, limits::toml_bytes, "\n\t");
      return;
    case Type::choice:
      if (!value.is_text() ||
          std::find(field_.choices.begin(), field_.choices.end(), value.text()) == field_.choices.end()) {
        refuse(value, path);
      }
      return;
    case Type::choice_list:
      list(value, Type::choice, path, true);
      return;
    case Type::id_list:
      list(value, Type::id, path, true);
      return;
    case Type::patient_list:
      list(value, Type::patient, path, true);
      return;
    case Type::boolean:
      if (!value.is_bool()) refuse(value, path);
      return;
    case Type::integer:
      number(value, path, true, 0, most);
      return;
    case Type::indicator_type:
      number(value, path, true, 1, 6);
      return;
    case Type::seq:
      number(value, path, true, 1, most);
      return;
    case Type::number:
      number(value, path, false, -most, most);
      return;
    case Type::amount:
      number(value, path, false, 0, most);
      return;
    case Type::percent:
      number(value, path, false, 0, 100);
      return;
    case Type::temperature:
      number(value, path, false, -90, 1500);
      return;
    case Type::date:
      if (!value.is_text() || !parse_date(value.text())) refuse(value, path);
      return;
    case Type::flag_or_date:
      if (!value.is_bool() && !(value.is_text() && parse_date(value.text()))) refuse(value, path);
      return;
    case Type::date_or_time:
      if (value.is_text() && parse_date(value.text())) return;
      [[fallthrough]];
    case Type::date_time: {
      const auto time = value.is_text() ? parse_date_time(value.text()) : std::nullopt;
      if (!time) return refuse(value, path);
      value = Value(format_date_time(*time));
      return;
    }
    case Type::sha256:
    case Type::key:
      hex_of(32);
      return;
    case Type::signature:
      hex_of(64);
      return;
    case Type::token:
      hex_of(16);
      return;
    case Type::patient: {
      if (kept(value, "pseudonym", 16)) return;
      if (!value.is_text()) return refuse(value, path);
      std::string_view trimmed = value.text();
      while (!trimmed.empty() && trimmed.front() == ' ') trimmed.remove_prefix(1);
      while (!trimmed.empty() && trimmed.back() == ' ') trimmed.remove_suffix(1);
      std::string settled = nfc(trimmed);
      const std::size_t length = code_points(settled);
      bool clean = length >= 1 && length <= limits::patient_code_points;
      for (std::size_t at = 0; clean && at < settled.size();) {
        const char32_t c = next_code_point(settled, at);
        clean = !is_control(c) && !is_direction_mark(c);
      }
      if (!clean) return refuse(value, path);
      value = Value(std::move(settled));
      return;
    }
    case Type::items:
      items(value, path);
      return;
    case Type::subject:
      shape(value, path, {{"kind", Type::text, Needed::yes}, {"id", Type::text, Needed::yes}});
      return;
    case Type::head:
      shape(value, path, {{"size", Type::integer, Needed::yes}, {"root", Type::sha256, Needed::yes}});
      return;
    case Type::origin_head:
      shape(value, path,
            {{"origin", Type::text, Needed::yes},
             {"size", Type::integer, Needed::yes},
             {"root", Type::sha256, Needed::yes}});
      return;
    case Type::hours_of_zone:
      if (!value.is_text() || !Zone::find(value.text()).ok()) refuse(value, path);
      return;
    case Type::object:
      if (!value.is_object()) return refuse(value, path);
      free(value, path, 2);
      return;
    case Type::any:
      free(value, path, 2);
      return;
    case Type::replacement:
      return;  // a whole event; settled by draft.cpp
  }
}

}  // namespace

bool is_id(std::string_view text) {
  if (text.empty() || first_bad_utf8(text) || code_points(text) > limits::id_code_points) return false;
  if (text.front() == '.' || text.front() == '-' || text.front() == '/') return false;
  if (text.find("..") != std::string_view::npos || text.find("//") != std::string_view::npos) return false;
  for (std::size_t at = 0; at < text.size();) {
    const char32_t c = next_code_point(text, at);
    if (c < 0x80) {
      const char one = static_cast<char>(c);
      const bool plain = (one >= '0' && one <= '9') || (one >= 'a' && one <= 'z') || (one >= 'A' && one <= 'Z') ||
                         one == '.' || one == '_' || one == '-' || one == '/' || one == ':';
      if (!plain) return false;
    } else if (!is_id_letter(c)) {
      return false;
    }
  }
  return true;
}

std::string shown(const Value& value) {
  if (value.is_text()) return "\"" + shortened(value.text(), 60) + "\"";
  return shortened(json::plain(value), 60);
}

std::string masked(const Value& value) {
  if (!value.is_text()) return say("refused.masked-other");
  return say("refused.masked", {{"length", std::to_string(code_points(value.text()))}});
}

std::string allowed(const Field& field) {
  const auto listed = [&] {
    std::string text;
    for (const std::string_view choice : field.choices) text += (text.empty() ? "" : ", ") + std::string(choice);
    return text;
  };
  switch (field.type) {
    case Type::id:
      return say("allowed.id");
    case Type::id_or_null:
      return say("allowed.id-or-null");
    case Type::text:
      return say("allowed.text");
    case Type::free_text:
      return say("allowed.free-text");
    case Type::toml:
      return say("allowed.toml");
    case Type::choice:
      return say("allowed.choice", {{"choices", listed()}});
    case Type::choice_list:
      return say("allowed.choice-list", {{"choices", listed()}});
    case Type::id_list:
      return say("allowed.id-list");
    case Type::boolean:
      return say("allowed.boolean");
    case Type::integer:
      return say("allowed.integer");
    case Type::indicator_type:
      return say("allowed.indicator-type");
    case Type::seq:
      return say("allowed.seq");
    case Type::number:
      return say("allowed.number");
    case Type::amount:
      return say("allowed.amount");
    case Type::percent:
      return say("allowed.percent");
    case Type::temperature:
      return say("allowed.temperature");
    case Type::date:
      return say("allowed.date");
    case Type::date_time:
      return say("allowed.date-time");
    case Type::date_or_time:
      return say("allowed.date-or-time");
    case Type::flag_or_date:
      return say("allowed.flag-or-date");
    case Type::sha256:
      return say("allowed.sha256");
    case Type::key:
      return say("allowed.key");
    case Type::signature:
      return say("allowed.signature");
    case Type::token:
      return say("allowed.token");
    case Type::patient:
      return say("allowed.patient");
    case Type::patient_list:
      return say("allowed.patient-list");
    case Type::items:
      return say("allowed.items");
    case Type::subject:
      return say("allowed.subject");
    case Type::head:
      return say("allowed.head");
    case Type::origin_head:
      return say("allowed.origin-head");
    case Type::hours_of_zone:
      return say("allowed.zone");
    case Type::object:
      return say("allowed.object");
    case Type::any:
      return say("allowed.any");
    case Type::replacement:
      return say("allowed.replacement");
  }
  return {};
}

void settle(json::Value& value, const Field& field, const std::string& path, Refusals& refusals, StandIns stand_ins) {
  Settling(field, refusals, stand_ins).settle(value, field.type, path);
}

}  // namespace trayproof::events
