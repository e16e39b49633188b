// The API: who is asking, and recording.
#include "ledger/base/limits.h"
#include "ledger/words/words.h"
#include "report/desk/answers.h"
#include "report/desk/desk.h"

namespace trayproof::desk {
namespace {

using json::Value;

struct GivenAll {
  std::vector<GivenEvent> events;
  OnRefusal on_refusal = OnRefusal::take_nothing;
};

// One event, or {"events":[…],"keep_good":bool}.
Result<GivenAll> given_in(const Request& request) {
  if (!request.head.header("content-type").starts_with("application/json"))
    return Error(ErrorCode::invalid, say("desk.events-type"));
  // Two levels more than an event has: the list, and what holds it.
  TRY_LET(auto body, json::parse(request.body, limits::depth + 2));
  if (!body.is_object()) return Error(ErrorCode::invalid, say("desk.events-form"));
  GivenAll given;
  Value* list = body.find("events");
  if (list == nullptr) {
    given.events.push_back({.line = 1, .event = std::move(body)});
    return given;
  }
  if (!list->is_list() || list->items().empty() || list->items().size() > limits::list_items)
    return Error(ErrorCode::invalid, say("desk.events-form"));
  if (body.bool_at("keep_good").value_or(false)) given.on_refusal = OnRefusal::keep_good;
  for (Value& one : list->items())
    given.events.push_back({.line = static_cast<std::int64_t>(given.events.size()) + 1, .event = std::move(one)});
  return given;
}

// What the desk itself asks of an event, before the ledger looks at it. A refusal is data, told beside the others.
std::vector<events::Refusal> refused_here(const std::vector<GivenEvent>& given, Kinds kinds) {
  std::vector<events::Refusal> refused;
  for (const GivenEvent& one : given) {
    const std::string kind(one.event.text_at("kind").value_or(""));
    if (!one.event.text_at("slip")) refused.push_back({one.line, "slip", say("desk.slip-needed")});
    if (kinds == Kinds::open && is_by_pin(kind))
      refused.push_back({one.line, "kind", say("desk.kind-needs-pin", {{"kind", kind}})});
  }
  return refused;
}

Value told(const Appended& done) {
  Value refused = Value::list();
  for (const events::Refusal& one : done.refusals)
    refused.push(Value::object().set("line", one.line).set("field", one.field).set("why", one.why));
  Value seqs = Value::list();
  for (const std::int64_t seq : done.seqs) seqs.push(seq);
  return Value::object()
      .set("taken", done.taken)
      .set("repeated", done.repeated)
      .set("first", done.first)
      .set("last", done.last)
      .set("refused", std::move(refused))
      .set("seqs", std::move(seqs));
}

}  // namespace

Result<Response> answer_me(Asked& asked) {
  const Identity& who = asked.who;
  Value me = Value::object().set("station", who.station).set("level", word(who.level()));
  me.set("person", who.session ? Value(who.session->person) : Value());
  if (!who.program) me.set("csrf", Desk::csrf_of(who));
  return json_response(me);
}

Result<Response> answer_events(Asked& asked) {
  TRY_LET(auto given, given_in(asked.request));
  const Kinds kinds = find_route(asked.request.head).route->kinds;
  Appended none;
  none.refusals = refused_here(given.events, kinds);
  none.seqs.assign(given.events.size(), 0);
  if (!none.refusals.empty()) return json_response(told(none), 422);
  AppendOptions options;
  options.on_refusal = given.on_refusal;
  options.same_content_repeats = false;  // every event brings its slip
  options.signer = asked.who.signer();
  if (asked.who.session) options.default_by = asked.who.session->person;
  TRY_LET(const auto done, asked.desk.record().append(std::move(given.events), options));
  return json_response(told(done), done.refusals.empty() ? 200 : 422);
}

}  // namespace trayproof::desk
