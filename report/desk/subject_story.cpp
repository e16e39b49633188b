// The entries about a thing in order of time, and what they tie it to.
#include <algorithm>

#include "ledger/base/desk_limits.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/desk/parts.h"
#include "report/desk/subject.h"

namespace trayproof::desk {

using markup::element;
using markup::Element;
using markup::Markup;

namespace {

// Who did it, and what stands behind that.
std::string doer(const links::TraceEvent& event) {
  if (event.signed_by == event.by)
    return event.signed_by_person ? say("people.by-signed", {{"by", event.by}}) : event.by;
  return event.signed_by_person ? say("people.by-entered", {{"by", event.by}, {"enterer", event.signed_by}})
                                : say("people.by-claimed", {{"by", event.by}});
}

Markup step(const links::TraceEvent& event, const Zone& zone) {
  Element item("li");
  item.inside(time_of(zone, event.at)).text(" ").inside(entry_links({event.seq}));
  item.inside(Element("div").text(event.says));
  Element by("div");
  by.with("class", "quiet").inside(Element("bdi").text(doer(event)));
  if (event.second.second == people::Second::awaiting) by.text(" ").inside(mark("major", say("desk.awaiting-second")));
  if (event.second.confirmed_by) {
    by.text(" " + say("people.second-confirmed", {{"seq", std::to_string(*event.second.confirmed_by)}}));
  }
  item.inside(by);
  if (event.theft) {
    const std::string seq = std::to_string(event.theft->told);
    item.inside(Element("div").inside(
        mark("critical", say("trace.key-stolen", {{"since", written_here(event.theft->since)}, {"seq", seq}}))));
  }
  return item.markup();
}

}  // namespace

Markup story_of(const links::Trace& trace) {
  Markup out = heading(say("desk.story-title"));
  constexpr std::size_t most = limits::desk_story_entries;
  const std::size_t from = trace.events.size() > most ? trace.events.size() - most : 0;
  if (from > 0) {
    out.add(paragraph(say("desk.story-cut", {{"count", std::to_string(from)}}), "quiet"));
    out.add(Element("p")
                .inside(link("/api/v1/trace/" + encoded(trace.kind) + "/" + encoded(trace.id), say("desk.story-all")))
                .markup());
  }
  Element list("ol");
  list.with("class", "steps");
  for (std::size_t i = from; i < trace.events.size(); ++i) list.inside(step(trace.events[i], trace.zone));
  out.add(list.markup());
  const bool claimed = std::any_of(trace.events.begin(), trace.events.end(), [](const links::TraceEvent& event) {
    return !event.signed_by_person && event.signed_by != event.by;
  });
  if (claimed) out.add(paragraph(say("people.claimed-legend"), "quiet"));
  return out;
}

Markup ties_of(const links::Trace& trace) {
  Markup out;
  if (trace.links.empty()) return out;
  out.add(heading(say("desk.ties-title")));
  Table table = Table::of({"desk.column-kind", "desk.column-thing", "desk.column-how", "desk.column-entries"});
  constexpr std::size_t most = limits::desk_story_entries;
  for (const links::TraceLink& one : trace.links) {
    if (table.size() >= most) break;
    std::vector<std::int64_t> seqs(one.seqs.begin(), one.seqs.end());
    constexpr std::size_t named = 6;
    const bool more = seqs.size() > named;
    if (more) seqs.resize(named);
    Markup entries = entry_links(seqs);
    if (more) entries.add_text(" …");
    const std::string kind = "desk.kind-" + one.kind;
    table.row({Markup::text(has_word(kind) ? say(kind) : spelled(one.kind)), thing(one.kind, one.id),
               Markup::text(links::how_in_words(one)), std::move(entries)});
  }
  if (trace.links.size() > most)
    out.add(paragraph(say("desk.ties-cut", {{"count", std::to_string(trace.links.size() - most)}}), "quiet"));
  return out.add(table.markup());
}

}  // namespace trayproof::desk
