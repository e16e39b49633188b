#include "report/desk/parts.h"

#include <algorithm>

#include "report/asking/facility.h"
#include "report/cautions/cautions.h"

namespace trayproof::desk {

using markup::element;
using markup::Element;
using markup::Markup;

std::string spelled(std::string_view word) {
  std::string key = "desk.word-" + std::string(word);
  std::replace(key.begin(), key.end(), '_', '-');
  if (has_word(key)) return say(key);
  const std::string choice = "form.choice-" + std::string(word);
  return has_word(choice) ? say(choice) : std::string(spelled_here(word));
}

std::string encoded(std::string_view text) {
  constexpr std::string_view plain = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-._~";
  constexpr std::string_view digits = "0123456789ABCDEF";
  std::string out;
  for (const char c : text) {
    if (plain.find(c) != std::string_view::npos) {
      out += c;
      continue;
    }
    const auto byte = static_cast<unsigned char>(c);
    out += '%';
    out += digits[byte >> 4U];
    out += digits[byte & 15U];
  }
  return out;
}

bool has_page(std::string_view kind) {
  constexpr std::string_view kinds[] = {"pack",   "set",       "load",      "solution", "lot",
                                        "person", "equipment", "procedure", "recall"};
  return std::find(std::begin(kinds), std::end(kinds), kind) != std::end(kinds);
}

std::string address_of(std::string_view kind, std::string_view id) {
  const std::string folder = kind == "recall" ? "recalls" : std::string(kind);
  return "/" + folder + "/" + encoded(id);
}

Markup thing(std::string_view kind, std::string_view id) {
  const Markup name = Element("bdi").with("class", "id").text(id).markup();
  if (kind == "event" || kind == "sop") return link("/entry/" + encoded(id), say("desk.entry-title", {{"seq", id}}));
  if (!has_page(kind)) return name;
  return Element("a").with("href", address_of(kind, id)).inside(name).markup();
}

Markup link(std::string_view address, std::string_view text) {
  return Element("a").with("href", address).text(text).markup();
}

Markup time_of(const Zone& zone, Instant at) {
  return Element("time").with("datetime", format_date_time(zone.local(at))).text(short_time(zone, at)).markup();
}

Markup entry_links(const std::vector<std::int64_t>& seqs) {
  Element out("span");
  out.with("class", "seqs");
  for (std::size_t i = 0; i < seqs.size(); ++i) {
    out.text(i == 0 ? say(seqs.size() == 1 ? "desk.entry" : "desk.entries") + " " : ", ");
    out.inside(link("/entry/" + std::to_string(seqs[i]), std::to_string(seqs[i])));
  }
  return out.markup();
}

Markup paragraph(std::string_view text, std::string_view style) {
  Element out("p");
  if (!style.empty()) out.with("class", style);
  return out.text(text).markup();
}

Markup heading(std::string_view text) { return element("h2", text); }

Markup alert(std::string_view text) { return Element("p").with("role", "alert").text(text).markup(); }

Markup mark(std::string_view weight, std::string_view text) {
  return Element("span").with("class", "mark " + std::string(weight)).text(text).markup();
}

Markup photo_input(std::string_view field, std::string_view label, std::string_view into) {
  Element file("input");
  file.with("type", "file").with("name", "photo." + std::string(field)).with("accept", "image/*");
  file.with("capture", "environment").with("aria-label", say("form.photo-of", {{"field", label}}));
  if (!into.empty()) file.with("data-into", into);
  return Element("label").with("class", "photo").inside(element("span", say("form.photo"))).inside(file).markup();
}

Markup caution_box(const std::vector<std::string>& methods_and_agents) {
  Element box("aside");
  box.with("class", "caution").with("aria-label", say("desk.caution"));
  for (const std::string& one : cautions_for(methods_and_agents)) box.inside(paragraph(one));
  return box.markup();
}

Table::Table(std::vector<Heading> heads) : heads_(std::move(heads)) {}

Table Table::of(std::initializer_list<std::string_view> keys) {
  std::vector<Heading> heads;
  for (const std::string_view key : keys) heads.push_back({say(key)});
  return Table(std::move(heads));
}

void Table::row(const std::vector<Markup>& cells) {
  Element row("tr");
  for (std::size_t i = 0; i < cells.size(); ++i) {
    Element cell("td");
    cell.with("data-head", heads_[i].text);
    if (heads_[i].number) cell.with("class", "number");
    row.inside(cell.inside(cells[i]));
  }
  body_.inside(row);
  ++rows_;
}

Markup Table::markup(On phone) const {
  Element heads("tr");
  for (const Heading& one : heads_) {
    Element head("th");
    head.with("scope", "col");
    if (one.number) head.with("class", "number");
    heads.inside(head.text(one.text));
  }
  Element table("table");
  if (phone == On::cards) table.with("class", "cards");
  table.inside(Element("thead").inside(heads)).inside(body_);
  if (phone == On::cards) return table.markup();
  return Element("div")
      .with("class", "scroll")
      .with("tabindex", "0")
      .with("role", "region")
      .with("aria-label", say("desk.table"))
      .inside(table)
      .markup();
}

void Facts::add(std::string_view key, std::string_view value) {
  if (!value.empty()) add(key, Markup::text(value));
}

void Facts::add(std::string_view key, const Markup& value) {
  if (value.empty()) return;
  list_.inside(element("dt", say(key))).inside(Element("dd").inside(value));
}

}  // namespace trayproof::desk
