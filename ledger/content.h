// What a recorder gave, apart from `slip` and `entered`: the digest that finds repeats, and the comparison that decides
// (docs/ledger-format.md, "Repeats"). Times count as instants. Numbers and texts are left out of the digest, because
// they can be erased; the comparison looks at those that are still there.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>

#include "ledger/crypto/hash.h"
#include "ledger/text/json.h"

namespace trayproof {

// Of a settled event, whether its numbers and texts are readable or already stand-ins.
crypto::Token content_digest(const json::Value& event);

struct BesideTheChain {
  // The readable text behind a stand-in (hex); nothing when it was removed.
  std::function<std::optional<std::string>(std::string_view stand_in)> text;
  // The pseudonym (hex) of a number; nothing when the ledger does not know it.
  std::function<std::optional<std::string>(std::string_view number)> pseudonym;
  // Whether a pseudonym (hex) still has its number.
  std::function<bool(std::string_view pseudonym)> has_number;
};

// `given` is a settled event with its numbers and texts readable, `stored` an entry.
bool same_content(const json::Value& given, const json::Value& stored, const BesideTheChain& beside);

}  // namespace trayproof
