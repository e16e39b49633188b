// Recording by forms: which kinds there are, the form of each, taking what it gives.
#include "report/desk/recording.h"

#include <algorithm>

#include "ledger/base/desk_limits.h"
#include "ledger/links/trace.h"
#include "ledger/words/words.h"
#include "report/desk/answers.h"
#include "report/desk/parts.h"
#include "report/desk/scanned.h"
#include "report/desk/several.h"
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

// What a form came to: events that the ledger is asked to take, or what is wrong already.
struct Taken {
  std::vector<GivenEvent> events;
  Packs packs;  // of several
  events::Refusals refused;
};

// Numbers of labels become packs first: the form shows them so if it comes back.
Result<Taken> events_in(Asked& asked, const events::Kind& kind) {
  Taken out;
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(auto read, read_scanned(*tables, kind, asked.form));
  asked.form = std::move(read.fields);
  out.refused = std::move(read.refused);
  const Instant now = asked.desk.clock().now();
  if (is_several(kind, asked.form)) out.packs = packs_in(asked.form, "pack");
  if (out.packs.packs.size() > limits::desk_packs_at_once) {
    out.refused.push_back({0, "pack",
                           say("form.too-many-packs", {{"found", std::to_string(out.packs.packs.size())},
                                                       {"most", std::to_string(limits::desk_packs_at_once)}})});
  }
  if (!out.refused.empty()) return out;
  if (!out.packs.packs.empty()) {
    TRY_LET(out.events, events_of_several(reader, kind, asked.form, now));
    return out;
  }
  Value event = event_of(kind, asked.form, tables->zone(), now);
  if (!asked.form.filled("at") && !asked.form.filled("typed")) TRY(keep_time(reader, event));
  for (const events::Field& field : kind.fields) {
    if (field.type != events::Type::id_list) continue;
    for (std::string& pack : packs_in(asked.form, field.name).twice) out.packs.twice.push_back(std::move(pack));
  }
  out.events.push_back({.line = 0, .event = std::move(event)});
  return out;
}

// The form again, with what was just recorded above it.
std::string address_after(const events::Kind& kind, const Taken& taken, const Appended& done) {
  std::string address = address_of_form(kind.name) + "?after=" + std::to_string(done.last);
  if (!taken.packs.packs.empty()) address += "&count=" + std::to_string(done.seqs.size());
  for (std::size_t i = 0; i < taken.packs.twice.size() && i < limits::desk_told_twice; ++i)
    address += "&twice=" + encoded(taken.packs.twice[i]);
  return address;
}

Result<Response> take(Asked& asked, Kinds kinds) {
  TRY_LET(const auto* kind, kind_asked(asked));
  if (kinds == Kinds::open && is_by_pin(kind->name))
    return Error(ErrorCode::denied, say("desk.kind-needs-pin", {{"kind", title_of(kind->name)}}));
  TRY_LET(auto taken, events_in(asked, *kind));
  Appended done;
  if (taken.refused.empty()) {
    TRY_LET(done, append_asked(asked, std::move(taken.events)));
    auto told = with_commas_told(std::move(done.refusals), *kind, asked.form);
    taken.refused = taken.packs.packs.empty() ? std::move(told) : with_packs(told, taken.packs.packs);
  }
  const bool program = wants_json(asked.request);
  if (!taken.refused.empty()) {
    if (program) return json_response(Value::object().set("refused", refusals_json(taken.refused)), 422);
    return form_page(asked,
                     {.kind = *kind,
                      .values = asked.form,
                      .refused = std::move(taken.refused),
                      .several = is_several(*kind, asked.form)},
                     422);
  }
  const std::string after = address_after(*kind, taken, done);
  if (program)
    return json_response(Value::object().set("seq", done.last).set("repeated", done.repeated > 0).set("next", after));
  return see_other(after);
}

// What `after`, `count` and `twice` of a query tell of.
JustNow just_now(const Fields& query) {
  JustNow done{.last = seq_in(query.find("after").value_or(""))};
  const std::int64_t count = seq_in(query.find("count").value_or(""));
  const auto most = static_cast<std::int64_t>(limits::desk_packs_at_once);
  done.count = std::clamp<std::int64_t>(count, 1, std::min(most, std::max<std::int64_t>(1, done.last)));
  for (const auto& [name, value] : query.all()) {
    if (name == "twice" && done.twice.size() < limits::desk_told_twice) done.twice.push_back(value);
  }
  return done;
}

// The packs of several entries that were recorded together, each a way to its own; empty when they were not.
Result<Markup> packs_recorded(Ledger& ledger, std::string_view kind, const JustNow& done) {
  Element list("ul");
  list.with("class", "plain");
  std::int64_t found = 0;
  TRY(ledger.scan(done.last - done.count + 1, done.last, [&](const store::EntryView& entry) -> Result<void> {
    TRY_LET(const auto event, json::parse(entry.bytes));
    const auto pack = event.text_at("pack");
    if (!pack || event.text_at("kind") != kind) return {};
    Element way = Element("a").with("href", "/entry/" + std::to_string(entry.seq));
    list.inside(Element("li").inside(way.inside(Element("bdi").with("class", "id").text(*pack))));
    ++found;
    return {};
  }));
  return found == done.count ? list.markup() : Markup();
}

}  // namespace

Result<Appended> append_asked(Asked& asked, std::vector<GivenEvent> events) {
  for (const GivenEvent& one : events) {
    if (!one.event.text_at("slip")) return Error(ErrorCode::invalid, say("desk.slip-needed"));
  }
  AppendOptions options;
  options.same_content_repeats = false;  // the form brings its slip
  options.signer = asked.who.signer();
  options.default_by = asked.who.person();
  return asked.desk.record().append(std::move(events), options);
}

Result<const events::Kind*> kind_asked(const Asked& asked) {
  const events::Kind* kind = events::find_kind(asked.at("kind"));
  if (kind == nullptr || !kind->recordable() || has_own_page(kind->name))
    return Error(ErrorCode::missing, say("form.no-kind", {{"found", asked.at("kind")}}));
  return kind;
}

Result<Markup> done_part(Asked& asked, const JustNow& done) {
  const std::int64_t seq = done.last;
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto entry, reader.ledger().entry(seq));
  TRY_LET(const auto event, json::parse(entry.bytes));
  const std::string kind(event.text_at("kind").value_or(""));
  const std::string number = std::to_string(seq);
  const std::string first = std::to_string(seq - done.count + 1);
  Markup several;
  if (done.count > 1) {
    TRY_LET(several, packs_recorded(reader.ledger(), kind, done));
  }
  Element ways("p");
  ways.with("class", "doings");
  const auto way = [&](std::string_view address, std::string_view key) {
    ways.inside(Element("a").with("class", "do").with("href", address).text(say(key)));
  };
  const bool labelled = kind == "packed" || kind == "pack-received";
  if (several.empty()) way("/correct/" + number, "form.correct");
  if (!several.empty() && labelled) way("/label/entries/" + first + "/" + number, "form.labels");
  if (const auto pack = event.text_at("pack"); pack && labelled && several.empty())
    way("/label/pack/" + encoded(*pack), "form.label");
  if (const auto load = event.text_at("load"); load && kind.starts_with("load-"))
    way(address_of("load", *load), "form.see-load");
  TRY_LET(const auto second, reader.ledger().second(seq));
  if (second.second == people::Second::awaiting) way("/second/" + number, "form.second-now");
  Element said("section");
  said.with("class", "done").with("role", "status");
  if (several.empty()) {
    said.inside(element("p", say("form.done", {{"seq", number}})));
    said.inside(Element("p").with("class", "lead").text(links::sentence_of(reader.ledger(), kind, event)));
    if (const Value* packs = event.find("packs"); packs != nullptr && packs->is_list())
      said.inside(element("p", say("form.done-packs", {{"count", std::to_string(packs->items().size())}})));
  } else {
    const std::string count = std::to_string(done.count);
    const std::string what = say("form.done-several", {{"count", count}, {"first", first}, {"last", number}});
    said.inside(Element("p").with("class", "lead").text(title_of(kind) + ": " + what)).inside(several);
    said.inside(paragraph(say("form.correct-each"), "quiet"));
  }
  if (!done.twice.empty()) said.inside(alert(say("form.given-twice", {{"packs", listed(done.twice)}})));
  said.inside(element("p", say("form.done-by", {{"person", event.text_at("by").value_or("")}})));
  return said.inside(ways).markup();
}

// Behind the button that records, so that Enter is that one's.
Markup photos_without_script(const events::Kind& kind) {
  Element read("button");
  read.with("type", "submit")
      .with("class", "second")
      .with("formaction", "/code")
      .with("formenctype", "multipart/form-data");
  read.with("formnovalidate", "").with("name", "photo-form").with("value", kind.name).text(say("form.photo-read"));
  return Element("noscript").inside(read).markup();
}

// From one pack to several at once, and back.
Markup way_to_several(const FormPage& form) {
  const std::string address = address_of_form(form.kind.name);
  return Element("p")
      .inside(form.several ? link(address, say("form.one-pack")) : link(address + "?several=yes", say("form.several")))
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
  const KindForm shown{
      .kind = form.kind, .values = form.values, .refused = form.refused, .known = known, .several = form.several};
  const Frame frame = frame_of(asked.who, title_of(form.kind.name), address);
  Markup inside;
  if (form.after.last > 0) {
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
  if (takes_several(form.kind)) inside.add(way_to_several(form));
  Element fields = form_to(pin ? "/sign/" + std::string(form.kind.name) : address, frame, Records::yes);
  fields.with("class", "record");
  if (!pin) {
    fields.with("data-queue", title_of(form.kind.name)).with("data-person", asked.who.person());
    fields.with("data-now", format_recorded(asked.desk.clock().now()));
  }
  fields.inside(fields_of(shown));
  inside.add(fields.inside(button(say("form.record"))).inside(photos_without_script(form.kind)).markup());
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
  JustNow after = just_now(asked.query);
  Fields values = asked.query;
  if (after.last > 0) {
    TRY_LET(values, values_after(asked, *kind, after.last));
  }
  const bool several = takes_several(*kind) && (asked.query.filled("several") || asked.query.filled("count"));
  return form_page(
      asked,
      {.kind = *kind, .values = std::move(values), .refused = {}, .after = std::move(after), .several = several});
}

Result<Response> answer_record(Asked& asked) { return take(asked, Kinds::open); }

Result<Response> answer_sign(Asked& asked) { return take(asked, Kinds::by_pin); }

}  // namespace trayproof::desk
