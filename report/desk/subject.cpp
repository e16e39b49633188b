// The page about one thing: what the record says of it, how it ties to others both ways, what is missing, and every
// entry about it.
#include "report/desk/subject.h"

#include "ledger/words/words.h"
#include "report/desk/answers.h"
#include "report/desk/chain.h"
#include "report/desk/desk.h"
#include "report/desk/frame.h"
#include "report/desk/parts.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;

Result<Markup> chain_part(const Subject& subject) {
  Markup out;
  TRY_LET(const Chain chain, chain_of(subject.tables, subject.kind, subject.id));
  if (chain.rows.empty()) return out;
  out.add(heading(say("desk.chain-title"))).add(drawing_of(chain));
  if (chain.cut) out.add(paragraph(say("desk.chain-cut", {{"count", std::to_string(chain.rows.size())}}), "quiet"));
  Element list("details");
  list.inside(markup::element("summary", say("desk.chain-list"))).inside(table_of(chain));
  return out.add(list.markup());
}

Markup gaps_part(const Subject& subject, const GapsAsOf* known) {
  Markup out;
  if (known == nullptr) return out;
  Element list("ul");
  list.with("class", "findings");
  std::size_t count = 0;
  for (const gaps::Finding& one : known->findings.gaps) {
    if (one.subject_kind != subject.kind || one.subject_id != subject.id) continue;
    list.inside(finding_item(one, known->findings.zone));
    ++count;
  }
  out.add(heading(say("desk.subject-gaps")));
  const std::string state = std::to_string(known->known_at);
  if (count == 0) return out.add(paragraph(say("desk.subject-no-gaps", {{"known_at", state}})));
  return out.add(list.markup());
}

// Whether a label can be made: of this pack, or of one that this load holds.
Result<bool> can_be_labelled(const Subject& subject) {
  bool any = false;
  TRY_LET(auto* rows, subject.tables.statements().at(
                          subject.kind == "pack"
                              ? "SELECT 1 FROM packs WHERE pack = ?1 AND packed_seq IS NOT NULL"
                              : "SELECT 1 FROM load_packs l JOIN packs p ON p.pack = l.pack WHERE l.load = ?1 AND "
                                "p.packed_seq IS NOT NULL LIMIT 1"));
  rows->bind(1, subject.id);
  TRY(links::first_row(*rows, [&](store::Statement&) { any = true; }));
  return any;
}

// What can be done from here.
Result<Markup> doings(const Subject& subject) {
  Element list("p");
  list.with("class", "doings");
  const auto doing = [&](const std::string& address, std::string_view key) {
    list.inside(Element("a").with("class", "button").with("href", address).text(say(key)));
  };
  const std::string id = encoded(subject.id);
  bool labels = false;
  if (subject.kind == "pack" || subject.kind == "load") {
    TRY_LET(labels, can_be_labelled(subject));
  }
  if (subject.kind == "load") {
    bool decided = false;
    TRY_LET(auto* load, subject.tables.statements().at("SELECT decision IS NOT NULL FROM loads WHERE load = ?1"));
    load->bind(1, subject.id);
    TRY(links::first_row(*load, [&](store::Statement& row) { decided = row.integer(0) == 1; }));
    if (!decided) doing("/record/load-released?load=" + id, "desk.do-release");
    if (!decided) doing("/record/load-rejected?load=" + id, "desk.do-reject");
    doing("/recalls/new?because=load-failed&load=" + id, "desk.do-recall");
  }
  if (subject.kind == "pack") {
    doing("/record/pack-issued?pack=" + id, "desk.do-issue");
    doing("/recalls/new?because=chosen&packs=" + id, "desk.do-recall");
  }
  if (labels) doing("/label/" + subject.kind + "/" + id, subject.kind == "pack" ? "form.label" : "form.labels");
  if (subject.kind == "solution") {
    doing("/record/solution-tested?solution=" + id, "desk.do-test");
    doing("/record/solution-discarded?solution=" + id, "desk.do-discard");
    doing("/recalls/new?because=solution-weak&solution=" + id, "desk.do-recall");
  }
  if (subject.kind == "person") doing("/label/badge/" + id, "desk.do-badge");
  if (subject.kind == "lot") doing("/recalls/new?because=lot-withdrawn&lot=" + id, "desk.do-recall");
  if (subject.kind == "procedure") doing("/recalls/new?because=index-patient&procedure=" + id, "desk.do-recall");
  return list.markup();
}

Result<Markup> all_about(Asked& asked, Record::Reader& reader) {
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(const auto editions, reader.ledger().editions());
  const std::string& kind = asked.request.head.segments.front();
  const Subject subject{reader.ledger(), *tables, editions, kind, asked.at("id")};
  TRY_LET(const auto trace, links::trace(*tables, kind, subject.id));
  TRY_LET(const auto known, asked.desk.gaps().at_hand(reader, asked.desk.clock()));
  TRY_LET(auto inside, doings(subject));
  TRY_LET(const auto facts, facts_of(subject));
  inside.add(facts);
  if (kind == "load") {
    TRY_LET(const auto parts, load_parts(subject));
    inside.add(parts);
  }
  TRY_LET(const auto chain, chain_part(subject));
  inside.add(chain).add(gaps_part(subject, known.get())).add(story_of(trace)).add(ties_of(trace));
  return inside;
}

}  // namespace

Result<Response> answer_subject_page(Asked& asked) {
  const std::string kind = say("desk.kind-" + asked.request.head.segments.front());
  const std::string title = say("desk.subject-title", {{"kind", kind}, {"id", asked.at("id")}});
  TRY_LET(const auto inside,
          asked.desk.same_for_all(asked, [&](Record::Reader& reader) { return all_about(asked, reader); }));
  return page(frame_of(asked.who, title, {}), *inside);
}

}  // namespace trayproof::desk
