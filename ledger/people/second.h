// Whether an event has its second person. One answer for every reader: commands, rules, pages. docs/ledger-format.md,
// "Second persons", is the authority.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/time.h"
#include "ledger/people/key_book.h"
#include "ledger/text/json.h"

namespace trayproof::people {

enum class Second {
  none_needed,
  awaiting,  // shown as "awaiting-second"
  confirmed,
};
std::string_view word(Second second);

// What of an entry matters here.
struct Seconded {
  std::string_view kind;
  std::string_view by;
  std::string_view key;     // hex
  std::string_view second;  // the person named in the body, a claim; empty where none is
};
Seconded seconded(const json::Value& event);

// A `countersigned`, by its own key.
struct Countersignature {
  std::int64_t seq = 0;
  std::string key;  // hex
  Instant recorded;
};

// Why a countersignature by this key could never count; nothing when it counts.
enum class Never {
  not_a_person,   // the key is the station's, or was never added
  did_it,         // the same person did it
  entered_it,     // the same person signed the entry
  another_named,  // the entry names somebody else as its second
  stolen,         // the key was reported stolen as of a time before
};
std::optional<Never> why_never(const Seconded& event, const Countersignature& by, const KeyBook& keys);

// A kind that waits for a second person even when it names none.
bool always_needs_second(std::string_view kind);
// `signatures` are those of this event, in order of seq. The first that counts is told in `confirmed_by`.
struct SecondAnswer {
  Second second = Second::none_needed;
  std::optional<std::int64_t> confirmed_by;  // seq
};
SecondAnswer second_of(const Seconded& event, const std::vector<Countersignature>& signatures, const KeyBook& keys);

}  // namespace trayproof::people
