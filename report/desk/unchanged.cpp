#include "report/desk/unchanged.h"

namespace trayproof::desk {
namespace {

using events::Field;
using events::Type;
using json::Value;

bool holds_numbers(const Field& field) { return field.type == Type::patient || field.type == Type::patient_list; }

// As a correction says that a number stays: an entry holds the pseudonym alone.
Value kept_number(const Value& stood) {
  return stood.is_text() ? Value::object().set("pseudonym", stood.text()) : stood;
}

Value kept(const Field& field, const Value& stood) {
  if (field.type == Type::patient) return kept_number(stood);
  if (field.type != Type::patient_list || !stood.is_list()) return stood;
  Value list = Value::list();
  for (const Value& one : stood.items()) list.push(kept_number(one));
  return list;
}

bool is_unknown(const Value& event, std::string_view field) {
  const Value* unknown = event.find("unknown");
  return unknown != nullptr && unknown->find(field) != nullptr;
}

bool are_same(const Value* one, const Value* other) {
  if (one == nullptr || other == nullptr) return one == other;
  return *one == *other;
}

// Everything that a replacement may hold besides its kind, who did it, and what is not known.
std::vector<const Field*> fields_that_stay(const events::Kind& kind) {
  std::vector<const Field*> all;
  for (const Field& field : kind.fields) all.push_back(&field);
  for (const char* name : {"at", "precision", "paper", "files", "as_read", "note"}) {
    if (const Field* field = kind.find(name).field) all.push_back(field);
  }
  return all;
}

}  // namespace

std::map<std::string, std::size_t, std::less<>> numbers_in(const events::Kind& kind, const Value& event) {
  std::map<std::string, std::size_t, std::less<>> numbers;
  for (const Field& field : kind.fields) {
    const Value* found = holds_numbers(field) ? event.find(field.name) : nullptr;
    if (found == nullptr) continue;
    const std::size_t count = found->is_list() ? found->items().size() : 1;
    if (count > 0) numbers.emplace(field.name, count);
  }
  return numbers;
}

Result<Value> with_texts(const Ledger& ledger, const events::Kind& kind, Value event) {
  for (const Field* field : fields_that_stay(kind)) {
    const Value* found = event.find(field->name);
    const auto stand_in = found == nullptr ? std::nullopt : found->text_at("sha256");
    Digest digest{};
    if (!stand_in || !from_hex(*stand_in, digest)) continue;
    TRY_LET(auto text, ledger.text(digest));
    if (text) event.set(field->name, std::move(*text));
  }
  return event;
}

void keep_unchanged(Value& replacement, const events::Kind& kind, const Value& standing, const Shown& shown,
                    const Fields& given) {
  for (const Field* field : fields_that_stay(kind)) {
    const bool no_time = field->name == "at" && !given.filled("at");
    const bool same = are_same(replacement.find(field->name), shown.event.find(field->name));
    const bool taken_away = holds_numbers(*field) && given.filled(std::string(field->name) + ".none");
    if ((!same && !no_time) || taken_away || is_unknown(replacement, field->name)) continue;
    const Value* stood = standing.find(field->name);
    if (stood == nullptr) {
      replacement.erase(field->name);
    } else {
      replacement.set(field->name, kept(*field, *stood));
    }
  }
}

}  // namespace trayproof::desk
