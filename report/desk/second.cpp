// The second person signs on the same screen: their name and PIN open their key for this one entry, and whoever is at
// the station stays there.
#include <algorithm>

#include "ledger/crypto/stretch.h"
#include "ledger/unlock.h"
#include "ledger/words/words.h"
#include "report/desk/answers.h"
#include "report/desk/parts.h"
#include "report/desk/recording.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;

Result<Response> second_page(Asked& asked, const Markup& said, int status) {
  const std::int64_t seq = seq_in(asked.at("seq"));
  TRY_LET(const auto done, done_part(asked, seq));
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
  Desk& desk = asked.desk;
  const std::string person = asked.form.filled("person").value_or("");
  const std::string guess = "pin " + asked.who.station + "\n" + person;
  if (const auto seconds = desk.throttle().wait(guess, desk.clock().seconds()); seconds > 0)
    return second_page(asked, alert(say("desk.wait", {{"seconds", std::to_string(seconds)}})), 429);
  std::string pin(asked.form.find("pin").value_or(""));
  std::shared_ptr<const people::Signer> signer;
  {
    TRY_LET(auto reader, desk.record().reader());
    auto opened = unlock(reader.ledger(), person, pin, Waits::caller);
    crypto::forget(pin.data(), pin.size());
    if (!opened.ok()) {
      const ErrorCode code = opened.error().code();
      if (code != ErrorCode::denied && code != ErrorCode::missing) return opened.error();
      desk.throttle().wrong(guess, desk.clock().seconds());
      return second_page(asked, alert(opened.error().sentence()), 403);
    }
    signer = std::move(opened).value();
  }
  desk.throttle().right(guess);
  const std::int64_t seq = seq_in(asked.at("seq"));
  std::optional<std::string> refused;
  TRY(desk.record().alone([&](Ledger& ledger) -> Result<void> {
    const auto done = ledger.countersign(seq, signer);
    if (done.ok()) return {};
    if (done.error().code() != ErrorCode::invalid && done.error().code() != ErrorCode::denied) return done.error();
    refused = done.error().sentence();
    return {};
  }));
  if (refused) return second_page(asked, alert(*refused), 422);
  return see_other("/entry/" + std::to_string(seq));
}

}  // namespace trayproof::desk
