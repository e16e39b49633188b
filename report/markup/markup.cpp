#include "report/markup/markup.h"

#include <algorithm>

#include "ledger/base/number.h"
#include "ledger/base/utf8.h"

namespace trayproof::markup {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";  // U+FFFD

// What stands in place of that byte; empty where the byte itself may stand.
std::string_view instead_of(char c) {
  switch (c) {
    case '&':
      return "&amp;";
    case '<':
      return "&lt;";
    case '>':
      return "&gt;";
    case '"':
      return "&quot;";
    case '\'':
      return "&#39;";
    default:
      return static_cast<unsigned char>(c) < 0x20 && c != '\n' && c != '\t' ? replacement : std::string_view();
  }
}

// Runs of bytes that may stand go over in one piece.
void append_escaped_utf8(std::string& out, std::string_view plain) {
  std::size_t from = 0;
  for (std::size_t i = 0; i < plain.size(); ++i) {
    const std::string_view other = instead_of(plain[i]);
    if (other.empty()) continue;
    out.append(plain, from, i - from).append(other);
    from = i + 1;
  }
  out.append(plain, from);
}

// Bytes that are no UTF-8 replaced one by one.
void append_escaped(std::string& out, std::string_view plain) {
  while (true) {
    const auto bad = first_bad_utf8(plain);
    append_escaped_utf8(out, plain.substr(0, bad.value_or(plain.size())));
    if (!bad) return;
    out += replacement;
    plain.remove_prefix(*bad + 1);
  }
}

// Elements that never have content; of every other HTML wants both ends.
bool closes_itself(std::string_view name) {
  constexpr std::string_view names[] = {"path", "rect", "line", "polygon", "meta", "br", "hr", "link", "input", "img"};
  return std::find(std::begin(names), std::end(names), name) != std::end(names);
}

}  // namespace

Markup Markup::text(std::string_view plain) {
  Markup out;
  out.add_text(plain);
  return out;
}

Markup Markup::as_written(Literal source) {
  Markup out;
  out.bytes_ = source.text();
  return out;
}

Markup& Markup::add(const Markup& next) {
  bytes_ += next.bytes_;
  return *this;
}

Markup& Markup::add_text(std::string_view plain) {
  append_escaped(bytes_, plain);
  return *this;
}

Element& Element::with(Literal attribute, std::string_view value) {
  attributes_.append(" ").append(attribute.text()).append("=\"");
  append_escaped(attributes_, value);
  attributes_ += '"';
  return *this;
}

Element& Element::with(Literal attribute, double value) { return with(attribute, rounded(value, 1)); }

Element& Element::inside(const Markup& next) {
  inside_.add(next);
  return *this;
}

Element& Element::inside(const Element& next) {
  next.write(inside_.bytes_);
  return *this;
}

Element& Element::text(std::string_view plain) {
  inside_.add_text(plain);
  return *this;
}

void Element::write(std::string& out) const {
  const std::string_view name = name_.text();
  out.append("<").append(name).append(attributes_);
  if (inside_.empty() && closes_itself(name)) {
    out += "/>";
  } else {
    out.append(">").append(inside_.bytes()).append("</").append(name).append(">");
  }
}

Markup Element::markup() const {
  constexpr std::size_t brackets = 5;  // "<></>"
  Markup out;
  out.bytes_.reserve(2 * name_.text().size() + attributes_.size() + inside_.bytes().size() + brackets);
  write(out.bytes_);
  return out;
}

Markup element(Literal name, std::string_view plain) { return Element(name).text(plain).markup(); }

}  // namespace trayproof::markup
