// Recording by forms: which kinds there are, the form of each, taking what it gives.
#include "report/desk/recording.h"

#include <algorithm>

#include "ledger/links/trace.h"
#include "ledger/words/words.h"
#include "report/desk/answers.h"
#include "report/desk/parts.h"
#include "report/desk/suggestions.h"

namespace trayproof::desk {
namespace {

using json::Value;
using markup::element;
using markup::Element;
using markup::Markup;

// What decides whether the register is kept: these stand first and large.
constexpr std::string_view captures[] = {"packed", "load-started", "procedure-done", "set-returned"};

// The rest in the order of the work.
struct Stretch {
  std::string_view name;  // under "form.group-"
  events::Group group;
};
constexpr Stretch stretches[] = {
    {"turn", events::Group::turn},
    {"cycles", events::Group::cycles},
    {"shelf", events::Group::shelf_and_use},
    {"solutions", events::Group::solutions},
    {"place", events::Group::place_and_rules},
    {"recall", events::Group::recall_and_correction},
};

// Forms of their own, reached from the entry, the finding or the recall that they are about.
bool has_own_page(std::string_view kind) {
  return kind == "corrected" || kind == "finding-answered" || kind.starts_with("recall-");
}

bool is_capture(std::string_view kind) {
  return std::find(std::begin(captures), std::end(captures), kind) != std::end(captures);
}

std::string title_of(std::string_view kind) { return say("kind." + std::string(kind)); }
std::string address_of_form(std::string_view kind) { return "/record/" + std::string(kind); }

Markup way_to(std::string_view kind) {
  Element link = Element("a").with("href", address_of_form(kind)).text(title_of(kind));
  Element item("li");
  item.inside(link);
  if (is_by_pin(kind)) item.text(" ").inside(mark("plain", say("form.by-pin")));
  return item.markup();
}

// What the next one of the same kind is likely to share with the one before.
bool is_kept(std::string_view field) {
  constexpr std::string_view kept[] = {"wrap",     "indicator_lot", "wrap_lot", "method", "equipment",     "place",
                                       "solution", "lot",           "where",    "type",   "detergent_lot", "sort"};
  return std::find(std::begin(kept), std::end(kept), field) != std::end(kept);
}

Result<Fields> values_after(Asked& asked, const events::Kind& kind, std::int64_t seq) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto entry, reader.ledger().entry(seq));
  TRY_LET(const auto event, json::parse(entry.bytes));
  if (event.text_at("kind") != kind.name) return Fields();
  TRY_LET(auto* tables, reader.tables());
  std::vector<std::pair<std::string, std::string>> kept;
  const Fields before = fields_from(kind, event, tables->zone());
  for (const auto& [name, value] : before.all()) {
    if (is_kept(name)) kept.emplace_back(name, value);
  }
  return Fields(std::move(kept));
}

std::vector<std::string> dangers_in(const events::Kind& kind) {
  std::vector<std::string> words;
  for (const events::Field& field : kind.fields) {
    if (field.name == "agent" || (field.name == "method" && kind.name.starts_with("load-")))
      words.insert(words.end(), field.choices.begin(), field.choices.end());
  }
  if (kind.name == "soaked") words.emplace_back("sodium-hypochlorite");
  if (kind.name == "load-ended") words.emplace_back("steam-gravity");
  return words;
}

bool wants_json(const Request& request) { return request.head.header("accept").starts_with("application/json"); }

Value refusals_json(const events::Refusals& refused) {
  Value list = Value::list();
  for (const events::Refusal& one : refused)
    list.push(Value::object().set("field", one.field).set("says", label_of(one.field) + ": " + one.why));
  return list;
}

// A form that gives no time is given the present one. Sent a second time it is the same event: that has the time of the
// first.
Result<void> keep_time(Record::Reader& reader, Value& event) {
  const auto slip = event.text_at("slip");
  if (!slip) return {};
  TRY_LET(auto rows, reader.ledger().file().database().prepare("SELECT seq FROM entries WHERE slip = ?"));
  rows.bind(1, *slip);
  TRY_LET(const bool there, rows.step());
  if (!there) return {};
  TRY_LET(const auto entry, reader.ledger().entry(rows.integer(0)));
  TRY_LET(const auto first, json::parse(entry.bytes));
  if (const auto at = first.text_at("at")) event.set("at", *at);
  return {};
}

Result<Response> take(Asked& asked, Kinds kinds) {
  TRY_LET(const auto* kind, kind_asked(asked));
  if (kinds == Kinds::open && is_by_pin(kind->name))
    return Error(ErrorCode::denied, say("desk.kind-needs-pin", {{"kind", title_of(kind->name)}}));
  Value event;
  {
    TRY_LET(auto reader, asked.desk.record().reader());
    TRY_LET(auto* tables, reader.tables());
    event = event_of(*kind, asked.form, tables->zone(), asked.desk.clock().now());
    if (!asked.form.filled("at") && !asked.form.filled("typed")) TRY(keep_time(reader, event));
  }
  TRY_LET(auto done, append_asked(asked, std::move(event)));
  const bool program = wants_json(asked.request);
  if (!done.refusals.empty()) {
    if (program) return json_response(Value::object().set("refused", refusals_json(done.refusals)), 422);
    return form_page(asked, {.kind = *kind, .values = asked.form, .refused = std::move(done.refusals)}, 422);
  }
  const std::string after = address_of_form(kind->name) + "?after=" + std::to_string(done.last);
  if (program)
    return json_response(Value::object().set("seq", done.last).set("repeated", done.repeated > 0).set("next", after));
  return see_other(after);
}

}  // namespace

Result<Appended> append_asked(Asked& asked, Value event) {
  if (!event.text_at("slip")) return Error(ErrorCode::invalid, say("desk.slip-needed"));
  AppendOptions options;
  options.same_content_repeats = false;  // the form brings its slip
  options.signer = asked.who.signer();
  options.default_by = asked.who.person();
  return asked.desk.record().append({{.line = 0, .event = std::move(event)}}, options);
}

Result<const events::Kind*> kind_asked(const Asked& asked) {
  const events::Kind* kind = events::find_kind(asked.at("kind"));
  if (kind == nullptr || !kind->recordable() || has_own_page(kind->name))
    return Error(ErrorCode::missing, say("form.no-kind", {{"found", asked.at("kind")}}));
  return kind;
}

Result<Markup> done_part(Asked& asked, std::int64_t seq) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto entry, reader.ledger().entry(seq));
  TRY_LET(const auto event, json::parse(entry.bytes));
  const std::string kind(event.text_at("kind").value_or(""));
  const std::string number = std::to_string(seq);
  Element ways("p");
  ways.with("class", "doings");
  const auto way = [&](std::string_view address, std::string_view key) {
    ways.inside(Element("a").with("class", "do").with("href", address).text(say(key)));
  };
  way("/correct/" + number, "form.correct");
  if (const auto pack = event.text_at("pack"); pack && kind == "packed")
    way("/label/pack/" + encoded(*pack), "form.label");
  if (const auto load = event.text_at("load"); load && kind.starts_with("load-"))
    way(address_of("load", *load), "form.see-load");
  TRY_LET(const auto second, reader.ledger().second(seq));
  if (second.second == people::Second::awaiting) way("/second/" + number, "form.second-now");
  return Element("section")
      .with("class", "done")
      .with("role", "status")
      .inside(element("p", say("form.done", {{"seq", number}})))
      .inside(Element("p").with("class", "lead").text(links::sentence_of(reader.ledger(), kind, event)))
      .inside(element("p", say("form.done-by", {{"person", event.text_at("by").value_or("")}})))
      .inside(ways)
      .markup();
}

Result<Response> form_page(Asked& asked, const FormPage& form, int status) {
  const std::string address = address_of_form(form.kind.name);
  Suggestions known;
  {
    TRY_LET(auto reader, asked.desk.record().reader());
    TRY_LET(auto* tables, reader.tables());
    TRY_LET(known, suggestions_for(*tables, form.kind));
  }
  const KindForm shown{form.kind, form.values, form.refused, known};
  const Frame frame = frame_of(asked.who, title_of(form.kind.name), address);
  Markup inside;
  if (form.after > 0) {
    TRY_LET(const auto done, done_part(asked, form.after));
    inside.add(done);
  }
  inside.add(refusals_of(shown));
  const bool pin = is_by_pin(form.kind.name);
  if (pin && asked.who.level() != Who::pin) {
    inside.add(paragraph(say("form.pin-first")));
    const std::string& query = asked.request.head.query;
    const std::string back = query.empty() ? address : address + "?" + query;
    inside.add(Element("p")
                   .inside(Element("a")
                               .with("class", "do")
                               .with("href", "/sign-in?next=" + encoded(back))
                               .text(say("desk.pin-go")))
                   .markup());
    return page(frame, inside, status);
  }
  Element fields = form_to(pin ? "/sign/" + std::string(form.kind.name) : address, frame, Records::yes);
  fields.with("class", "record");
  if (!pin) {
    fields.with("data-queue", title_of(form.kind.name)).with("data-person", asked.who.person());
    fields.with("data-now", format_recorded(asked.desk.clock().now()));
  }
  fields.inside(fields_of(shown));
  inside.add(fields.inside(button(say("form.record"))).markup());
  if (const auto dangers = dangers_in(form.kind); !dangers.empty()) inside.add(caution_box(dangers));
  return page(frame, inside, status);
}

Result<Response> answer_record_page(Asked& asked) {
  Element tiles("ul");
  tiles.with("class", "tiles");
  for (const std::string_view kind : captures) {
    Element link = Element("a").with("href", address_of_form(kind));
    link.inside(element("strong", title_of(kind))).inside(element("span", say("form.how-" + std::string(kind))));
    tiles.inside(Element("li").inside(link));
  }
  Markup inside = tiles.markup();
  for (const Stretch& stretch : stretches) {
    Element list("ul");
    list.with("class", "kinds");
    bool any = false;
    for (const events::Kind& kind : events::kinds()) {
      if (kind.group != stretch.group || !kind.recordable() || has_own_page(kind.name) || is_capture(kind.name))
        continue;
      list.inside(way_to(kind.name));
      any = true;
    }
    if (any) inside.add(heading(say("form.group-" + std::string(stretch.name)))).add(list.markup());
  }
  inside.add(paragraph(say("form.late-is-fine"), "quiet"));
  return page(frame_of(asked.who, say("form.title"), "/record"), inside);
}

Result<Response> answer_kind_page(Asked& asked) {
  TRY_LET(const auto* kind, kind_asked(asked));
  const std::int64_t after = seq_in(asked.query.find("after").value_or(""));
  Fields values = asked.query;
  if (after > 0) {
    TRY_LET(values, values_after(asked, *kind, after));
  }
  return form_page(asked, {.kind = *kind, .values = std::move(values), .refused = {}, .after = after});
}

Result<Response> answer_record(Asked& asked) { return take(asked, Kinds::open); }

Result<Response> answer_sign(Asked& asked) { return take(asked, Kinds::by_pin); }

}  // namespace trayproof::desk
