// Canonical form seen in one pass over the bytes, without making a value of them: an entry that is only checked and
// handed on costs a few hundred nanoseconds so (docs/decisions/0085).
//
// What says yes here must be what `parse` and `canonical` say yes to; what is rare in entries (a backslash, an
// exponent) is left to them. tests/ledger/text/json_canonical_test.cpp and the fuzz target json-reader hold both
// together.
#pragma once

#include <cstddef>
#include <optional>
#include <string_view>
#include <vector>

#include "ledger/text/json.h"

namespace trayproof::json {

class CanonicalObject {
 public:
  // True: `parse(text, depth)` takes the text, it is an object, and its canonical form is `text`, byte for byte. The
  // text must live as long as its members are asked for. False says nothing: ask `parse` and `canonical`.
  bool read(std::string_view text, std::size_t depth = depth_max);

  // Of the outermost members, as Value's of the same names. After `read` said yes.
  std::optional<std::string_view> text_at(std::string_view name) const;
  std::optional<double> number_at(std::string_view name) const;

 private:
  struct Spelt {
    std::string_view name;
    std::string_view value;
  };
  std::string_view spelling_of(std::string_view name) const;  // empty: there is none
  std::vector<Spelt> members_;
};

}  // namespace trayproof::json
