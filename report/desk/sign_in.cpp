// Becoming a station by a code; tapping a name; signing in with a PIN; going.
#include "report/desk/sign_in.h"

#include <algorithm>

#include "ledger/base/desk_limits.h"
#include "ledger/crypto/stretch.h"
#include "ledger/unlock.h"
#include "ledger/words/words.h"
#include "report/asking/people_here.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"
#include "report/desk/frame.h"
#include "report/desk/parts.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;

// A cookie of a station lasts as long as browsers allow.
constexpr std::int64_t station_seconds = 400LL * 24 * 3600;

Markup next_field(const Asked& asked) {
  return Element("input").with("type", "hidden").with("name", "next").with("value", next_in(asked)).markup();
}

// Scanned instead of tapped: the same claim, and no more than that. No PIN stands in a badge.
Markup badge_form(const Asked& asked, const Frame& frame) {
  Element field = Element("input").with("type", "text").with("name", "badge").with("id", "f-badge");
  field.with("autocomplete", "off").with("autocapitalize", "off").with("spellcheck", "false").with("autofocus", "");
  field.with("data-scan", "goes");
  Element form = form_to("/name", frame);
  form.with("class", "badge").inside(next_field(asked));
  form.inside(Element("label").with("for", "f-badge").text(say("desk.badge-scan")));
  Element row("div");
  row.with("class", "scan").inside(field).inside(photo_input("badge", say("desk.badge-scan"), ""));
  return form.inside(row).inside(button(say("desk.badge-go"))).markup();
}

Result<Response> station_page(Asked& asked, const Markup& said, int status) {
  const Frame frame = frame_of(asked.who, say("desk.station-title"), "/station");
  Markup inside = said;
  if (!asked.who.station.empty()) {
    inside.add(markup::element("p", say("desk.station-is", {{"label", asked.who.station}})));
  } else {
    inside.add(markup::element("p", say("desk.station-how")));
    Element form = form_to("/station", frame);
    form.inside(input({.label = say("desk.station-code"), .name = "code"})).inside(button(say("desk.station-become")));
    inside.add(form.markup());
  }
  return page(frame, inside, status);
}

Result<Response> sign_in_page(Asked& asked, const Markup& said, int status) {
  TRY_LET(auto reader, asked.desk.record().reader());
  TRY_LET(const auto here, people_here(reader.ledger()));
  const Frame frame = frame_of(asked.who, say("desk.sign-in-title"), "/sign-in");
  Markup inside = said;
  if (here.empty()) inside.add(markup::element("p", say("desk.nobody-enrolled")));
  Element names("ul");
  names.with("class", "names");
  Element choice("select");
  choice.with("name", "person");
  for (const PersonHere& one : here) {
    const std::string text = shown(one);
    Element form = form_to("/name", frame);
    form.inside(Element("input").with("type", "hidden").with("name", "person").with("value", one.id));
    form.inside(next_field(asked));
    names.inside(Element("li").inside(form.inside(button(text))));
    if (one.has_pin) choice.inside(Element("option").with("value", one.id).text(text));
  }
  if (!here.empty()) inside.add(badge_form(asked, frame));
  inside.add(markup::element("p", say("desk.tap-how"))).add(names.markup());
  if (!here.empty()) inside.add(Element("p").inside(link("/label/badges", say("desk.badges"))).markup());
  const bool any_pin = std::any_of(here.begin(), here.end(), [](const PersonHere& one) { return one.has_pin; });
  if (any_pin) {
    inside.add(markup::element("h2", say("desk.pin-title"))).add(markup::element("p", say("desk.pin-how")));
    Element form = form_to("/sign-in", frame);
    form.inside(next_field(asked));
    form.inside(Element("label").inside(markup::element("span", say("desk.pin-who"))).inside(choice));
    form.inside(
        input({.label = say("desk.pin"), .name = "pin", .type = "password", .autocomplete = "current-password"}));
    inside.add(form.inside(button(say("desk.pin-go"))).markup());
  }
  return page(frame, inside, status);
}

Response arrived(Asked& asked, const std::string& token, std::int64_t seconds) {
  if (!asked.who.session_token.empty()) asked.desk.sessions().end(asked.who.session_token);
  Response response = see_other(next_in(asked));
  response.headers.push_back(asked.desk.cookie(session_cookie, token, seconds));
  return response;
}

}  // namespace

Result<Response> answer_station_page(Asked& asked) { return station_page(asked, {}, 200); }

Result<Response> answer_become_station(Asked& asked) {
  Desk& desk = asked.desk;
  // Behind a proxy all share one address, and one wait: a code is typed once in the life of a station.
  const std::string guess = "code " + asked.request.peer;
  if (const auto seconds = desk.throttle().wait(guess, desk.clock().seconds()); seconds > 0)
    return station_page(asked, alert(say("desk.wait", {{"seconds", std::to_string(seconds)}})), 429);
  const auto token = desk.stations().redeem(asked.form.find("code").value_or(""));
  if (!token.ok() && token.error().code() != ErrorCode::missing) return token.error();
  if (!token.ok()) {
    desk.throttle().wrong(guess, desk.clock().seconds());
    return station_page(asked, alert(token.error().sentence()), 403);
  }
  desk.throttle().right(guess);
  Response response = see_other("/sign-in");
  response.headers.push_back(desk.cookie(station_cookie, token.value(), station_seconds));
  return response;
}

Result<Response> answer_sign_in_page(Asked& asked) { return sign_in_page(asked, {}, 200); }

Result<Response> answer_tap_name(Asked& asked) {
  const std::string badge(trimmed(asked.form.find("badge").value_or("")));
  const std::string given = badge.empty() ? asked.form.filled("person").value_or("") : badge;
  std::string person;
  {
    TRY_LET(auto reader, asked.desk.record().reader());
    TRY_LET(const auto here, people_here(reader.ledger()));
    const PersonHere* found = find_person(here, given);
    if (found == nullptr) {
      const bool scanned = !badge.empty();
      return sign_in_page(asked, alert(scanned ? say("desk.badge-unknown") : say("desk.not-here")), 400);
    }
    person = found->id;
  }
  const std::string token =
      asked.desk.sessions().open({asked.who.station, person, nullptr}, asked.desk.clock().seconds());
  return arrived(asked, token, limits::desk_name_seconds);
}

Result<Opened> open_by_pin(Asked& asked) {
  Desk& desk = asked.desk;
  const std::string person = asked.form.filled("person").value_or("");
  const std::string guess = "pin " + asked.who.station + "\n" + person;
  if (const auto seconds = desk.throttle().wait(guess, desk.clock().seconds()); seconds > 0)
    return Opened{nullptr, say("desk.wait", {{"seconds", std::to_string(seconds)}}), 429};
  std::string pin(asked.form.find("pin").value_or(""));
  TRY_LET(auto reader, desk.record().reader());
  auto opened = unlock(reader.ledger(), person, pin, Waits::caller);
  crypto::forget(pin.data(), pin.size());
  if (!opened.ok()) {
    const ErrorCode code = opened.error().code();
    if (code != ErrorCode::denied && code != ErrorCode::missing) return opened.error();
    desk.throttle().wrong(guess, desk.clock().seconds());
    return Opened{nullptr, opened.error().sentence(), 403};
  }
  desk.throttle().right(guess);
  return Opened{std::move(opened).value(), {}, 200};
}

Result<Response> answer_sign_in(Asked& asked) {
  TRY_LET(const auto opened, open_by_pin(asked));
  if (opened.signer == nullptr) return sign_in_page(asked, alert(opened.why), opened.status);
  const std::string person = asked.form.filled("person").value_or("");
  const std::string token =
      asked.desk.sessions().open({asked.who.station, person, opened.signer}, asked.desk.clock().seconds());
  return arrived(asked, token, limits::desk_signed_seconds);
}

Result<Response> answer_sign_out(Asked& asked) {
  asked.desk.sessions().end(asked.who.session_token);
  Response response = see_other("/sign-in");
  response.headers.push_back(asked.desk.cookie(session_cookie, "", 0));
  return response;
}

}  // namespace trayproof::desk
