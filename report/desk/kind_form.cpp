#include "report/desk/kind_form.h"

#include <algorithm>

#include "ledger/words/words.h"
#include "report/desk/form_order.h"
#include "report/desk/parts.h"

namespace trayproof::desk {
namespace {

using events::Field;
using events::Type;
using markup::element;
using markup::Element;
using markup::Markup;

constexpr std::size_t few_choices = 5;  // as buttons; more as a list

// Ways to say that a field's value is not known (docs/ledger-format.md, `unknown`).
constexpr std::string_view unknowns[] = {"not-recorded", "not-done", "not-readable"};
constexpr std::string_view precisions[] = {"minute", "hour", "day"};

// A word of the vocabulary as people say it. tests/desk asks every form for every one of them.
std::string choice_text(std::string_view word) { return say("form.choice-" + std::string(word)); }

std::string dom_id(std::string_view field) { return "f-" + std::string(field); }

// Browsers send the ends of lines as CR LF; a page has LF.
std::string value_of(const Fields& values, std::string_view name) {
  std::string value(values.find(name).value_or(""));
  std::erase(value, '\r');
  return value;
}

bool is_chosen(const Fields& values, std::string_view name, std::string_view value) {
  return std::any_of(values.all().begin(), values.all().end(),
                     [&](const auto& one) { return one.first == name && one.second == value; });
}

Markup wrapped(std::string_view field, std::string_view label, const Markup& inside, std::string_view hint = {}) {
  Element out("div");
  out.with("class", "field");
  out.inside(Element("label").with("for", dom_id(field)).text(label)).inside(inside);
  if (!hint.empty()) out.inside(paragraph(hint, "quiet"));
  return out.markup();
}

Element plain_input(const KindForm& form, const Field& field, std::string_view type) {
  Element input("input");
  input.with("id", dom_id(field.name)).with("name", field.name).with("type", type).with("autocomplete", "off");
  if (const std::string value = value_of(form.values, field.name); !value.empty()) input.with("value", value);
  const bool refused = std::any_of(form.refused.begin(), form.refused.end(),
                                   [&](const events::Refusal& one) { return one.field == field.name; });
  if (refused) input.with("aria-invalid", "true");
  if (field.needed == events::Needed::yes) input.with("data-needed", field.name);
  return input;
}

// An id: typed, scanned, or taken from those that are known.
Markup id_input(const KindForm& form, const Field& field) {
  Element input = plain_input(form, field, "text");
  input.with("autocapitalize", "off").with("spellcheck", "false").with("data-scan", "one");
  const auto known = form.known.by_field.find(field.name);
  const auto with_photo = [&](const Markup& inside) {
    const Markup photo = photo_input(field.name, label_of(field.name), dom_id(field.name));
    return Element("div").with("class", "scan").inside(inside).inside(photo).markup();
  };
  Markup out;
  if (known == form.known.by_field.end() || known->second.empty()) return with_photo(input.markup());
  const std::string list = "known-" + std::string(field.name);
  input.with("list", list);
  Element options("datalist");
  options.with("id", list);
  for (const Known& one : known->second) options.inside(Element("option").with("value", one.id).text(one.says));
  return with_photo(out.add(input.markup()).add(options.markup()));
}

Markup choice_button(const std::string& name, std::string_view value, const Markup& says, bool many, bool chosen) {
  Element box("input");
  box.with("type", many ? "checkbox" : "radio").with("name", name).with("value", value);
  if (chosen) box.with("checked", "checked");
  return Element("label").with("class", "choice").inside(box).inside(Element("span").inside(says)).markup();
}

Markup choices(const KindForm& form, const Field& field, std::span<const std::string_view> words, bool many) {
  const std::string name(field.name);
  if (!many && words.size() > few_choices) {
    Element list("select");
    list.with("id", dom_id(name)).with("name", name);
    if (field.needed == events::Needed::yes) list.with("data-needed", name);
    list.inside(Element("option").with("value", "").text(say("form.choose")));
    for (const std::string_view one : words) {
      Element option("option");
      option.with("value", one);
      if (is_chosen(form.values, name, one)) option.with("selected", "selected");
      list.inside(option.text(choice_text(one)));
    }
    return wrapped(name, label_of(name), list.markup());
  }
  Element group("fieldset");
  group.with("id", dom_id(name)).with("class", "field choices").inside(element("legend", label_of(name)));
  if (field.needed == events::Needed::yes) group.with("data-needed", name);
  for (const std::string_view one : words)
    group.inside(choice_button(name, one, Markup::text(choice_text(one)), many, is_chosen(form.values, name, one)));
  return group.markup();
}

// Several ids: those that are likely to be meant as buttons to tap, and room to scan or type others.
Markup id_list(const KindForm& form, const Field& field, std::string_view legend) {
  const std::string name(field.name);
  Element group("fieldset");
  group.with("id", dom_id(name)).with("class", "field many").inside(element("legend", legend));
  if (field.needed == events::Needed::yes) group.with("data-needed", name);
  std::vector<std::string> shown;
  const auto tap = form.known.to_tap.find(name);
  if (tap != form.known.to_tap.end() && !tap->second.empty()) {
    Element taps("div");
    taps.with("class", "taps");
    for (const Known& one : tap->second) {
      shown.push_back(one.id);
      // Each whole where there is room, and a line broken only between the two.
      Markup says = element("bdi", one.id);
      if (!one.says.empty()) says.add_text(" · ").add(element("bdi", one.says));
      taps.inside(choice_button(name, one.id, says, true, is_chosen(form.values, name, one.id)));
    }
    group.inside(taps);
  }
  std::string typed = value_of(form.values, name + ".more");
  for (const auto& [given, value] : form.values.all()) {
    if (given == name && std::find(shown.begin(), shown.end(), value) == shown.end())
      typed += (typed.empty() ? "" : "\n") + value;
  }
  Element more("textarea");
  more.with("name", name + ".more")
      .with("rows", "3")
      .with("data-scan", "many")
      .with("autocapitalize", "off")
      .with("spellcheck", "false");
  const std::string how = say(shown.empty() ? "form.scan-each" : "form.scan-more");
  more.with("id", dom_id(name) + "-more").with("aria-label", how);
  Element scan("div");
  scan.with("class", "scan").inside(more.text(typed)).inside(photo_input(name, legend, dom_id(name) + "-more"));
  group.inside(paragraph(how, "quiet")).inside(scan);
  return group.markup();
}

Markup text_area(const KindForm& form, const Field& field, std::string_view hint) {
  const bool list = field.type == Type::patient_list;
  const std::string name = std::string(field.name) + (list ? ".more" : "");
  Element area("textarea");
  area.with("id", dom_id(field.name)).with("name", name).with("rows", "3").with("autocomplete", "off");
  return wrapped(field.name, label_of(field.name), area.text(value_of(form.values, name)).markup(), hint);
}

// Numbers that stay as they are unless others are typed, and the way to take them away.
Markup taking_away(const KindForm& form, const Field& field) {
  const std::string name = std::string(field.name) + ".none";
  return choice_button(name, "yes", Markup::text(say("form.patient-none")), true, is_chosen(form.values, name, "yes"));
}

Markup patient_field(const KindForm& form, const Field& field) {
  const bool list = field.type == Type::patient_list;
  const auto kept = form.kept.find(field.name);
  std::string hint = say(list ? "form.one-a-line" : "form.patient-how");
  if (kept != form.kept.end())
    hint = say(list ? "form.patients-kept" : "form.patient-kept", {{"count", std::to_string(kept->second)}});
  Markup out;
  if (list) {
    out = text_area(form, field, hint);
  } else {
    out =
        wrapped(field.name, label_of(field.name),
                plain_input(form, field, "text").with("spellcheck", "false").with("data-number", "yes").markup(), hint);
  }
  return kept == form.kept.end() ? out : out.add(taking_away(form, field));
}

Markup subject_field(const KindForm& form, const Field& field) {
  constexpr std::string_view things[] = {"pack", "set",       "load",   "procedure", "solution",
                                         "lot",  "equipment", "person", "recall"};
  const std::string name(field.name);
  Element kinds("select");
  kinds.with("id", dom_id(name)).with("name", name + ".kind");
  for (const std::string_view one : things) {
    Element option("option");
    option.with("value", one);
    if (value_of(form.values, name + ".kind") == one) option.with("selected", "selected");
    kinds.inside(option.text(say("desk.kind-" + std::string(one))));
  }
  Element id("input");
  id.with("name", name + ".id").with("type", "text").with("autocomplete", "off").with("aria-label", say("form.id"));
  if (const std::string value = value_of(form.values, name + ".id"); !value.empty()) id.with("value", value);
  return wrapped(name, label_of(name), Markup().add(kinds.markup()).add(id.markup()));
}

Markup number_input(const KindForm& form, const Field& field, std::string_view mode) {
  Element input = plain_input(form, field, "text");
  return wrapped(field.name, label_of(field.name), input.with("inputmode", mode).markup());
}

constexpr std::string_view yes_no[] = {"yes", "no"};

Markup one_field(const KindForm& form, const Field& field) {
  switch (field.type) {
    case Type::id:
    case Type::id_or_null:
      return wrapped(field.name, label_of(field.name), id_input(form, field));
    case Type::choice:
      return choices(form, field, field.choices, false);
    case Type::choice_list:
      return choices(form, field, field.choices, true);
    case Type::boolean:
    case Type::flag_or_date:
      return choices(form, field, yes_no, false);
    case Type::id_list:
      return id_list(form, field, label_of(field.name));
    case Type::integer:
    case Type::indicator_type:
    case Type::seq:
      return number_input(form, field, "numeric");
    case Type::number:
    case Type::amount:
    case Type::percent:
    case Type::temperature:
      return number_input(form, field, "decimal");
    case Type::date:
    case Type::date_or_time:
      return wrapped(field.name, label_of(field.name), plain_input(form, field, "date").markup());
    case Type::date_time:
      return wrapped(field.name, label_of(field.name), plain_input(form, field, "datetime-local").markup());
    case Type::patient:
    case Type::patient_list:
      return patient_field(form, field);
    case Type::items:
      return text_area(form, field, say("form.items-how"));
    case Type::free_text:
    case Type::toml:
      return text_area(form, field, {});
    case Type::subject:
      return subject_field(form, field);
    default:
      return wrapped(field.name, label_of(field.name), plain_input(form, field, "text").markup());
  }
}

bool is_filled(const KindForm& form, const Field& field) {
  const std::string name(field.name);
  const bool refused = std::any_of(form.refused.begin(), form.refused.end(),
                                   [&](const events::Refusal& one) { return one.field.starts_with(name); });
  return refused || form.values.filled(name) || form.values.filled(name + ".more") ||
         form.values.filled(name + ".id") || form.kept.contains(name);
}

Markup when_part(const KindForm& form) {
  Element part("details");
  part.with("class", "field");
  if (form.values.filled("at")) part.with("open", "open");
  part.inside(element("summary", say("form.when")));
  part.inside(paragraph(say("form.when-how"), "quiet"));
  static constexpr Field at{"at", Type::date_time, events::Needed::no};
  part.inside(wrapped("at", label_of("at"), plain_input(form, at, "datetime-local").markup()));
  Element how("select");
  how.with("id", dom_id("precision")).with("name", "precision");
  how.inside(Element("option").with("value", "").text(say("form.precision-exact")));
  for (const std::string_view one : precisions) {
    Element option("option");
    option.with("value", one);
    if (value_of(form.values, "precision") == one) option.with("selected", "selected");
    how.inside(option.text(say("form.precision-" + std::string(one))));
  }
  return part.inside(wrapped("precision", label_of("precision"), how.markup())).markup();
}

Markup unknown_part(const KindForm& form) {
  if (!form.kind.takes_unknown()) return {};
  Element part("details");
  part.with("class", "field");
  part.inside(element("summary", say("form.unknown"))).inside(paragraph(say("form.unknown-how"), "quiet"));
  bool any = false;
  for (std::size_t i = 1; i < form.kind.fields.size(); ++i) {
    const std::string_view field = form.kind.fields[i].name;
    if (field == "method" || field == "second") continue;
    const std::string name = "unknown." + std::string(field);
    Element why("select");
    why.with("id", dom_id(name)).with("name", name);
    why.inside(Element("option").with("value", "").text(say("form.known")));
    for (const std::string_view one : unknowns) {
      Element option("option");
      option.with("value", one);
      if (value_of(form.values, name) == one) {
        option.with("selected", "selected");
        any = true;
      }
      why.inside(option.text(say("form.unknown-" + std::string(one))));
    }
    part.inside(wrapped(name, label_of(field), why.markup()));
  }
  if (any) part.with("open", "open");
  return part.markup();
}

Markup remark_part(const KindForm& form) {
  static constexpr Field note{"note", Type::free_text, events::Needed::no};
  static constexpr Field paper{"paper", Type::text, events::Needed::no};
  Element part("details");
  part.with("class", "field");
  if (is_filled(form, note) || is_filled(form, paper)) part.with("open", "open");
  part.inside(element("summary", say("form.remark")));
  return part.inside(one_field(form, note)).inside(one_field(form, paper)).markup();
}

}  // namespace

std::string label_of(std::string_view field) {
  std::string key = "form.field-" + std::string(field);
  std::replace(key.begin(), key.end(), '_', '-');
  return has_word(key) ? say(key) : std::string(field);
}

Markup fields_of(const KindForm& form) {
  const FormOrder order = order_of(form.kind);
  Markup out;
  for (const Field* field : order.open) {
    const bool several = form.several && field->name == "pack";
    out.add(several ? id_list(form, *field, label_of("packs")) : one_field(form, *field));
  }
  Element more("details");
  more.with("class", "field").inside(element("summary", say("form.more")));
  bool open = false;
  for (const Field* field : order.folded) {
    more.inside(one_field(form, *field));
    open = open || is_filled(form, *field);
  }
  if (open) more.with("open", "open");
  if (!order.folded.empty()) out.add(more.markup());
  return out.add(when_part(form)).add(unknown_part(form)).add(remark_part(form));
}

Markup refusals_of(const KindForm& form) {
  if (form.refused.empty()) return {};
  Element list("ul");
  for (const events::Refusal& one : form.refused) {
    const std::string field = one.field.substr(0, one.field.find_first_of(".["));
    Element item("li");
    if (!field.empty()) item.inside(Element("a").with("href", "#" + dom_id(field)).text(label_of(field))).text(": ");
    list.inside(item.text(one.why));
  }
  return Element("div")
      .with("role", "alert")
      .with("tabindex", "-1")
      .with("id", "refused")
      .inside(markup::element("p", say("form.refused")))
      .inside(list)
      .markup();
}

}  // namespace trayproof::desk
