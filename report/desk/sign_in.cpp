// Becoming a station by a code; tapping a name; signing in with a PIN; going.
#include "report/desk/sign_in.h"

#include <algorithm>

#include "ledger/base/desk_limits.h"
#include "ledger/crypto/stretch.h"
#include "ledger/unlock.h"
#include "ledger/words/words.h"
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

struct Here {
  std::string id;
  std::string name;
  bool has_pin = false;
};

// Who is enrolled and has not left.
Result<std::vector<Here>> people_here(Desk& desk) {
  TRY_LET(auto reader, desk.record().reader());
  TRY_LET(const auto book, reader.ledger().key_book());
  TRY_LET(const auto roster, people::Roster::read(reader.ledger().file(), book));
  std::vector<Here> here;
  for (const people::Person& one : roster.all()) {
    if (one.left || one.enrolled == 0) continue;
    Digest stand_in{};
    std::optional<std::string> name;
    if (from_hex(one.name, stand_in)) {
      TRY_LET(name, reader.ledger().text(stand_in));
    }
    here.push_back({.id = one.id, .name = name.value_or(""), .has_pin = book.in_force(one.id, "person") != nullptr});
  }
  return here;
}

std::string shown(const Here& one) { return one.name.empty() ? one.id : one.name + " (" + one.id + ")"; }

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
  TRY_LET(const auto here, people_here(asked.desk));
  const Frame frame = frame_of(asked.who, say("desk.sign-in-title"), "/sign-in");
  Markup inside = said;
  if (here.empty()) inside.add(markup::element("p", say("desk.nobody-enrolled")));
  Element names("ul");
  names.with("class", "names");
  Element choice("select");
  choice.with("name", "person");
  for (const Here& one : here) {
    const std::string text = shown(one);
    Element form = form_to("/name", frame);
    form.inside(Element("input").with("type", "hidden").with("name", "person").with("value", one.id));
    form.inside(next_field(asked));
    names.inside(Element("li").inside(form.inside(button(text))));
    if (one.has_pin) choice.inside(Element("option").with("value", one.id).text(text));
  }
  inside.add(markup::element("p", say("desk.tap-how"))).add(names.markup());
  const bool any_pin = std::any_of(here.begin(), here.end(), [](const Here& one) { return one.has_pin; });
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
  const auto person = asked.form.filled("person");
  TRY_LET(const auto here, people_here(asked.desk));
  const bool known = std::any_of(here.begin(), here.end(), [&](const Here& one) { return one.id == person; });
  if (!known) return sign_in_page(asked, alert(say("desk.not-here")), 400);
  const std::string token =
      asked.desk.sessions().open({asked.who.station, *person, nullptr}, asked.desk.clock().seconds());
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
