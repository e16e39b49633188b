// key retire, key rotate: ends of keys.
#include "ledger/persons.h"
#include "ledger/words/words.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using json::Value;

Result<DateTime> since_of(const Context& context, const Ledger& ledger, const std::optional<std::string>& since) {
  TRY_LET(const auto facility, facility_of(ledger));
  if (!since) return facility.zone.local(context.clock.now());
  const auto moment = parse_moment(*since, facility.zone, DateMeans::start);
  if (!moment) return Error(ErrorCode::invalid, say("command.moment", {{"option", "--since"}, {"found", *since}}));
  // A wrong year would take the warning from all that the key signs until then.
  if (*moment > context.clock.now()) {
    return Error(ErrorCode::invalid,
                 say("people.since-future", {{"found", *since}, {"now", format_recorded(context.clock.now())}}));
  }
  return facility.zone.local(*moment);
}

// A theft without its time would let everything that the key ever signed stand, or none of it.
Result<void> check_cause(const std::string& cause, const std::optional<std::string>& since) {
  const events::Field* field = events::find_kind("key-retired")->field("cause");
  std::string choices;
  for (const std::string_view one : field->choices) {
    if (one == cause) {
      if (cause == "stolen" && !since) return Error(ErrorCode::invalid, say("people.stolen-since"));
      return {};
    }
    choices += (choices.empty() ? "" : ", ") + std::string(one);
  }
  return Error(ErrorCode::invalid, say("people.cause", {{"found", cause}, {"choices", choices}}));
}

// A whole key, or the beginning of just one.
Result<const people::KnownKey*> key_named(const people::KeyBook& book, const std::string& named) {
  constexpr std::size_t digits_min = 8;
  const people::KnownKey* found = nullptr;
  for (const people::KnownKey& one : book.all()) {
    if (one.public_key == named) return &one;
    if (named.size() < digits_min || !one.public_key.starts_with(named)) continue;
    if (found != nullptr) return Error(ErrorCode::invalid, say("people.two-keys", {{"key", named}}));
    found = &one;
  }
  if (found == nullptr) return Error(ErrorCode::missing, say("people.no-such-key", {{"key", named}}));
  return found;
}

Result<Status> retire(const Context& context, const KeyRetireOptions& options, Ledger& ledger) {
  TRY(check_cause(options.cause, options.since));
  TRY_LET(const auto book, ledger.key_book());
  TRY_LET(const people::KnownKey* key, key_named(book, options.key));
  const bool own = ledger.signer() && key->is_person() && key->owner == ledger.signer()->person;
  if (!own) TRY(ledger.may(people::Right::retire_key, ledger.signer()));
  TRY_LET(const auto since, since_of(context, ledger, options.since));
  TRY_LET(
      const auto seq,
      retire_key(ledger,
                 {.public_key = key->public_key, .cause = options.cause, .since = since, .signer = ledger.signer()}));
  if (context.json) {
    context.print(Value::object().set("key", key->public_key).set("owner", key->owner).set("seq", seq));
    return Status::done;
  }
  context.line(
      say("people.key-retired", {{"owner", key->owner}, {"cause", options.cause}, {"seq", std::to_string(seq)}}));
  if (key->is_person()) context.tell(say("people.key-retired-next", {{"person", key->owner}}));
  return Status::done;
}

Result<Status> rotate(const Context& context, const KeyRotateOptions& options, Ledger& ledger) {
  TRY(check_cause(options.cause, options.since));
  if (options.which != "station" && options.which != "ledger")
    return context.misused(say("people.rotate-which", {{"found", options.which}}));
  TRY(ledger.may(people::Right::retire_key, ledger.signer()));
  TRY_LET(const auto since, since_of(context, ledger, options.since));
  const bool station = options.which == "station";
  TRY_LET(const auto key, rotate_key(ledger, {.which = station ? OwnKey::station : OwnKey::ledger,
                                              .cause = options.cause,
                                              .since = since,
                                              .signer = ledger.signer()}));
  if (context.json) {
    context.print(
        Value::object().set("key", key).set("sort", options.which).set("vkey", log::vkey(ledger.ledger_key())));
    return Status::done;
  }
  context.line(say("people.rotated", {{"sort", options.which}, {"key", key}}));
  context.line(say(station ? "people.rotated-station" : "people.rotated-ledger",
                   {{"vkey", log::vkey(ledger.ledger_key())}, {"path", people::key_path(ledger.path())}}));
  return Status::done;
}

Status finished(const Context& context, const Result<Status>& done) {
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace

Status key_retire(const Context& context, const KeyRetireOptions& options) {
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  return finished(context, retire(context, options, ledger.value()));
}

Status key_rotate(const Context& context, const KeyRotateOptions& options) {
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  return finished(context, rotate(context, options, ledger.value()));
}

}  // namespace trayproof::command
