// The first page: what is due, what would be reached, and what was recorded last.
#include <algorithm>
#include <array>

#include "ledger/base/desk_limits.h"
#include "ledger/links/trace.h"
#include "ledger/recall/exposure.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"
#include "report/desk/due.h"
#include "report/desk/exposed.h"
#include "report/desk/frame.h"
#include "report/desk/parts.h"
#include "report/desk/subject.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;

// One entry as a row: when, what, who, and where it stands.
void put_row(Table& table, const Ledger& ledger, const Zone& zone, std::int64_t seq, const json::Value& event) {
  const auto at = parse_date_time(event.text_at("at").value_or(""));
  const std::string kind(event.text_at("kind").value_or(""));
  table.row({link("/entry/" + std::to_string(seq), std::to_string(seq)), at ? time_of(zone, at->instant) : Markup(),
             Element("span").with("class", "says").text(links::sentence_of(ledger, kind, event)).markup(),
             thing("person", event.text_at("by").value_or(""))});
}

Result<Markup> last_entries(Record::Reader& reader, const Zone& zone, std::int64_t count) {
  TRY_LET(const auto head, reader.ledger().head());
  std::vector<std::pair<std::int64_t, json::Value>> entries;
  const std::int64_t from = std::max<std::int64_t>(1, head.seq - count + 1);
  TRY(reader.ledger().scan(from, head.seq, [&](const store::EntryView& entry) -> Result<void> {
    TRY_LET(auto event, json::parse(entry.bytes));
    entries.emplace_back(entry.seq, std::move(event));
    return {};
  }));
  Table table(
      {{say("desk.column-seq"), true}, {say("desk.column-at")}, {say("desk.column-what")}, {say("desk.column-by")}});
  for (auto one = entries.rbegin(); one != entries.rend(); ++one)
    put_row(table, reader.ledger(), zone, one->first, one->second);
  return table.markup();
}

Markup line_of(const DueLine& line, const Zone& zone) {
  Element item("li");
  if (line.late) item.with("class", "late");
  Markup name = line.kind == "entry" ? link(line.address, say("desk.entry-title", {{"seq", line.id}}))
                                     : thing(line.kind, line.id);
  item.inside(Element("div").with("class", "what").inside(name).text(" ").inside(time_of(zone, line.at)));
  item.inside(Element("div").with("class", "says").text(line.says));
  // Named again for who hears one link after the other.
  item.inside(Element("a")
                  .with("class", "do")
                  .with("href", line.address)
                  .with("aria-label", say(line.doing) + ": " + line.id)
                  .text(say(line.doing)));
  return item.markup();
}

Markup group_of(const DueGroup& group, const Zone& zone) {
  const std::string name(group.name);
  const std::string count = std::to_string(group.lines.size() + group.more);
  Element section("section");
  section.with("class", "due").with("aria-labelledby", "due-" + name);
  section.inside(Element("h2")
                     .with("id", "due-" + name)
                     .text(say("desk.due-" + name))
                     .text(" ")
                     .inside(Element("span").with("class", "count").text(count)));
  Element list("ul");
  for (const DueLine& line : group.lines) list.inside(line_of(line, zone));
  section.inside(list);
  if (group.more > 0) section.inside(paragraph(say("desk.due-more", {{"count", std::to_string(group.more)}}), "quiet"));
  if (!group.all.empty() && !group.lines.empty())
    section.inside(Element("p").inside(link(group.all, say("desk.due-all-" + name))));
  return section.markup();
}

// What arose since the day began and nobody answered.
Markup gaps_today(const GapsAsOf* known, Instant now) {
  Element section("section");
  section.with("class", "due").with("aria-labelledby", "due-gaps");
  Element head("h2");
  head.with("id", "due-gaps").text(say("desk.due-gaps"));
  if (known == nullptr) {
    section.inside(head).inside(Element("p").inside(link("/gaps", say("desk.gaps-ask"))));
    return section.markup();
  }
  const Zone& zone = known->findings.zone;
  const CivilDate today = zone.civil(now).date;
  Element list("ul");
  list.with("class", "findings");
  std::size_t count = 0;
  std::array<std::size_t, 4> open{};
  std::vector<const gaps::Finding*> of_today;
  for (const gaps::Finding& one : known->findings.gaps) {
    if (!one.is_open()) continue;
    ++open[static_cast<std::size_t>(one.severity)];
    if (zone.civil(one.at).date == today) of_today.push_back(&one);
  }
  std::stable_sort(of_today.begin(), of_today.end(),
                   [](const gaps::Finding* a, const gaps::Finding* b) { return a->severity < b->severity; });
  for (const gaps::Finding* one : of_today) {
    if (++count <= limits::desk_due_lines) list.inside(finding_item(*one, zone));
  }
  head.text(" ").inside(Element("span").with("class", "count").text(std::to_string(count)));
  section.inside(head);
  section.inside(count == 0 ? paragraph(say("desk.gaps-none-today"), "quiet") : list.markup());
  Element all("p");
  all.inside(link("/gaps", say("desk.gaps-open", {{"critical", std::to_string(open[0])},
                                                  {"major", std::to_string(open[1])},
                                                  {"minor", std::to_string(open[2])}})));
  section.inside(all);
  return section.markup();
}

}  // namespace

Markup exposure_table(const recall::Exposure& found) {
  Table table({{say("desk.column-sterilizer")},
               {say("desk.column-negative")},
               {say("desk.column-loads"), true},
               {say("desk.column-packs"), true},
               {say("desk.column-procedures"), true},
               {say("desk.column-patients"), true}});
  for (const recall::Exposed& one : found.sterilizers) {
    Markup negative = Markup::text(say("desk.no-valid-negative"));
    if (one.last_valid_negative) {
      negative = time_of(found.zone, one.last_valid_negative->at);
      if (one.last_valid_negative->load) negative.add_text(", ").add(thing("load", *one.last_valid_negative->load));
    }
    const auto number = [](std::int64_t count) { return Markup::text(std::to_string(count)); };
    table.row({thing("equipment", one.equipment), negative, number(one.loads), number(one.packs),
               number(one.procedures), number(one.patients)});
  }
  return table.markup();
}

namespace {

Result<Markup> what_is_due(Asked& asked, Record::Reader& reader) {
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto editions, reader.ledger().editions());
  TRY_LET(const auto facility, facility_of(reader.ledger()));
  const Instant now = asked.desk.clock().now();
  TRY_LET(const auto due, due_now(reader.ledger(), *tables, editions, now));
  TRY_LET(const auto known, asked.desk.gaps().at_hand(reader, asked.desk.clock()));
  Markup inside = paragraph(say("desk.home-as-of", {{"facility", facility.title},
                                                    {"at", short_time(tables->zone(), now)},
                                                    {"known_at", std::to_string(tables->known_at())}}),
                            "as-of");
  Element groups("div");
  groups.with("class", "groups");
  std::vector<std::string> nothing;
  for (const DueGroup& one : due) {
    if (one.lines.empty())
      nothing.push_back(say("desk.due-" + std::string(one.name)));
    else
      groups.inside(group_of(one, tables->zone()));
  }
  groups.inside(gaps_today(known.get(), now));
  inside.add(groups.markup());
  if (!nothing.empty()) inside.add(paragraph(say("desk.due-nothing", {{"groups", listed(nothing)}}), "quiet"));
  TRY_LET(const auto found, recall::exposure(*tables, editions));
  if (!found.sterilizers.empty()) {
    inside.add(heading(say("desk.exposure-title"))).add(paragraph(say("desk.exposure-how")));
    inside.add(exposure_table(found));
  }
  inside.add(heading(say("desk.recent-title")));
  constexpr std::int64_t few = 10;
  TRY_LET(const auto last, last_entries(reader, tables->zone(), few));
  inside.add(last).add(Element("p").inside(link("/recent", say("desk.recent-more"))).markup());
  return inside;
}

}  // namespace

Result<Response> answer_home_page(Asked& asked) {
  TRY_LET(const auto inside,
          asked.desk.same_for_all(asked, [&](Record::Reader& reader) { return what_is_due(asked, reader); }));
  return page(frame_of(asked.who, say("desk.home-title"), "/"), *inside);
}

Result<Response> answer_recent_page(Asked& asked) {
  TRY_LET(const auto inside, asked.desk.same_for_all(asked, [](Record::Reader& reader) -> Result<Markup> {
    TRY_LET(auto* tables, reader.tables());
    return last_entries(reader, tables->zone(), limits::desk_rows_shown);
  }));
  return page(frame_of(asked.who, say("desk.recent-title"), "/recent"), *inside);
}

}  // namespace trayproof::desk
