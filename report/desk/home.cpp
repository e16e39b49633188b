// The first page, and what was recorded last.
#include "ledger/base/desk_limits.h"
#include "ledger/links/trace.h"
#include "ledger/recall/exposure.h"
#include "ledger/words/words.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"
#include "report/desk/frame.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;

Markup heads(std::initializer_list<std::string_view> keys) {
  Element row("tr");
  for (const std::string_view key : keys) row.inside(Element("th").with("scope", "col").text(say(key)));
  return Element("thead").inside(row).markup();
}

// One entry as a row: when, what, who, and where it stands.
Markup row_of(const Ledger& ledger, const Zone& zone, std::int64_t seq, const json::Value& event) {
  Element row("tr");
  const auto at = parse_date_time(event.text_at("at").value_or(""));
  const std::string kind(event.text_at("kind").value_or(""));
  Element time("time");
  if (at) time.with("datetime", format_date_time({at->instant, 0})).text(format_date_time(zone.local(at->instant)));
  row.inside(Element("td").with("class", "number").text(std::to_string(seq)));
  row.inside(Element("td").inside(time));
  row.inside(Element("td").text(links::sentence_of(ledger, kind, event)));
  row.inside(Element("td").text(event.text_at("by").value_or("")));
  return row.markup();
}

Result<Markup> last_entries(Record::Reader& reader, const Zone& zone, std::int64_t count) {
  TRY_LET(const auto head, reader.ledger().head());
  std::vector<Markup> rows;
  const std::int64_t from = std::max<std::int64_t>(1, head.seq - count + 1);
  TRY(reader.ledger().scan(from, head.seq, [&](const store::EntryView& entry) -> Result<void> {
    TRY_LET(const auto event, json::parse(entry.bytes));
    rows.push_back(row_of(reader.ledger(), zone, entry.seq, event));
    return {};
  }));
  Element body("tbody");
  for (auto row = rows.rbegin(); row != rows.rend(); ++row) body.inside(*row);
  Element table("table");
  table.inside(heads({"desk.column-seq", "desk.column-at", "desk.column-what", "desk.column-by"})).inside(body);
  return Element("div").with("class", "scroll").with("tabindex", "0").inside(table).markup();
}

Markup exposure_table(const recall::Exposure& found) {
  Element body("tbody");
  for (const recall::Exposed& one : found.sterilizers) {
    Element row("tr");
    row.inside(Element("td").text(one.equipment));
    row.inside(Element("td").text(one.last_valid_negative
                                      ? format_date_time(found.zone.local(one.last_valid_negative->at))
                                      : say("desk.no-valid-negative")));
    for (const std::int64_t count : {one.loads, one.packs, one.procedures})
      row.inside(Element("td").with("class", "number").text(std::to_string(count)));
    body.inside(row);
  }
  Element table("table");
  table.inside(heads({"desk.column-sterilizer", "desk.column-negative", "desk.column-loads", "desk.column-packs",
                      "desk.column-procedures"}));
  return Element("div").with("class", "scroll").with("tabindex", "0").inside(table.inside(body)).markup();
}

}  // namespace

Result<Response> answer_home_page(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto editions, reader.ledger().editions());
  Markup inside;
  TRY_LET(const auto found, recall::exposure(*tables, editions));
  if (!found.sterilizers.empty()) {
    inside.add(markup::element("h2", say("desk.exposure-title"))).add(markup::element("p", say("desk.exposure-how")));
    inside.add(exposure_table(found));
  }
  inside.add(markup::element("h2", say("desk.recent-title")));
  constexpr std::int64_t few = 10;
  TRY_LET(const auto last, last_entries(reader, tables->zone(), few));
  return page(frame_of(asked.who, say("desk.home-title"), "/"), inside.add(last));
}

Result<Response> answer_recent_page(Asked& asked) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto last, last_entries(reader, tables->zone(), limits::desk_rows_shown));
  return page(frame_of(asked.who, say("desk.recent-title"), "/recent"), last);
}

}  // namespace trayproof::desk
