#include "ledger/people/second.h"

namespace trayproof::people {

std::string_view word(Second second) {
  switch (second) {
    case Second::none_needed:
      return "none-needed";
    case Second::awaiting:
      return "awaiting-second";
    case Second::confirmed:
      return "confirmed";
  }
  return "";
}

Seconded seconded(const json::Value& event) {
  const auto text = [&](std::string_view name) { return event.text_at(name).value_or(std::string_view()); };
  return {.kind = text("kind"), .by = text("by"), .key = text("key"), .second = text("second")};
}

std::optional<Never> why_never(const Seconded& event, const Countersignature& by, const KeyBook& keys) {
  const KnownKey* signer = keys.find(by.key);
  if (signer == nullptr || !signer->is_person()) return Never::not_a_person;
  if (signer->owner == event.by) return Never::did_it;
  const KnownKey* enterer = keys.find(event.key);
  if (enterer != nullptr && enterer->owner == signer->owner) return Never::entered_it;
  if (!event.second.empty() && event.second != signer->owner) return Never::another_named;
  if (signer->stolen_at(by.recorded)) return Never::stolen;
  return std::nullopt;
}

bool always_needs_second(std::string_view kind) { return kind == "corrected"; }

SecondAnswer second_of(const Seconded& event, const std::vector<Countersignature>& signatures, const KeyBook& keys) {
  for (const Countersignature& one : signatures) {
    if (!why_never(event, one, keys)) return {.second = Second::confirmed, .confirmed_by = one.seq};
  }
  const bool needed = !event.second.empty() || always_needs_second(event.kind);
  return {.second = needed ? Second::awaiting : Second::none_needed, .confirmed_by = {}};
}

}  // namespace trayproof::people
