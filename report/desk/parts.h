// What pages are made from: tables whose rows become cards on a telephone, facts with their names, links to things and
// entries, times.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/zone.h"
#include "ledger/words/words.h"
#include "report/markup/markup.h"

namespace trayproof::desk {

// A machine word as people read it; itself where the catalogue has no other.
std::string spelled(std::string_view word);
// Percent-encoded, so that any id is one piece of an address or one value of a query.
std::string encoded(std::string_view text);
// Kinds of thing that have a page: "pack", "load", …
bool has_page(std::string_view kind);
std::string address_of(std::string_view kind, std::string_view id);

// The id in a frame of its own that other text cannot turn around; a link where its kind has a page.
markup::Markup thing(std::string_view kind, std::string_view id);
markup::Markup link(std::string_view address, std::string_view text);
// "2026-10-14 08:10" in that zone.
markup::Markup time_of(const Zone& zone, Instant at);
// "entries 12, 14", each a link.
markup::Markup entry_links(const std::vector<std::int64_t>& seqs);
markup::Markup paragraph(std::string_view text, std::string_view style = {});
markup::Markup heading(std::string_view text);
markup::Markup alert(std::string_view text);
// A word in a frame whose weight tells how grave it is, in black and white too: "critical", "major", "minor", "plain".
markup::Markup mark(std::string_view weight, std::string_view text);
// A photo of a code beside the field `into` (its id in the page) that takes what it holds (photo.cpp). Without a script the
// form's own button sends it, where the form has one.
markup::Markup photo_input(std::string_view field, std::string_view label, std::string_view into);
// The texts of `caution.…` that go with these methods and agents, set off from the rest.
markup::Markup caution_box(const std::vector<std::string>& methods_and_agents);

struct Heading {
  std::string text;
  bool number = false;
};
class Table {
 public:
  explicit Table(std::vector<Heading> heads);
  // By keys of the catalogue.
  static Table of(std::initializer_list<std::string_view> keys);
  void row(const std::vector<markup::Markup>& cells);
  bool empty() const { return rows_ == 0; }
  std::size_t size() const { return rows_; }
  // `wide` scrolls instead of becoming cards: for tables that are read down their columns.
  enum class On { cards, wide };
  markup::Markup markup(On phone = On::cards) const;

 private:
  std::vector<Heading> heads_;
  markup::Element body_{"tbody"};
  std::size_t rows_ = 0;
};

// Name and value, one below the other on a telephone. What is empty is left out.
class Facts {
 public:
  void add(std::string_view key, std::string_view value);
  void add(std::string_view key, const markup::Markup& value);
  markup::Markup markup() const { return list_.markup(); }

 private:
  markup::Element list_{"dl"};
};

}  // namespace trayproof::desk
