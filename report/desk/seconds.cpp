// Everything that awaits a second person, and the place to sign for it on the same screen: tick what was read, then name
// and PIN. Whoever is at the station stays there.
#include <algorithm>

#include "ledger/base/desk_limits.h"
#include "ledger/words/words.h"
#include "report/asking/people_here.h"
#include "report/desk/answers.h"
#include "report/desk/awaiting.h"
#include "report/desk/desk.h"
#include "report/desk/frame.h"
#include "report/desk/parts.h"
#include "report/desk/sign_in.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;

bool is_ticked(const Asked& asked, std::int64_t seq) {
  const auto& all = asked.form.all();
  return std::any_of(all.begin(), all.end(),
                     [&](const auto& one) { return one.first == "seq" && seq_in(one.second) == seq; });
}

Markup item_of(const Asked& asked, const Awaiting& one, const Zone& zone) {
  const std::string number = std::to_string(one.seq);
  Element box = Element("input").with("type", "checkbox").with("name", "seq").with("value", number);
  if (is_ticked(asked, one.seq)) box.with("checked", "checked");
  Element tick("label");
  tick.with("class", "choice").inside(box).inside(Element("span").text(say("desk.second-tick", {{"seq", number}})));
  Element said("div");
  said.inside(paragraph(one.says));
  Element who("p");
  who.with("class", "quiet").text(say("desk.second-by", {{"person", one.by}}) + " ").inside(time_of(zone, one.at));
  if (!one.second.empty()) who.text(" · " + say("desk.second-named", {{"second", one.second}}));
  who.text(" · ").inside(link("/entry/" + number, say("desk.second-look")));
  return Element("li").inside(said.inside(who)).inside(tick).markup();
}

Markup who_signs(const Asked& asked, const std::vector<PersonHere>& here) {
  Element choice("select");
  choice.with("name", "person");
  choice.inside(Element("option").with("value", "").text(say("form.choose")));
  for (const PersonHere& one : here) {
    if (!one.has_pin) continue;
    Element option = Element("option").with("value", one.id);
    if (asked.form.filled("person") == one.id) option.with("selected", "selected");
    choice.inside(option.text(shown(one)));
  }
  return Element("label").inside(markup::element("span", say("desk.pin-who"))).inside(choice).markup();
}

Result<Response> seconds_page(Asked& asked, const Markup& said, int status) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(auto* tables, reader.tables());
  TRY_LET(auto waiting, awaiting_second(reader.ledger(), *tables, due_since(asked.desk.clock().now()),
                                        limits::desk_awaiting));
  std::reverse(waiting.begin(), waiting.end());  // what waits longest stands first
  const Frame frame = frame_of(asked.who, say("desk.seconds-title"), "/seconds");
  Markup inside = said;
  if (waiting.empty()) return page(frame, inside.add(paragraph(say("desk.seconds-none"))), status);
  inside.add(paragraph(say("desk.seconds-how")));
  TRY_LET(const auto here, people_here(reader.ledger()));
  Element form = form_to("/seconds", frame);
  form.with("class", "seconds");
  Element list("ul");
  list.with("class", "to-sign");
  for (const Awaiting& one : waiting) list.inside(item_of(asked, one, tables->zone()));
  form.inside(list).inside(heading(say("desk.seconds-sign"))).inside(who_signs(asked, here));
  form.inside(input({.label = say("desk.pin"), .name = "pin", .type = "password", .autocomplete = "current-password"}));
  return page(frame, inside.add(form.inside(button(say("form.second-sign"))).markup()), status);
}

// What could not be signed, with its entry.
using NotSigned = std::vector<std::pair<std::int64_t, std::string>>;

Result<void> sign(Asked& asked, const std::vector<std::int64_t>& seqs,
                  const std::shared_ptr<const people::Signer>& signer, NotSigned& not_signed) {
  return asked.desk.record().alone([&](Ledger& ledger) -> Result<void> {
    for (const std::int64_t seq : seqs) {
      const auto done = ledger.countersign(seq, signer);
      if (done.ok()) continue;
      const ErrorCode code = done.error().code();
      if (code != ErrorCode::invalid && code != ErrorCode::denied && code != ErrorCode::missing) return done.error();
      not_signed.emplace_back(seq, done.error().sentence());
    }
    return {};
  });
}

}  // namespace

Result<Response> answer_seconds_page(Asked& asked) {
  const std::int64_t count = seq_in(asked.query.find("signed").value_or(""));
  Markup said;
  if (count > 0)
    said = Element("p").with("role", "status").with("class", "done").text(
        say("desk.seconds-signed", {{"count", std::to_string(count)}})).markup();
  return seconds_page(asked, said, 200);
}

Result<Response> answer_seconds(Asked& asked) {
  std::vector<std::int64_t> seqs;
  for (const auto& [name, value] : asked.form.all()) {
    const std::int64_t seq = name == "seq" ? seq_in(value) : 0;
    if (seq > 0 && std::find(seqs.begin(), seqs.end(), seq) == seqs.end()) seqs.push_back(seq);
  }
  if (seqs.empty() || seqs.size() > limits::desk_seconds_at_once) {
    const std::string most = std::to_string(limits::desk_seconds_at_once);
    return seconds_page(asked, alert(say("desk.seconds-tick-first", {{"most", most}})), 422);
  }
  TRY_LET(const auto opened, open_by_pin(asked));
  if (opened.signer == nullptr) return seconds_page(asked, alert(opened.why), opened.status);
  NotSigned not_signed;
  TRY(sign(asked, seqs, opened.signer, not_signed));
  if (not_signed.empty()) return see_other("/seconds?signed=" + std::to_string(seqs.size()));
  Element list("ul");
  for (const auto& [seq, why] : not_signed) {
    const std::string number = std::to_string(seq);
    list.inside(Element("li")
                    .inside(link("/entry/" + number, say("desk.entry-title", {{"seq", number}})))
                    .text(": " + why));
  }
  const std::string signed_count = std::to_string(seqs.size() - not_signed.size());
  const Markup said = Element("div")
                          .with("role", "alert")
                          .inside(paragraph(say("desk.seconds-not-signed", {{"count", signed_count}})))
                          .inside(list)
                          .markup();
  return seconds_page(asked, said, 422);
}

}  // namespace trayproof::desk
