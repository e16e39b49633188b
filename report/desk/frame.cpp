#include "report/desk/frame.h"

#include <vector>

#include "ledger/crypto/random.h"
#include "ledger/version.h"
#include "ledger/words/language.h"
#include "ledger/words/words.h"
#include "report/desk/desk.h"
#include "report/desk/per_language.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;

// The head behind its title.
Markup sources() {
  Markup out = Element("link").with("rel", "icon").with("href", "data:,").markup();
  out.add(Element("link").with("rel", "stylesheet").with("href", "/assets/desk.css").markup());
  out.add(Element("script").with("src", "/assets/keys.js").with("defer", "").markup());
  return out.add(Element("script").with("src", "/assets/desk.js").with("defer", "").markup());
}

Element head_of(const Frame& frame) {
  static const Markup rest = sources();
  Element head("head");
  head.inside(Element("meta").with("charset", "utf-8"));
  head.inside(Element("meta").with("name", "viewport").with("content", "width=device-width, initial-scale=1"));
  head.inside(Element("title").text(frame.title).text(" · ").text(say("desk.program")));
  head.inside(rest);
  return head;
}

struct Way {
  std::string_view address;
  std::string_view key;
};
constexpr Way all_ways[] = {
    {"/", "desk.way-home"},
    {"/record", "form.title"},
    {"/recalls", "desk.way-recalls"},
    {"/gaps", "desk.way-gaps"},
    {"/questions", "desk.way-questions"},
    {"/import", "desk.way-import"},
    {"/ledger", "desk.way-ledger"},
};

enum class Current { no, yes };
Markup way_to(const Way& way, Current current) {
  Element link = Element("a").with("href", way.address).text(say(way.key));
  if (current == Current::yes) link.with("aria-current", "page");
  return Element("li").inside(link).markup();
}

std::vector<Markup> ways_elsewhere() {
  std::vector<Markup> out;
  for (const Way& way : all_ways) out.push_back(way_to(way, Current::no));
  return out;
}

Element ways(const Frame& frame) {
  static PerLanguage<std::vector<Markup>> elsewhere(ways_elsewhere);
  const std::vector<Markup>& others = elsewhere.now();
  Element list("ul");
  for (std::size_t i = 0; i < others.size(); ++i) {
    if (frame.here == all_ways[i].address) {
      list.inside(way_to(all_ways[i], Current::yes));
    } else {
      list.inside(others[i]);
    }
  }
  return Element("nav").with("aria-label", say("desk.ways")).inside(list);
}

Element who_is_here(const Frame& frame) {
  Element place("div");
  place.with("class", "here");
  if (frame.person.empty()) return place.inside(Element("a").with("href", "/sign-in").text(say("desk.nobody-here")));
  const std::string_view key = frame.with_pin ? "desk.here-with-pin" : "desk.here-by-name";
  place.inside(markup::element("span", say(key, {{"person", frame.person}})));
  place.inside(form_to("/sign-out", frame).inside(button(say("desk.sign-out"))));
  return place;
}

Markup search_field() {
  Element field = Element("input").with("type", "search").with("name", "q").with("id", "find");
  field.with("aria-label", say("desk.find-label")).with("placeholder", say("desk.find-label"));
  field.with("autocomplete", "off").with("autocapitalize", "off").with("spellcheck", "false").with("accesskey", "f");
  field.with("dir", "auto").with("data-scan", "goes");
  return field.markup().add(button(say("desk.find-go")));
}

// Anything that carries an id, typed or scanned. By POST: it may be a patient's number.
Element search(const Frame& frame) {
  static PerLanguage<Markup> field(search_field);
  return form_to("/find", frame).with("role", "search").inside(field.now());
}

// Each in itself, so that whoever was given a wrong one finds theirs.
Markup names_of_other_languages() {
  Markup out;
  for (const LanguageFacts& one : languages()) {
    if (one.language == language() || one.language == Language::mirrored) continue;
    Element name = Element("button").with("class", "second").with("name", "language").with("value", one.tag);
    out.add(name.with("lang", one.tag).text(one.name).markup());
  }
  return out;
}

Element other_languages(const Frame& frame) {
  static PerLanguage<Markup> names(names_of_other_languages);
  Element form = form_to("/language", frame);
  form.with("class", "languages").with("aria-label", say("desk.languages"));
  const std::string_view next = frame.here.empty() ? "/" : std::string_view(frame.here);
  form.inside(Element("input").with("type", "hidden").with("name", "next").with("value", next));
  return form.inside(names.now());
}

// Where desk.js tells of entries that wait in this browser; what it says is the catalogue's.
Markup waiting_place() {
  Element place("div");
  place.with("id", "waiting").with("role", "status").with("hidden", "");
  place.with("data-one", say("form.waiting-one")).with("data-many", say("form.waiting-many", {{"count", "{count}"}}));
  place.with("data-kept", say("form.waiting-kept")).with("data-number", say("form.waiting-number"));
  place.with("data-refused", say("form.waiting-refused")).with("data-name", say("form.waiting-name"));
  place.with("data-try", say("form.waiting-try")).with("data-mend", say("form.waiting-mend"));
  place.with("data-drop", say("form.waiting-drop")).with("data-dropped", say("form.waiting-dropped"));
  place.with("data-sent", say("form.waiting-sent", {{"seq", "{seq}"}}));
  place.with("data-scanned", say("form.scanned", {{"count", "{count}"}}));
  place.with("data-scanned-none", say("form.scanned-none"));
  place.with("data-scanned-twice", say("form.scanned-twice", {{"pack", "{pack}"}}));
  place.with("data-scanned-out", say("form.scanned-out", {{"pack", "{pack}"}})).with("data-add", say("form.scan-add"));
  place.with("data-photo-reading", say("form.photo-reading")).with("data-photo-failed", say("form.photo-failed"));
  place.with("data-camera", say("form.camera")).with("data-camera-none", say("form.camera-none"));
  return place.markup();
}

Markup beginning_of_top() {
  Markup out = Element("a").with("class", "skip").with("href", "#main").text(say("desk.skip")).markup();
  return out.add(Element("a").with("class", "name").with("href", "/").text(say("desk.program")).markup());
}

// That this program replaces nobody, and that nobody reviewed its translation.
Markup notices() {
  Markup out = markup::element("p", say("caution.scope"));
  if (const std::string notice = unreviewed_notice(); !notice.empty()) out.add(markup::element("p", notice));
  return out;
}

}  // namespace

Frame frame_of(const Identity& who, std::string title, std::string_view here) {
  return {.title = std::move(title),
          .station = who.station,
          .person = who.person(),
          .with_pin = who.signer() != nullptr,
          .csrf = who.station.empty() ? std::string() : Desk::csrf_of(who),
          .here = std::string(here)};
}

Response page(const Frame& frame, const Markup& inside, int status) {
  static PerLanguage<Markup> beginning(beginning_of_top);
  static PerLanguage<Markup> waiting(waiting_place);
  static PerLanguage<Markup> notice(notices);
  Element top("header");
  top.inside(beginning.now());
  if (!frame.station.empty()) top.inside(search(frame)).inside(who_is_here(frame)).inside(ways(frame));
  Element foot("footer");
  foot.inside(notice.now());
  if (!frame.station.empty()) foot.inside(other_languages(frame));
  const LanguageFacts& spoken = facts_of(language());
  // Written from the first byte to the last where it stays: what stands inside is copied once, not at every element
  // around it.
  constexpr std::size_t frame_bytes = 8 * 1024;  // in English six; where it is more, the text grows
  Markup whole;
  whole.reserve(inside.bytes().size() + frame_bytes);
  whole.add(Markup::as_written("<!doctype html>\n<html lang=\"")).add_text(spoken.tag);
  whole.add(Markup::as_written("\" dir=\"")).add_text(spoken.right_to_left ? "rtl" : "ltr");
  whole.add(Markup::as_written("\">")).add(head_of(frame).markup());
  whole.add(Markup::as_written("<body>")).add(top.markup());
  whole.add(Markup::as_written("<main id=\"main\">")).add(markup::element("h1", frame.title));
  whole.add(waiting.now()).add(inside);
  whole.add(Markup::as_written("</main>")).add(foot.markup());
  whole.add(Markup::as_written("</body></html>"));
  return {.status = status, .type = "text/html; charset=utf-8", .body = std::move(whole).bytes()};
}

Response page_of_error(Desk&, const Request& request, const Identity& who, int status, std::string_view sentence) {
  if (!request.head.segments.empty() && request.head.segments.front() == "api")
    return json_response(problem("refused", sentence), status);
  const Markup inside = Element("p").with("role", "alert").text(sentence).markup();
  return page(frame_of(who, say("desk.error-title"), {}), inside, status);
}

markup::Element form_to(std::string_view address, const Frame& frame, Records records) {
  Element form = Element("form").with("method", "post").with("action", address);
  form.inside(Element("input").with("type", "hidden").with("name", "csrf").with("value", frame.csrf));
  if (records == Records::yes) {
    const std::string slip = hex(crypto::random_bytes<16>());
    form.inside(Element("input").with("type", "hidden").with("name", "slip").with("value", slip));
  }
  return form;
}

Markup button(std::string_view text) { return Element("button").with("type", "submit").text(text).markup(); }

Markup input(const Input& input) {
  Element field = Element("input").with("name", input.name).with("type", input.type);
  field.with("autocomplete", input.autocomplete);
  if (!input.value.empty()) field.with("value", input.value);
  return Element("label").inside(markup::element("span", input.label)).inside(field).markup();
}

}  // namespace trayproof::desk
