#include "report/markup/markup.h"

#include <algorithm>

#include "ledger/base/number.h"
#include "ledger/base/utf8.h"

namespace trayproof::markup {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";  // U+FFFD

void append_escaped(std::string& out, std::string_view plain) {
  for (const char c : plain) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        if (static_cast<unsigned char>(c) < 0x20 && c != '\n' && c != '\t')
          out += replacement;
        else
          out += c;
    }
  }
}

// Elements that never have content; of every other HTML wants both ends.
bool closes_itself(std::string_view name) {
  constexpr std::string_view names[] = {"path", "rect", "line", "polygon", "meta", "br", "hr", "link", "input", "img"};
  return std::find(std::begin(names), std::end(names), name) != std::end(names);
}

// Bytes that are no UTF-8 replaced one by one.
std::string escaped(std::string_view plain) {
  std::string out;
  while (true) {
    const auto bad = first_bad_utf8(plain);
    append_escaped(out, plain.substr(0, bad.value_or(plain.size())));
    if (!bad) return out;
    out += replacement;
    plain.remove_prefix(*bad + 1);
  }
}

}  // namespace

Markup Markup::text(std::string_view plain) {
  Markup out;
  out.bytes_ = escaped(plain);
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

Element& Element::with(Literal attribute, std::string_view value) {
  attributes_ += " ";
  attributes_ += attribute.text();
  attributes_ += "=\"" + escaped(value) + "\"";
  return *this;
}

Element& Element::with(Literal attribute, double value) { return with(attribute, rounded(value, 1)); }

Element& Element::inside(const Markup& next) {
  inside_.add(next);
  return *this;
}

Markup Element::markup() const {
  Markup out;
  out.bytes_ = "<" + std::string(name_.text()) + attributes_;
  if (inside_.empty() && closes_itself(name_.text()))
    out.bytes_ += "/>";
  else
    out.bytes_ += ">" + inside_.bytes() + "</" + std::string(name_.text()) + ">";
  return out;
}

Markup element(Literal name, std::string_view plain) { return Element(name).text(plain).markup(); }

}  // namespace trayproof::markup
