// person enrol, pin, leave, list; countersign.
#include <algorithm>

#include "ledger/crypto/stretch.h"
#include "ledger/people/pin.h"
#include "ledger/persons.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/command/erased.h"
#include "report/command/pins.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using json::Value;

Value list_of(const std::vector<std::string>& words) {
  Value list = Value::list();
  for (const std::string& word : words) list.push(word);
  return list;
}

// "nurse,steward" and several --role are the same.
json::List roles_of(const std::vector<std::string>& given) {
  json::List roles;
  for (std::string_view rest : given) {
    while (!rest.empty()) {
      const std::size_t comma = rest.find(',');
      if (comma != 0) roles.emplace_back(rest.substr(0, comma));
      rest.remove_prefix(comma == std::string_view::npos ? rest.size() : comma + 1);
    }
  }
  return roles;
}

Result<Status> enrol(const Context& context, const PersonEnrolOptions& options, Ledger& ledger) {
  TRY(ledger.may(people::Right::enrol, ledger.signer()));
  TRY_LET(const auto facility, facility_of(ledger));
  Value event = Value::object();
  event.set("kind", "person-enrolled").set("at", format_date_time(facility.zone.local(context.clock.now())));
  event.set("by", ledger.actor()).set("person", options.person).set("name", options.name);
  event.set("roles", roles_of(options.roles));
  AppendOptions append;
  append.same_content_repeats = false;
  TRY_LET(const auto done, ledger.append({{0, std::move(event)}}, append));
  if (!done.refusals.empty()) {
    const events::Refusal& first = done.refusals.front();
    return Error(ErrorCode::invalid, say("command.refused-field", {{"field", first.field}, {"why", first.why}}));
  }
  TRY_LET(const auto roster, ledger.roster());
  const people::Person* person = roster.find(options.person);
  CHECK(person != nullptr);
  if (context.json) {
    context.print(Value::object().set("person", person->id).set("roles", list_of(person->roles)).set("seq", done.last));
    return Status::done;
  }
  context.line(say("people.enrolled", {{"person", person->id},
                                       {"name", options.name},
                                       {"roles", listed(person->roles)},
                                       {"seq", std::to_string(done.last)}}));
  context.tell(say("people.enrolled-next", {{"person", person->id}}));
  return Status::done;
}

// Oneself with the PIN before; somebody with the right; the station while nobody else could do it.
Result<void> may_give_pin(const Ledger& ledger, const std::string& person) {
  if (ledger.signer() && ledger.signer()->person == person) return {};
  TRY_LET(const auto roster, ledger.roster());
  auto able = roster.who_may(people::Right::enrol);
  std::erase(able, person);
  if (!ledger.signer() && able.empty()) return {};
  return ledger.may(people::Right::enrol, ledger.signer());
}

Result<Status> give_pin(const Context& context, const std::string& id, Ledger& ledger) {
  TRY_LET(const auto roster, ledger.roster());
  const people::Person* person = roster.find(id);
  if (person == nullptr || person->enrolled == 0)
    return Error(ErrorCode::missing, say("people.not-enrolled", {{"person", id}}));
  if (person->left || person->trusted_left) return Error(ErrorCode::denied, say("people.has-left", {{"person", id}}));
  TRY(may_give_pin(ledger, id));
  TRY_LET(const auto before, ledger.key_book());
  const bool renewed = before.in_force(id, "person") != nullptr;
  TRY_LET(auto pin, read_new_pin(id, context.pin_fd));
  const auto given = give_key(ledger, {.person = id, .pin = pin, .signer = ledger.signer()});
  crypto::forget(pin.data(), pin.size());
  if (!given.ok()) return given.error();
  TRY_LET(const auto book, ledger.key_book());
  const people::KnownKey* key = book.in_force(id, "person");
  CHECK(key != nullptr);
  if (context.json) {
    context.print(Value::object().set("person", id).set("key", key->public_key).set("seq", key->added));
    return Status::done;
  }
  context.line(say(renewed ? "people.pin-renewed" : "people.pin-given",
                   {{"person", id}, {"key", key->public_key}, {"seq", std::to_string(key->added)}}));
  if (!ledger.signer()) context.tell(say("people.pin-by-station"));
  return Status::done;
}

Result<Status> end_enrolment(const Context& context, const PersonLeaveOptions& options, Ledger& ledger) {
  TRY(ledger.may(people::Right::enrol, ledger.signer()));
  TRY_LET(const auto roster, ledger.roster());
  if (roster.find(options.person) == nullptr)
    return Error(ErrorCode::missing, say("people.not-enrolled", {{"person", options.person}}));
  TRY_LET(const auto facility, facility_of(ledger));
  DateTime at = facility.zone.local(context.clock.now());
  if (options.at) {
    const auto moment = parse_moment(*options.at, facility.zone, DateMeans::start);
    if (!moment) return context.misused(say("command.moment", {{"option", "--at"}, {"found", *options.at}}));
    at = facility.zone.local(*moment);
  }
  TRY_LET(const auto seq, leave(ledger, {.person = options.person, .at = at, .signer = ledger.signer()}));
  if (context.json)
    context.print(Value::object().set("person", options.person).set("seq", seq));
  else
    context.line(say("people.left", {{"person", options.person}, {"seq", std::to_string(seq)}}));
  return Status::done;
}

// What can be told of a person's key in one word.
std::string key_state(const people::KeyBook& book, const std::string& person) {
  if (book.in_force(person, "person") != nullptr) return "in-force";
  const people::KnownKey* last = nullptr;
  for (const people::KnownKey& key : book.all()) {
    if (key.is_person() && key.owner == person) last = &key;
  }
  return last == nullptr ? "none" : last->retired->cause;
}

Result<Status> list_persons(const Context& context, Ledger& ledger) {
  TRY_LET(const auto roster, ledger.roster());
  TRY_LET(const auto book, ledger.key_book());
  TRY_LET(const auto facility, facility_of(ledger));
  Value persons = Value::list();
  for (const people::Person& one : roster.all()) {
    Digest stand_in{};
    std::optional<std::string> name;
    if (from_hex(one.name, stand_in)) {
      TRY_LET(name, ledger.text(stand_in));
    }
    Value person = Value::object();
    person.set("person", one.id).set("name", name ? Value(*name) : Value()).set("roles", list_of(one.roles));
    person.set("rights_of", list_of(one.trusted_roles)).set("key", key_state(book, one.id));
    if (const people::KnownKey* key = book.in_force(one.id, "person")) {
      person.set("public", key->public_key).set("since", format_date_time(facility.zone.local(key->added_at)));
    }
    if (one.left) person.set("left", format_date_time(*one.left));
    persons.push(std::move(person));
  }
  if (context.json) {
    context.print(Value::object().set("persons", std::move(persons)));
    return Status::done;
  }
  for (std::size_t i = 0; i < persons.items().size(); ++i) {
    const people::Person& one = roster.all()[i];
    const Value& person = persons.items()[i];
    const std::string state = "people.key-" + std::string(*person.text_at("key"));
    context.line(
        say("people.line", {{"person", one.id},
                            {"name", person.text_at("name").value_or(say("people.name-removed"))},
                            {"roles", listed(one.roles)},
                            {"key", say(state, {{"since", written_here(person.text_at("since").value_or(""))}})}}));
    if (one.left) context.line(say("people.line-left", {{"at", time_here(*one.left)}}));
    if (!one.left && one.trusted_roles != one.roles)
      context.line(say("people.line-untrusted", {{"roles", listed(one.trusted_roles)}}));
  }
  if (roster.all().empty()) context.line(say("people.none"));
  return Status::done;
}

Status finished(const Context& context, const Result<Status>& done) {
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace

Status person_enrol(const Context& context, const PersonEnrolOptions& options) {
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  return finished(context, enrol(context, options, ledger.value()));
}

Status person_pin(const Context& context, const std::string& person) {
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  return finished(context, give_pin(context, person, ledger.value()));
}

Status person_leave(const Context& context, const PersonLeaveOptions& options) {
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  return finished(context, end_enrolment(context, options, ledger.value()));
}

Status person_list(const Context& context) {
  auto ledger = context.open(store::Access::read);
  if (!ledger.ok()) return context.fail(ledger.error());
  return finished(context, list_persons(context, ledger.value()));
}

namespace {

// The seq of the countersignature and, of an erasure, what was destroyed and where copies still hold it.
Result<Status> sign_too(const Context& context, std::int64_t seq, Ledger& ledger) {
  TRY_LET(const auto signed_by, ledger.countersign(seq, ledger.signer()));
  TRY_LET(const auto second, ledger.second(seq));
  std::optional<StillHolding> holding;
  TRY_LET(const auto requests, erasure_requests(ledger));
  for (const ErasureRequest& request : requests) {
    if (request.seq != seq) continue;
    TRY_LET(holding, what_still_holds(ledger, request));
  }
  if (context.json) {
    Value document = Value::object().set("seq", signed_by).set("of", seq).set("second", people::word(second.second));
    if (holding) put_into(document.set("destroyed", true), *holding);
    context.print(document);
    return Status::done;
  }
  context.line(say("people.countersigned",
                   {{"person", *context.as}, {"of", std::to_string(seq)}, {"seq", std::to_string(signed_by)}}));
  if (holding) {
    context.line(say("erase.destroyed"));
    print(context, *holding);
  }
  return Status::done;
}

}  // namespace

Status countersign(const Context& context, std::int64_t seq) {
  if (!context.as) return context.misused(say("people.countersign-as"));
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  return finished(context, sign_too(context, seq, ledger.value()));
}

}  // namespace trayproof::command
