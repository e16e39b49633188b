// HTML and SVG that cannot be broken by what stands in them: names of elements and attributes are literals of the
// program, everything else goes in as text and is escaped on the way. There is no way from a text to a Markup but
// `text`, so that a missing escape does not compile.
//
// What XML does not allow in a document (control characters, bytes that are no UTF-8) becomes U+FFFD.
#pragma once

#include <string>
#include <string_view>
#include <utility>

namespace trayproof::markup {

// A text that stands in the source of this program, known when it is compiled.
class Literal {
 public:
  consteval Literal(const char* text) : text_(text) {}  // NOLINT: implicit by design
  constexpr std::string_view text() const { return text_; }

 private:
  std::string_view text_;
};

class Markup {
 public:
  Markup() = default;
  // The whole of it, escaped.
  static Markup text(std::string_view plain);
  // As it stands in the source: a doctype, a style sheet.
  static Markup as_written(Literal source);

  Markup& add(const Markup& next);
  Markup& add_text(std::string_view plain);
  // Room for so many bytes altogether: what is long is then written where it stays.
  void reserve(std::size_t bytes) { bytes_.reserve(bytes); }
  bool empty() const { return bytes_.empty(); }
  const std::string& bytes() const& { return bytes_; }
  std::string bytes() && { return std::move(bytes_); }

 private:
  friend class Element;
  std::string bytes_;
};

// One element: attributes first, then what stands inside. Attribute values are quoted and escaped.
class Element {
 public:
  explicit Element(Literal name) : name_(name) {}
  Element& with(Literal attribute, std::string_view value);
  // Rounded to a tenth, which is what a drawing needs; no locale.
  Element& with(Literal attribute, double value);
  Element& inside(const Markup& next);
  Element& inside(const Element& next);
  Element& text(std::string_view plain);
  Markup markup() const;

 private:
  void write(std::string& out) const;

  Literal name_;
  std::string attributes_;
  Markup inside_;
};

// "<name attributes>text</name>" in one step.
Markup element(Literal name, std::string_view plain);

}  // namespace trayproof::markup
