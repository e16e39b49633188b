// A finding as pages show it.
#include "ledger/words/words.h"
#include "report/desk/parts.h"
#include "report/desk/subject.h"

namespace trayproof::desk {

using markup::Element;
using markup::Markup;

Markup finding_item(const gaps::Finding& finding, const Zone& zone) {
  Element item("li");
  const std::string severity(gaps::word(finding.severity));
  item.with("class", severity);
  Element what("div");
  what.with("class", "what");
  what.inside(mark(severity, say("workbook.word-" + severity))).text(" ");
  what.inside(thing(finding.subject_kind, finding.subject_id)).text(" ").inside(time_of(zone, finding.at));
  item.inside(what);
  item.inside(Element("div").with("class", "says").text(finding.says));
  Element rest("div");
  rest.with("class", "quiet");
  if (finding.state == gaps::State::open) {
    rest.text(finding.closes + " ");
  } else {
    rest.text(say("desk.finding-state", {{"state", say("workbook.word-" + std::string(gaps::word(finding.state)))}}) +
              " ");
    if (finding.answered_by) rest.inside(entry_links({*finding.answered_by})).text(" ");
    if (finding.second == people::Second::awaiting) rest.inside(mark("major", say("desk.awaiting-second"))).text(" ");
  }
  constexpr std::size_t named = 6;
  gaps::Seqs seqs = finding.seqs;
  const bool more = seqs.size() > named;
  if (more) seqs.resize(named);
  rest.inside(entry_links(seqs)).text(more ? " … " : " ");
  item.inside(rest);
  const std::string address = "/gaps/" + std::string(finding.rule->id) + "/" + encoded(finding.subject_kind) + "/" +
                              encoded(finding.subject_id) +
                              "?arose=" + encoded(format_date_time(zone.local(finding.at)));
  item.inside(Element("a")
                  .with("class", "do")
                  .with("href", address)
                  .with("aria-label", say("desk.do-answer") + ": " + finding.says)
                  .text(say("desk.do-answer")));
  return item.markup();
}

}  // namespace trayproof::desk
