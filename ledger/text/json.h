// JSON values: strict in, canonical or plain out. Reading is the library's (nlohmann, one file); the value is our own
// so that nothing can be converted or invented in silence.
//
// Refused when reading: duplicate member names, bad UTF-8, lone surrogates, depth and size past the limits, numbers
// that are not finite, have more than 15 significant digits or lie outside ±999,999,999,999,999.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "ledger/base/result.h"

namespace trayproof::json {

class Value;
struct Member;
using List = std::vector<Value>;
// Members keep the order in which they came. Names are unique when the object was read or built through `set`.
using Members = std::vector<Member>;

class Value {
 public:
  // Defined below Member: clang 16 with libstdc++ 12 wants it complete where a variant that may hold it is made.
  Value();
  Value(const Value&);
  Value(Value&&) noexcept;
  Value& operator=(const Value&);
  Value& operator=(Value&&) noexcept;
  ~Value();
  Value(std::nullptr_t);          // NOLINT: implicit by design, like those that follow
  Value(bool value);              // NOLINT
  Value(double value);            // NOLINT
  Value(int value);               // NOLINT
  Value(std::int64_t value);      // NOLINT
  Value(std::uint64_t value);     // NOLINT
  Value(std::string value);       // NOLINT
  Value(std::string_view value);  // NOLINT
  Value(const char* value);       // NOLINT
  Value(List value);              // NOLINT
  Value(Members value);           // NOLINT
  static Value object();
  static Value list();

  bool is_null() const { return held_.index() == 0; }
  bool is_bool() const { return held_.index() == 1; }
  bool is_number() const { return held_.index() == 2; }
  bool is_text() const { return held_.index() == 3; }
  bool is_list() const { return held_.index() == 4; }
  bool is_object() const { return held_.index() == 5; }

  // Each CHECKs the kind: ask first.
  bool boolean() const;
  double number() const;
  const std::string& text() const;
  const List& items() const;
  List& items();
  const Members& members() const;
  Members& members();

  // The member of that name, or null. Null too when this is no object.
  const Value* find(std::string_view name) const;
  Value* find(std::string_view name);
  // Shorthands for objects whose shape is known: the member's value where it is of that kind.
  std::optional<std::string_view> text_at(std::string_view name) const;
  std::optional<double> number_at(std::string_view name) const;
  std::optional<bool> bool_at(std::string_view name) const;
  // Replaces the member or adds it at the end. Returns *this, so that answers can be written down in one expression.
  Value& set(std::string_view name, Value value);
  void erase(std::string_view name);
  Value& push(Value value);

  bool operator==(const Value& other) const;

 private:
  std::variant<std::monostate, bool, double, std::string, List, Members> held_;
};

struct Member {
  std::string name;
  Value value;
  bool operator==(const Member& other) const { return name == other.name && value == other.value; }
};

inline Value::Value() = default;
inline Value::Value(const Value&) = default;
inline Value::Value(Value&&) noexcept = default;
inline Value& Value::operator=(const Value&) = default;
inline Value& Value::operator=(Value&&) noexcept = default;
inline Value::~Value() = default;
inline Value::Value(std::nullptr_t) {}
inline Value::Value(bool value) : held_(value) {}
inline Value::Value(double value) : held_(value) {}
inline Value::Value(int value) : held_(static_cast<double>(value)) {}
inline Value::Value(std::int64_t value) : held_(static_cast<double>(value)) {}
inline Value::Value(std::uint64_t value) : held_(static_cast<double>(value)) {}
inline Value::Value(std::string value) : held_(std::move(value)) {}
inline Value::Value(std::string_view value) : held_(std::string(value)) {}
inline Value::Value(const char* value) : held_(std::string(value)) {}
inline Value::Value(List value) : held_(std::move(value)) {}
inline Value::Value(Members value) : held_(std::move(value)) {}
inline Value Value::object() { return Value(Members{}); }
inline Value Value::list() { return Value(List{}); }

inline constexpr std::size_t depth_max = 64;

// One JSON text with nothing but white space around it. The error names the column (bytes, from 1), what was found and
// what is allowed.
Result<Value> parse(std::string_view text, std::size_t depth = depth_max);
// The same by the one reader that decides; `parse` asks it for whatever is not plain.
Result<Value> parse_carefully(std::string_view text, std::size_t depth = depth_max);

// RFC 8785 bytes. Every number must be finite and every text valid UTF-8 (both hold for whatever `parse` gave).
std::string canonical(const Value& value);
void append_canonical(std::string& out, const Value& value);
void append_canonical_text(std::string& out, std::string_view text);
// RFC 8785 order of member names: by UTF-16 code units.
bool name_before(std::string_view a, std::string_view b);

// For people and scripts: members in their own order; one line, or indented by two blanks.
std::string plain(const Value& value);
std::string indented(const Value& value);

}  // namespace trayproof::json
