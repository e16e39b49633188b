#include "ledger/text/json.h"

#include <algorithm>
#include <cstring>
#include <cmath>

#include "ledger/base/number.h"
#include "ledger/base/utf8.h"
#include "ledger/text/plain_bytes.h"

namespace trayproof::json {

bool Value::boolean() const { CHECK(is_bool()); return std::get<1>(held_); }
double Value::number() const { CHECK(is_number()); return std::get<2>(held_); }
const std::string& Value::text() const { CHECK(is_text()); return std::get<3>(held_); }
const List& Value::items() const { CHECK(is_list()); return std::get<4>(held_); }
List& Value::items() { CHECK(is_list()); return std::get<4>(held_); }
const Members& Value::members() const { CHECK(is_object()); return std::get<5>(held_); }
Members& Value::members() { CHECK(is_object()); return std::get<5>(held_); }

const Value* Value::find(std::string_view name) const {
  if (!is_object()) return nullptr;
  for (const Member& member : std::get<5>(held_)) {
    // Most names differ in length or in their first byte, and are not compared further.
    if (member.name.size() != name.size() || (!name.empty() && member.name.front() != name.front())) continue;
    if (member.name == name) return &member.value;
  }
  return nullptr;
}

Value* Value::find(std::string_view name) { return const_cast<Value*>(std::as_const(*this).find(name)); }

std::optional<std::string_view> Value::text_at(std::string_view name) const {
  const Value* value = find(name);
  if (value == nullptr || !value->is_text()) return std::nullopt;
  return value->text();
}

std::optional<double> Value::number_at(std::string_view name) const {
  const Value* value = find(name);
  if (value == nullptr || !value->is_number()) return std::nullopt;
  return value->number();
}

std::optional<bool> Value::bool_at(std::string_view name) const {
  const Value* value = find(name);
  if (value == nullptr || !value->is_bool()) return std::nullopt;
  return value->boolean();
}

Value& Value::set(std::string_view name, Value value) {
  if (Value* there = find(name)) {
    *there = std::move(value);
  } else {
    members().push_back({std::string(name), std::move(value)});
  }
  return *this;
}

void Value::erase(std::string_view name) {
  std::erase_if(members(), [&](const Member& member) { return member.name == name; });
}

Value& Value::push(Value value) {
  items().push_back(std::move(value));
  return *this;
}

bool Value::operator==(const Value& other) const {
  if (!is_object() || !other.is_object()) return held_ == other.held_;
  // The order of members means nothing.
  return members().size() == other.members().size() &&
         std::all_of(members().begin(), members().end(), [&](const Member& member) {
           const Value* there = other.find(member.name);
           return there != nullptr && *there == member.value;
         });
}

bool name_before(std::string_view a, std::string_view b) {
  const auto [here, there] = std::mismatch(a.begin(), a.end(), b.begin(), b.end());
  if (here == a.end() || there == b.end()) return a.size() < b.size();
  const auto ascii = [](char c) { return static_cast<unsigned char>(c) < 0x80; };
  if (ascii(*here) && ascii(*there)) return *here < *there;
  // UTF-16 differs from code-point order only above U+FFFF, whose surrogates sort below U+E000.
  const auto unit = [](char32_t c) { return c > 0xFFFF ? 0xD800 + ((c - 0x10000) >> 10) : c; };
  std::size_t i = 0;
  std::size_t k = 0;
  while (i < a.size() && k < b.size()) {
    const char32_t left = next_code_point(a, i);
    const char32_t right = next_code_point(b, k);
    if (left == right) continue;
    if (unit(left) != unit(right)) return unit(left) < unit(right);
    return left < right;
  }
  return a.size() - i < b.size() - k;
}

namespace {

// Whether no byte of the text needs a backslash. Where its length is no multiple of eight, the last word begins before
// the end of the one before; a shorter text is two words of four bytes that lie over one another, or its bytes one by
// one.
bool stands_for_itself(std::string_view text) {
  const auto word = [&]<typename Word>(std::size_t at, Word read) {
    std::memcpy(&read, text.data() + at, sizeof read);
    return std::uint64_t{read};
  };
  if (text.size() >= 8) {
    for (std::size_t at = 0; at + 8 < text.size(); at += 8) {
      if (need_backslash(word(at, std::uint64_t{})) != 0) return false;
    }
    return need_backslash(word(text.size() - 8, std::uint64_t{})) == 0;
  }
  if (text.size() >= 4) {
    return need_backslash(word(0, std::uint32_t{}) << 32U | word(text.size() - 4, std::uint32_t{})) == 0;
  }
  return std::none_of(text.begin(), text.end(), &needs_backslash);
}

}  // namespace

void append_canonical_text(std::string& out, std::string_view text) {
  if (stands_for_itself(text)) {
    out.append(text.size() + 2, '"');
    std::copy(text.begin(), text.end(), out.end() - 1 - static_cast<std::ptrdiff_t>(text.size()));
    return;
  }
  out += '"';
  std::size_t plain_from = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto c = static_cast<unsigned char>(text[i]);
    if (c >= 0x20 && c != '"' && c != '\\') continue;
    out += text.substr(plain_from, i - plain_from);
    plain_from = i + 1;
    switch (c) {
      case '"': out += "\\\""; break;
      case '\\': out += "\\\\"; break;
      case '\b': out += "\\b"; break;
      case '\t': out += "\\t"; break;
      case '\n': out += "\\n"; break;
      case '\f': out += "\\f"; break;
      case '\r': out += "\\r"; break;
      default:
        out += "\\u00";
        out += "0123456789abcdef"[c >> 4];
        out += "0123456789abcdef"[c & 15];
    }
  }
  out += text.substr(plain_from);
  out += '"';
}

namespace {

enum class Order { canonical, own };

void append(std::string& out, const Value& value, Order order, int indent) {
  const auto line = [&](int depth) {
    if (indent < 0) return;
    out += '\n';
    out.append(static_cast<std::size_t>(depth) * 2, ' ');
  };
  const int inner = indent < 0 ? -1 : indent + 1;
  if (value.is_null()) {
    out += "null";
  } else if (value.is_bool()) {
    out += value.boolean() ? "true" : "false";
  } else if (value.is_number()) {
    out += shortest(value.number());
  } else if (value.is_text()) {
    append_canonical_text(out, value.text());
  } else if (value.is_list()) {
    out += '[';
    bool first = true;
    for (const Value& item : value.items()) {
      if (!first) out += ',';
      first = false;
      line(inner);
      append(out, item, order, inner);
    }
    if (!first) line(indent);
    out += ']';
  } else {
    const Members& members = value.members();
    bool first = true;
    const auto put = [&](const Member& member) {
      if (!first) out += ',';
      first = false;
      line(inner);
      append_canonical_text(out, member.name);
      out += indent < 0 ? ":" : ": ";
      append(out, member.value, order, inner);
    };
    const auto before = [](const Member& a, const Member& b) { return name_before(a.name, b.name); };
    out += '{';
    // Members of what is read from canonical bytes stand in order already.
    if (order == Order::own || std::is_sorted(members.begin(), members.end(), before)) {
      for (const Member& member : members) put(member);
    } else {
      std::vector<const Member*> sorted;
      sorted.reserve(members.size());
      for (const Member& member : members) sorted.push_back(&member);
      std::sort(sorted.begin(), sorted.end(), [&](auto* a, auto* b) { return before(*a, *b); });
      for (const Member* member : sorted) put(*member);
    }
    if (!first) line(indent);
    out += '}';
  }
}

}  // namespace

void append_canonical(std::string& out, const Value& value) { append(out, value, Order::canonical, -1); }

std::string canonical(const Value& value) {
  std::string out;
  append_canonical(out, value);
  return out;
}

std::string plain(const Value& value) {
  std::string out;
  append(out, value, Order::own, -1);
  return out;
}

std::string indented(const Value& value) {
  std::string out;
  append(out, value, Order::own, 0);
  return out;
}

}  // namespace trayproof::json
