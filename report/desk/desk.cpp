#include "report/desk/desk.h"

#include <unistd.h>

#include <algorithm>

#include "ledger/base/desk_limits.h"
#include "ledger/crypto/hash.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"
#include "report/desk/frame.h"
#include "report/desk/parts.h"

namespace trayproof::desk {
namespace {

constexpr std::int64_t unknown_bytes_max = 64 * 1024;  // what a browser that is no station may send

std::int64_t bytes_of(Takes takes) {
  switch (takes) {
    case Takes::nothing:
      return 0;
    case Takes::form:
      return limits::desk_form_bytes;
    case Takes::events:
      return limits::desk_events_bytes;
    case Takes::upload:
      return limits::desk_upload_bytes;
    case Takes::photo:
      return static_cast<std::int64_t>(limits::photo_bytes + limits::photo_form_bytes);
  }
  return 0;
}

std::string machine_name() {
  char name[256] = "";
  if (::gethostname(name, sizeof name - 1) != 0) return {};
  std::string lower(name);
  std::transform(lower.begin(), lower.end(), lower.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  return lower;
}

std::string_view without_port(std::string_view host) {
  if (host.starts_with('[')) return host.substr(0, host.find(']') + 1);
  return host.substr(0, host.find(':'));
}

// An address in numbers is no name that a stranger's site could point here.
bool is_numeric(std::string_view host) {
  return host.starts_with('[') || (!host.empty() && host.find_first_not_of("0123456789.") == std::string_view::npos);
}

std::string_view cookie_of(const Head& head, std::string_view name) {
  std::string_view all = head.header("cookie");
  while (!all.empty()) {
    const std::size_t end = all.find(';');
    std::string_view one = all.substr(0, end);
    all.remove_prefix(end == std::string_view::npos ? all.size() : end + 1);
    while (one.starts_with(' ')) one.remove_prefix(1);
    if (one.size() > name.size() && one.starts_with(name) && one[name.size()] == '=')
      return one.substr(name.size() + 1);
  }
  return {};
}

std::string cookie_name(std::string_view name, bool secure) { return (secure ? "__Host-" : "") + std::string(name); }

std::string_view bearer_of(const Head& head) {
  constexpr std::string_view scheme = "Bearer ";
  const std::string_view given = head.header("authorization");
  return given.starts_with(scheme) ? given.substr(scheme.size()) : std::string_view();
}

bool is_form(const Head& head) { return head.header("content-type").starts_with("application/x-www-form-urlencoded"); }

// Every answer that is not an asset: nothing of it stays on a shared machine.
void put_guards(Response& response) {
  auto& headers = response.headers;
  headers.reserve(headers.size() + 7);
  headers.emplace_back("Content-Security-Policy",
                       "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
                       "connect-src 'self'; manifest-src 'self'; form-action 'self'; frame-ancestors 'none'; "
                       "base-uri 'none'");
  headers.emplace_back("X-Content-Type-Options", "nosniff");
  // With "no-referrer" browsers send forms with the origin "null", which says nothing.
  headers.emplace_back("Referrer-Policy", "same-origin");
  headers.emplace_back("Cross-Origin-Opener-Policy", "same-origin");
  headers.emplace_back("Cross-Origin-Resource-Policy", "same-origin");
  headers.emplace_back("Permissions-Policy", "geolocation=(), microphone=(), payment=()");
  const bool cached =
      std::any_of(headers.begin(), headers.end(), [](const auto& one) { return one.first == "Cache-Control"; });
  if (!cached) headers.emplace_back("Cache-Control", "no-store");
}

std::string_view word(ErrorCode code) {
  switch (code) {
    case ErrorCode::invalid:
      return "invalid";
    case ErrorCode::missing:
      return "missing";
    case ErrorCode::conflict:
      return "conflict";
    case ErrorCode::denied:
      return "denied";
    case ErrorCode::corrupt:
      return "corrupt";
    case ErrorCode::unavailable:
      return "unavailable";
    case ErrorCode::uncertain:
      return "uncertain";
  }
  return {};
}

// The path alone, as an address of this desk: a query may hold what somebody typed in the wrong place.
std::string local_path(const Head& head) {
  std::string path;
  for (const std::string& segment : head.segments) path += "/" + encoded(segment);
  return path.empty() ? "/" : path;
}

Refusal why_nothing(const Place& place) { return place.other_method ? Refusal::other_method : Refusal::no_route; }

bool is_api(const Head& head) { return !head.segments.empty() && head.segments.front() == "api"; }

}  // namespace

Desk::Desk(std::unique_ptr<Record> record, Clock& clock, Premises premises, std::function<void(std::string_view)> log)
    : record_(std::move(record)),
      clock_(clock),
      premises_(std::move(premises)),
      log_(std::move(log)),
      stations_(stations_path(record_->path()), clock),
      own_name_(machine_name()) {}

bool Desk::is_known_host(std::string_view host) const {
  const std::string_view name = without_port(host);
  if (is_numeric(name) || name == "localhost" || name == own_name_) return true;
  if (name.ends_with(".local") && name.substr(0, name.size() - 6) == own_name_) return true;
  return std::find(premises_.hosts.begin(), premises_.hosts.end(), name) != premises_.hosts.end();
}

std::variant<Application::Admission, Refusal> Desk::admit(const Head& head, std::string_view) const {
  if (!is_known_host(head.host)) return Refusal::host;
  const Place place = find_route(head);
  if (place.route == nullptr) {
    // Who looks gets a page, in their language and with ways on from it; what was sent to such a place is not read.
    if (head.method != "POST" && head.body_bytes == 0) return Admission{.body_bytes_max = 0, .lane = Lane::quick};
    return why_nothing(place);
  }
  if (head.body_bytes > unknown_bytes_max) {
    const std::string_view bearer = bearer_of(head);
    const std::string_view token =
        bearer.empty() ? cookie_of(head, cookie_name(station_cookie, premises_.secure)) : bearer;
    if (!stations_.label_of(token)) return Refusal::station_first;
  }
  return Admission{.body_bytes_max = bytes_of(place.route->takes), .lane = place.route->lane};
}

Identity Desk::identity_of(const Request& request) {
  Identity who;
  const std::string_view bearer = bearer_of(request.head);
  const bool secure = premises_.secure;
  who.program = !bearer.empty();
  who.station_token = who.program ? bearer : cookie_of(request.head, cookie_name(station_cookie, secure));
  if (who.station_token.empty()) return who;
  who.station = stations_.label_of(who.station_token).value_or("");
  if (who.station.empty()) return who;
  who.session_token = cookie_of(request.head, cookie_name(session_cookie, secure));
  if (who.session_token.empty()) return who;
  who.session = sessions_.find(who.session_token, clock_.seconds());
  // A session belongs to the browser where it began.
  if (who.session && who.session->station != who.station) who.session.reset();
  return who;
}

std::string Desk::csrf_of(const Identity& who) {
  const std::string& secret = who.session ? who.session_token : who.station_token;
  return hex(crypto::sha256({as_bytes("trayproof/form/1\n"), as_bytes(secret)}));
}

// Browsers say by themselves which site a request comes from; besides, it must know what only our pages know.
bool Desk::comes_from_here(const Asked& asked) const {
  const Head& head = asked.request.head;
  const std::string_view site = head.header("sec-fetch-site");
  if (!site.empty() && site != "same-origin" && site != "none") return false;
  const std::string_view origin = head.header("origin");
  if (!origin.empty()) {
    const std::size_t slashes = origin.find("://");
    if (slashes == std::string_view::npos || origin.substr(slashes + 3) != head.host) return false;
  }
  if (asked.who.program || asked.who.station.empty()) return true;
  const std::string_view by_header = head.header("x-csrf-token");
  const std::string_view given = by_header.empty() ? asked.form.find("csrf").value_or("") : by_header;
  return given == csrf_of(asked.who);
}

// What the row of the table asks for and this identity does not have.
Result<Response> Desk::refusal_of(const Asked& asked, const Route& route) {
  const Head& head = asked.request.head;
  const Who level = asked.who.level();
  if (level < route.who) {
    const std::string_view key = route.who == Who::pin       ? "desk.needs-pin"
                                 : asked.who.station.empty() ? "desk.needs-station"
                                                             : "desk.needs-name";
    const int status = asked.who.station.empty() ? 401 : 403;
    if (is_api(head)) return json_response(problem(word(route.who), say(key)), status);
    if (head.method == "POST") return page_of_error(*this, asked.request, asked.who, status, say(key));
    if (asked.who.station.empty()) return see_other("/station");
    return see_other("/sign-in?next=" + encoded(local_path(head)));
  }
  if (route.right) {
    TRY_LET(auto reader, record_->reader());
    TRY(reader.ledger().may(*route.right, asked.who.signer()));
  }
  if (route.method == "POST" && !comes_from_here(asked))
    return page_of_error(*this, asked.request, asked.who, 403, say("desk.form-not-ours"));
  return Response{.status = 0};
}

Response Desk::answer_to(const Request& request) {
  const Identity who = identity_of(request);
  Place place = find_route(request.head);
  if (place.route == nullptr) {
    const Refusal why = why_nothing(place);
    Response nothing = page_of_error(*this, request, who, desk::status_of(why), word(why));
    if (place.other_method) nothing.headers.emplace_back("Allow", "POST");
    return nothing;
  }
  auto query = Fields::read(request.head.query);
  auto form = is_form(request.head) ? Fields::read(request.body) : Fields::of_parts(request.parts);
  if (!query || !form) return page_of_error(*this, request, who, 400, say("desk.refused-form"));
  Asked asked{.desk = *this,
              .request = request,
              .who = who,
              .query = std::move(*query),
              .form = std::move(*form),
              .places = std::move(place.places)};
  auto refused = refusal_of(asked, *place.route);
  if (refused.ok() && refused.value().status != 0) return std::move(refused).value();
  Result<Response> answer = refused.ok() ? place.route->answer(asked) : std::move(refused);
  if (answer.ok()) return std::move(answer).value();
  const Error& error = answer.error();
  const int status = status_of(error.code());
  if (status >= 500) log(say("desk.log-error", {{"route", place.route->pattern}, {"why", error.sentence()}}));
  if (is_api(request.head)) return json_response(problem(word(error.code()), error.sentence()), status);
  return page_of_error(*this, request, who, status, error.sentence());
}

// Programs get English; a browser what was chosen for it, else what the program speaks.
Language Desk::language_for(const Head& head) const {
  if (is_api(head)) return Language::english;
  return language_of(cookie_of(head, cookie_name(language_cookie, premises_.secure))).value_or(language());
}

Response Desk::answer(const Request& request) {
  const Speaking speaking(language_for(request.head));
  Response response = answer_to(request);
  put_guards(response);
  return response;
}

// No address and no header of the request: they may hold what somebody typed in the wrong place.
void Desk::failed(const Request& request, std::string_view what) {
  const Place place = find_route(request.head);
  log(say("desk.log-failed", {{"route", place.route == nullptr ? "-" : place.route->pattern}, {"why", what}}));
}

Result<std::shared_ptr<const markup::Markup>> Desk::same_for_all(
    const Asked& asked, const std::function<Result<markup::Markup>(Record::Reader&)>& make) {
  std::string address(facts_of(language()).tag);
  address += "\n";
  for (const std::string& segment : asked.request.head.segments) address += segment + "\n";
  address += "?" + asked.request.head.query;
  const double now_s = clock_.seconds();
  TRY_LET(const auto glance, record_->state_at_a_glance());
  if (auto kept = kept_pages_.find(address, glance, now_s)) return kept;
  // Asked before the page is made: what is recorded meanwhile makes it anew the next time. And not taken from the
  // glance, which may be of a commit that never becomes whole.
  TRY_LET(const auto state, record_->state());
  TRY_LET(auto reader, record_->reader());
  TRY_LET(auto made, make(reader));
  auto inside = std::make_shared<const markup::Markup>(std::move(made));
  kept_pages_.keep(address, state, now_s, inside);
  return inside;
}

std::pair<std::string, std::string> Desk::cookie(std::string_view name, std::string_view value,
                                                 std::int64_t seconds) const {
  std::string text = cookie_name(name, premises_.secure) + "=" + std::string(value) +
                     "; Path=/; HttpOnly; SameSite=Strict; Max-Age=" + std::to_string(value.empty() ? 0 : seconds);
  if (premises_.secure) text += "; Secure";
  return {"Set-Cookie", std::move(text)};
}

Response json_response(const json::Value& value, int status) {
  return {.status = status, .type = "application/json", .body = json::plain(value) + "\n"};
}

Response see_other(std::string_view address) {
  return {.status = 303, .headers = {{"Location", std::string(address)}}};
}

std::string next_in(const Asked& asked) {
  const auto in_form = asked.form.filled("next");
  const std::string next = in_form ? *in_form : asked.query.filled("next").value_or("/");
  constexpr std::string_view plain = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-._~/%?=&";
  const bool here =
      next.starts_with('/') && !next.starts_with("//") && next.find_first_not_of(plain) == std::string::npos;
  return here ? next : "/";
}

int status_of(ErrorCode code) {
  switch (code) {
    case ErrorCode::invalid:
      return 400;
    case ErrorCode::missing:
      return 404;
    case ErrorCode::conflict:
      return 409;
    case ErrorCode::denied:
      return 403;
    case ErrorCode::unavailable:
      return 503;
    case ErrorCode::corrupt:
    case ErrorCode::uncertain:
      return 500;
  }
  return 500;
}

json::Value problem(std::string_view code, std::string_view sentence) {
  return json::Value::object().set("error", json::Value::object().set("code", code).set("says", sentence));
}

}  // namespace trayproof::desk
