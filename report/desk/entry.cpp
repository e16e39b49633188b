// One entry of the record: what it says, its bytes, whose signature stands under it, what corrected it, its second.
#include "ledger/links/standing_event.h"
#include "ledger/links/trace.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"
#include "report/desk/frame.h"
#include "report/desk/parts.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;

Markup second_part(Asked& asked, const people::SecondAnswer& second, std::int64_t seq, const Frame& frame) {
  Markup out;
  if (second.second == people::Second::none_needed) return out;
  out.add(heading(say("desk.second-title")));
  if (second.confirmed_by) {
    out.add_text(say("desk.second-confirmed") + " ").add(entry_links({*second.confirmed_by}));
    return out;
  }
  out.add(Element("p").inside(mark("major", say("desk.awaiting-second"))).markup());
  if (asked.who.level() != Who::pin) return out.add(paragraph(say("desk.second-needs-pin"), "quiet"));
  Element form = form_to("/entry/" + std::to_string(seq) + "/countersign", frame);
  form.inside(paragraph(say("desk.second-how", {{"person", asked.who.person()}})));
  return out.add(form.inside(button(say("desk.do-countersign"))).markup());
}

// What ties to it, by the fields that name things.
Markup things_of(const std::string& kind, const json::Value& event) {
  Element list("ul");
  list.with("class", "plain");
  const events::Kind* known = events::find_kind(kind);
  if (known == nullptr) return {};
  bool any = false;
  for (const links::Mention& one : links::mentions_of(*known, event)) {
    const std::string key = "desk.kind-" + std::string(one.thing);
    list.inside(
        Element("li").text((has_word(key) ? say(key) : spelled(one.thing)) + " ").inside(thing(one.thing, one.id)));
    any = true;
  }
  return any ? list.markup() : Markup();
}

}  // namespace

Result<Response> answer_entry_page(Asked& asked) {
  const std::int64_t seq = seq_in(asked.at("seq"));
  TRY_LET(auto reader, asked.desk.record().reader());
  Ledger& ledger = reader.ledger();
  TRY_LET(const auto head, ledger.head());
  if (seq < 1 || seq > head.seq)
    return Error(ErrorCode::missing, say("desk.no-entry", {{"size", std::to_string(head.seq)}}));
  TRY_LET(const auto facility, facility_of(ledger));
  TRY_LET(const auto bytes, ledger.entry(seq));
  TRY_LET(const auto event, json::parse(bytes.bytes));
  TRY_LET(const auto second, ledger.second(seq));
  TRY_LET(const auto origin, ledger.file().origin_of(seq));
  TRY_LET(const auto corrections, ledger.file().corrections_of(origin.value_or(seq)));
  const std::string kind(event.text_at("kind").value_or(""));
  const Frame frame = frame_of(asked.who, say("desk.entry-title", {{"seq", std::to_string(seq)}}), {});
  Markup inside;
  if (!corrections.empty() && corrections.back() > seq) {
    Element replaced = Element("p").with("role", "alert");
    replaced.text(say("desk.entry-replaced") + " ").inside(entry_links({corrections.back()}));
    inside.add(replaced.markup());
  }
  inside.add(paragraph(links::sentence_of(ledger, kind, event), "lead")).add(things_of(kind, event));
  Facts facts;
  if (const auto at = parse_date_time(event.text_at("at").value_or("")))
    facts.add("desk.fact-when", time_of(facility.zone, at->instant));
  facts.add("desk.fact-by", thing("person", event.text_at("by").value_or("")));
  if (const auto recorded = parse_date_time(event.text_at("recorded").value_or("")))
    facts.add("desk.fact-recorded", time_of(facility.zone, recorded->instant));
  facts.add("desk.fact-station", event.text_at("station").value_or(""));
  TRY_LET(const auto keys, ledger.key_book());
  const people::KnownKey* key = keys.find(event.text_at("key").value_or(""));
  facts.add("desk.fact-signed", key == nullptr ? say("desk.key-unknown") : key->owner);
  if (origin && *origin != seq) facts.add("desk.fact-corrects", entry_links({*origin}));
  facts.add("desk.fact-hash", markup::element("code", hex(bytes.hash)));
  inside.add(facts.markup()).add(second_part(asked, second, seq, frame));
  Element raw("details");
  raw.inside(markup::element("summary", say("desk.entry-bytes"))).inside(markup::element("pre", bytes.bytes));
  inside.add(raw.markup());
  Element near("p");
  near.with("class", "pager");
  if (seq > 1) near.inside(link("/entry/" + std::to_string(seq - 1), say("desk.entry-before"))).text(" ");
  if (seq < head.seq) near.inside(link("/entry/" + std::to_string(seq + 1), say("desk.entry-after")));
  return page(frame, inside.add(near.markup()));
}

namespace {

// Of an erasure it destroys too, as the verb does.
Result<std::int64_t> countersign(Asked& asked, std::int64_t seq) {
  std::int64_t signed_by = 0;
  TRY(asked.desk.record().alone([&](Ledger& ledger) -> Result<void> {
    TRY_LET(signed_by, ledger.countersign(seq, asked.who.signer()));
    return {};
  }));
  return signed_by;
}

}  // namespace

Result<Response> answer_countersign_entry(Asked& asked) {
  const std::int64_t seq = seq_in(asked.at("seq"));
  TRY(countersign(asked, seq));
  return see_other("/entry/" + std::to_string(seq));
}

Result<Response> answer_api_countersign(Asked& asked) {
  const std::int64_t seq = seq_in(asked.at("seq"));
  TRY_LET(const std::int64_t signed_by, countersign(asked, seq));
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto second, reader.ledger().second(seq));
  return json_response(
      json::Value::object().set("seq", signed_by).set("of", seq).set("second", people::word(second.second)));
}

}  // namespace trayproof::desk
