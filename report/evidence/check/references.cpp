#include "report/evidence/check/references.h"

#include <algorithm>

#include "ledger/base/bytes.h"

namespace trayproof::evidence {
namespace {

void gather_texts(const json::Value& value, std::set<std::string>& into) {
  if (value.is_list()) {
    for (const json::Value& one : value.items()) gather_texts(one, into);
  }
  if (!value.is_object()) return;
  const auto stand_in = value.text_at("sha256");
  if (stand_in && value.members().size() == 1 && is_hex(*stand_in, 32)) into.emplace(*stand_in);
  for (const json::Member& member : value.members()) gather_texts(member.value, into);
}

void gather_files(const json::Value& event, std::set<std::string>& into) {
  const auto take = [&](const json::Value* value) {
    if (value != nullptr && value->is_text() && is_hex(value->text(), 32)) into.insert(value->text());
  };
  const auto kind = event.text_at("kind").value_or("");
  if (kind == "curve-measured") take(event.find("file"));
  if (kind == "recall-opened") take(event.find("answer"));
  if (const json::Value* files = event.find("files"); files != nullptr && files->is_list()) {
    for (const json::Value& one : files->items()) take(&one);
  }
  if (const json::Value* replacement = event.find("replacement")) gather_files(*replacement, into);
}

// Names of members that hold ids of that kind of thing (docs/ledger-format.md).
bool holds_ids_of(std::string_view member, std::string_view kind) {
  if (member == kind) return true;
  if (kind == "pack") return member == "packs" || member == "added" || member == "removed";
  return kind == "load" && member == "loads";
}

}  // namespace

void gather_references(const json::Value& event, References& into) {
  gather_texts(event, into.texts);
  gather_files(event, into.files);
}

bool names(const json::Value& event, std::string_view kind, std::string_view id) {
  if (event.is_list())
    return std::any_of(event.items().begin(), event.items().end(),
                       [&](const json::Value& one) { return names(one, kind, id); });
  if (!event.is_object()) return false;
  if (event.text_at("kind") == kind && event.text_at("id") == id) return true;
  for (const json::Member& member : event.members()) {
    if (holds_ids_of(member.name, kind)) {
      if (member.value.is_text() && member.value.text() == id) return true;
      if (member.value.is_list() &&
          std::any_of(member.value.items().begin(), member.value.items().end(),
                      [&](const json::Value& one) { return one.is_text() && one.text() == id; }))
        return true;
    }
    if (names(member.value, kind, id)) return true;
  }
  return false;
}

}  // namespace trayproof::evidence
