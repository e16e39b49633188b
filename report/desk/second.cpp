// The second person signs on the same screen: their name and PIN open their key for this one entry, and whoever is at
// the station stays there.
#include "ledger/words/words.h"
#include "report/desk/answers.h"
#include "report/desk/parts.h"
#include "report/desk/recording.h"
#include "report/desk/sign_in.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;

Result<Response> second_page(Asked& asked, const Markup& said, int status) {
  const std::int64_t seq = seq_in(asked.at("seq"));
  TRY_LET(const auto done, done_part(asked, {.last = seq}));
  const std::string address = "/second/" + std::to_string(seq);
  const Frame frame = frame_of(asked.who, say("form.second-title"), address);
  Markup inside = said;
  inside.add(done).add(paragraph(say("form.second-how")));
  Element form = form_to(address, frame);
  form.with("class", "record");
  form.inside(
      input({.label = say("form.second-who"), .name = "person", .value = asked.form.find("person").value_or("")}));
  form.inside(input({.label = say("desk.pin"), .name = "pin", .type = "password", .autocomplete = "current-password"}));
  return page(frame, inside.add(form.inside(button(say("form.second-sign"))).markup()), status);
}

}  // namespace

Result<Response> answer_second_page(Asked& asked) { return second_page(asked, {}, 200); }

Result<Response> answer_second(Asked& asked) {
  TRY_LET(const auto opened, open_by_pin(asked));
  if (opened.signer == nullptr) return second_page(asked, alert(opened.why), opened.status);
  const std::int64_t seq = seq_in(asked.at("seq"));
  std::optional<std::string> refused;
  TRY(asked.desk.record().alone([&](Ledger& ledger) -> Result<void> {
    const auto done = ledger.countersign(seq, opened.signer);
    if (done.ok()) return {};
    if (done.error().code() != ErrorCode::invalid && done.error().code() != ErrorCode::denied) return done.error();
    refused = done.error().sentence();
    return {};
  }));
  if (refused) return second_page(asked, alert(*refused), 422);
  return see_other("/entry/" + std::to_string(seq));
}

}  // namespace trayproof::desk
