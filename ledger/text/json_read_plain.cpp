// The only include of simdjson: the plain case, which is nearly every line of a large file, read several times faster.
// Whatever is not plain (an error, digits that must be counted, many members) is left to json_read.cpp, which decides
// and tells why; what is read here must be what that one reads (tests/ledger/text/json_plain_test.cpp).
#include "ledger/text/json_read_plain.h"

#include <simdjson.h>

#include <algorithm>
#include <cmath>

namespace trayproof::json {
namespace {

constexpr double integer_max = 999'999'999'999'999.0;
constexpr std::size_t members_max = 32;  // compared one by one for a name that stands twice

// A number of more than 15 digits is refused, and the library does not tell the digits that it read.
bool has_long_run_of_digits(std::string_view text) {
  constexpr std::ptrdiff_t long_run = 16;
  std::ptrdiff_t run = 0;
  for (const char c : text) {
    run = (c >= '0' && c <= '9') || c == '.' ? run + 1 : 0;
    if (run >= long_run) return true;
  }
  return false;
}

class PlainReader {
 public:
  explicit PlainReader(std::string_view text) : text_(text) {}

  bool read(const simdjson::dom::element& element, std::size_t depth, Value& out) {
    using simdjson::dom::element_type;
    switch (element.type()) {
      case element_type::ARRAY:
        return depth > 0 && read_list(simdjson::dom::array(element), depth - 1, out);
      case element_type::OBJECT:
        return depth > 0 && read_object(simdjson::dom::object(element), depth - 1, out);
      case element_type::STRING:
        out = Value(std::string_view(element));
        return true;
      case element_type::INT64: {
        const double value = static_cast<double>(std::int64_t(element));
        out = Value(value);
        return std::abs(value) <= integer_max;
      }
      case element_type::DOUBLE:
        return read_fraction(double(element), out);
      case element_type::BOOL:
        out = Value(bool(element));
        return true;
      case element_type::NULL_VALUE:
        out = Value();
        return true;
      case element_type::UINT64:  // only past the largest signed one
        return false;
    }
    return false;
  }

 private:
  bool read_fraction(double value, Value& out) {
    if (!std::isnormal(value) || std::abs(value) > integer_max) return false;
    if (!digits_looked_at_ && has_long_run_of_digits(text_)) return false;
    digits_looked_at_ = true;
    out = Value(value);
    return true;
  }

  bool read_list(const simdjson::dom::array& list, std::size_t depth, Value& out) {
    List items;
    items.reserve(list.size());
    for (const simdjson::dom::element item : list) {
      if (!read(item, depth, items.emplace_back())) return false;
    }
    out = Value(std::move(items));
    return true;
  }

  bool read_object(const simdjson::dom::object& object, std::size_t depth, Value& out) {
    if (object.size() > members_max) return false;
    Members members;
    members.reserve(object.size() + 1);  // a recorder may still be named
    for (const auto& [name, value] : object) {
      const bool twice =
          std::any_of(members.begin(), members.end(), [&](const Member& member) { return member.name == name; });
      if (twice) return false;
      members.push_back({std::string(name), Value()});
      if (!read(value, depth, members.back().value)) return false;
    }
    out = Value(std::move(members));
    return true;
  }

  std::string_view text_;
  bool digits_looked_at_ = false;
};

}  // namespace

bool read_plain(std::string_view text, std::size_t depth, Value& out) {
  thread_local simdjson::dom::parser parser;
  thread_local std::string padded;
  // Larger texts are rare, and the parser would keep its memory for them.
  constexpr std::size_t plain_bytes_max = 64 * 1024;
  if (text.size() > plain_bytes_max) return false;
  padded.reserve(text.size() + simdjson::SIMDJSON_PADDING);
  padded.assign(text);
  simdjson::dom::element root;
  constexpr bool copy_when_not_padded = false;
  if (parser.parse(padded.data(), padded.size(), copy_when_not_padded).get(root) != simdjson::SUCCESS) return false;
  return PlainReader(text).read(root, depth, out);
}

}  // namespace trayproof::json
