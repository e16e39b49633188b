#include "report/command/sop.h"

#include <algorithm>

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/base/number.h"
#include "ledger/sop/compare.h"
#include "ledger/sop/stated.h"
#include "ledger/words/words.h"
#include "report/command/editions.h"
#include "report/command/layout.h"
#include "report/command/period.h"
#include "report/command/table.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using json::Value;

// The text of an edition with what it is called.
struct Edition {
  std::string toml;
  std::string title;
  std::string edition;
  bool confirmed = false;
  std::int64_t seq = 0;  // of its sop-adopted; 0 of a file
};

Result<Edition> edition_of_file(const std::string& file) {
  TRY_LET(const auto bytes, read_file(file, limits::toml_bytes));
  Edition out{.toml = std::string(as_text(bytes)), .title = {}, .edition = {}};
  const auto sop = sop::read(out.toml);
  if (!sop.ok()) return Error(sop.error()).during(file);
  TRY_LET(const auto stated, sop::stated(out.toml));
  if (stated.empty()) return Error(ErrorCode::invalid, say("sop.states-nothing")).during(file);
  out.title = sop.value().title;
  out.edition = sop.value().edition;
  out.confirmed = sop.value().confirmed;
  return out;
}

Result<Edition> edition_in_force(const Ledger& ledger, Instant now) {
  TRY_LET(const auto editions, ledger.editions());
  const sop::Edition* found = editions.at(now);
  if (found == nullptr) return Error(ErrorCode::missing, say("review.no-edition"));
  TRY_LET(std::string toml, toml_of(ledger, found->seq));
  return Edition{.toml = std::move(toml),
                 .title = found->sop.title,
                 .edition = found->sop.edition,
                 .confirmed = found->sop.confirmed,
                 .seq = found->seq};
}

Value named(const Edition& one) {
  return Value::object().set("title", one.title).set("edition", one.edition).set("confirmed", one.confirmed);
}

Value comparison_json(const Edition& before, const Edition& after, const sop::Comparison& comparison) {
  Value changes = Value::list();
  std::size_t counts[3] = {};
  for (const sop::Change& one : comparison.changes) {
    ++counts[static_cast<std::size_t>(one.direction)];
    changes.push(Value::object()
                     .set("key", one.key)
                     .set("before", one.before ? Value(*one.before) : Value())
                     .set("after", one.after ? Value(*one.after) : Value())
                     .set("direction", sop::word(one.direction)));
  }
  return Value::object()
      .set("before", named(before))
      .set("after", named(after))
      .set("stricter", static_cast<std::uint64_t>(counts[0]))
      .set("looser", static_cast<std::uint64_t>(counts[1]))
      .set("different", static_cast<std::uint64_t>(counts[2]))
      .set("same", static_cast<std::uint64_t>(comparison.same))
      .set("changes", std::move(changes));
}

std::string direction_text(sop::Direction direction) {
  switch (direction) {
    case sop::Direction::stricter:
      return say("command.sop-stricter");
    case sop::Direction::looser:
      return say("command.sop-looser");
    case sop::Direction::different:
      return say("command.sop-different");
  }
  return {};
}

void print_comparison(const Context& context, const Edition& before, const Edition& after,
                      const sop::Comparison& comparison) {
  const std::size_t width = text_columns(context);
  context.line(folded(say("command.sop-compare", {{"before", before.title},
                                                  {"before_edition", before.edition},
                                                  {"after", after.title},
                                                  {"after_edition", after.edition}}),
                      width));
  std::size_t counts[3] = {};
  std::vector<std::vector<std::string>> rows;
  for (const sop::Change& one : comparison.changes) {
    ++counts[static_cast<std::size_t>(one.direction)];
    rows.push_back({one.key, one.before.value_or(say("command.sop-not-stated")),
                    one.after.value_or(say("command.sop-not-stated")), direction_text(one.direction)});
  }
  if (!rows.empty()) {
    context.out << '\n'
                << table_text({{say("command.sop-limit"), false},
                               {say("command.sop-before"), false},
                               {say("command.sop-after"), false},
                               {say("command.sop-direction"), false}},
                              rows, width);
  }
  context.line("\n" + folded(say("command.sop-compared", {{"stricter", std::to_string(counts[0])},
                                                          {"looser", std::to_string(counts[1])},
                                                          {"different", std::to_string(counts[2])},
                                                          {"same", std::to_string(comparison.same)}}),
                             width));
}

Result<Status> compare(const Context& context, const SopCompareOptions& options) {
  Edition before;
  TRY_LET(Edition after, edition_of_file(options.file));
  if (options.other) {
    before = std::move(after);
    TRY_LET(after, edition_of_file(*options.other));
  } else {
    TRY_LET(const auto ledger, context.open(store::Access::read));
    TRY_LET(before, edition_in_force(ledger, context.clock.now()));
  }
  TRY_LET(const auto comparison, sop::compare(before.toml, after.toml));
  if (context.json)
    context.print(comparison_json(before, after, comparison));
  else
    print_comparison(context, before, after, comparison);
  return Status::done;
}

// One event that the program writes for a person, or its first refusal.
Result<std::int64_t> record_one(Ledger& ledger, json::Value event) {
  AppendOptions options;
  options.same_content_repeats = false;
  options.default_by = ledger.actor();
  TRY_LET(const auto taken, ledger.append({{0, std::move(event)}}, options));
  if (taken.refusals.empty()) return taken.first;
  const events::Refusal& first = taken.refusals.front();
  return Error(ErrorCode::invalid, say("command.refused-field", {{"field", first.field}, {"why", first.why}}));
}

// The edition in force, word for word: another event would change nothing.
Status adopted_before(const Context& context, const Edition& before, const Edition& after,
                      const sop::Comparison& comparison) {
  if (context.json)
    context.print(comparison_json(before, after, comparison).set("seq", before.seq).set("repeated", true));
  else
    context.line(folded(say("command.sop-in-force-already", {{"seq", count_text(before.seq)}}), text_columns(context)));
  return Status::done;
}

Result<Status> adopt(const Context& context, const SopAdoptOptions& options) {
  TRY_LET(const Edition after, edition_of_file(options.file));
  TRY_LET(auto ledger, context.open(store::Access::write));
  TRY_LET(const auto facility, facility_of(ledger));
  Instant in_force = context.clock.now();
  if (options.in_force) {
    const auto given = parse_moment(*options.in_force, facility.zone, DateMeans::start);
    if (!given) return context.misused(say("command.moment", {{"option", "--in-force"}, {"found", *options.in_force}}));
    in_force = *given;
  }
  TRY_LET(const Edition before, edition_in_force(ledger, context.clock.now()));
  TRY_LET(const auto comparison, sop::compare(before.toml, after.toml));
  if (before.toml == after.toml && !options.in_force) return adopted_before(context, before, after, comparison);
  TRY_LET(const std::int64_t seq,
          record_one(ledger, Value::object()
                                 .set("kind", "sop-adopted")
                                 .set("at", format_date_time(facility.zone.local(context.clock.now())))
                                 .set("title", after.title.empty() ? options.file : after.title)
                                 .set("toml", after.toml)
                                 .set("in_force", format_date_time(facility.zone.local(in_force)))));
  if (context.json) {
    context.print(comparison_json(before, after, comparison)
                      .set("seq", seq)
                      .set("in_force", format_date_time(facility.zone.local(in_force))));
    return Status::done;
  }
  context.line(folded(say("command.sop-adopted", {{"title", after.title},
                                                  {"edition", after.edition},
                                                  {"seq", count_text(seq)},
                                                  {"in_force", short_time(facility.zone, in_force)}}),
                      text_columns(context)));
  print_comparison(context, before, after, comparison);
  if (!after.confirmed) context.line(folded(say("command.sop-unconfirmed"), text_columns(context)));
  return Status::done;
}

// The adopted edition that is meant: by its seq, or by a file with the same text; the latest of equal ones.
Result<std::int64_t> adopted_as(const Ledger& ledger, const std::string& meant) {
  TRY_LET(const auto editions, ledger.editions());
  const auto number = parse_number(meant);
  for (const sop::Edition& one : editions.all()) {
    if (number && static_cast<double>(one.seq) == *number) return one.seq;
  }
  if (number && !file_exists(meant)) return Error(ErrorCode::missing, say("command.sop-no-entry", {{"found", meant}}));
  TRY_LET(const auto bytes, read_file(meant, limits::toml_bytes));
  std::optional<std::int64_t> found;
  for (const sop::Edition& one : editions.all()) {
    TRY_LET(const std::string toml, toml_of(ledger, one.seq));
    if (toml == as_text(bytes)) found = one.seq;
  }
  if (found) return *found;
  return Error(ErrorCode::missing, say("command.sop-not-adopted", {{"file", meant}}));
}

Result<Status> confirm(const Context& context, const SopConfirmOptions& options) {
  TRY_LET(auto ledger, context.open(store::Access::write));
  TRY_LET(const std::int64_t sop, adopted_as(ledger, options.file));
  TRY_LET(const auto facility, facility_of(ledger));
  Value event = Value::object();
  event.set("kind", "sop-confirmed")
      .set("at", format_date_time(facility.zone.local(context.clock.now())))
      .set("sop", sop);
  if (options.second) event.set("second", *options.second);
  TRY_LET(const std::int64_t seq, record_one(ledger, std::move(event)));
  TRY_LET(const auto second, ledger.second(seq));
  if (context.json) {
    context.print(Value::object().set("sop", sop).set("seq", seq).set("second", people::word(second.second)));
    return Status::done;
  }
  context.line(say("command.sop-confirmed", {{"sop", count_text(sop)}, {"seq", count_text(seq)}}));
  if (second.second == people::Second::awaiting) {
    context.line(folded(say("command.sop-awaits", {{"second", options.second.value_or("")}, {"seq", count_text(seq)}}),
                        text_columns(context)));
  }
  return Status::done;
}

Result<Status> list(const Context& context) {
  TRY_LET(const auto ledger, context.open(store::Access::read));
  TRY_LET(const auto editions, ledger.editions());
  TRY_LET(const auto facility, facility_of(ledger));
  TRY_LET(auto tables, links::Links::open(ledger));
  TRY(tables.catch_up());
  const sop::Edition* now = editions.at(context.clock.now());
  Value all = Value::list();
  std::vector<std::vector<std::string>> rows;
  std::string unknown;
  for (const sop::Edition& one : editions.all()) {
    TRY_LET(const auto confirmation, confirmation_of(ledger, tables.database(), one.seq));
    const bool sure = one.sop.confirmed || confirmation;
    const bool awaiting = !one.sop.confirmed && confirmation == people::Second::awaiting;
    // "The first edition covers all time before it, marked so."
    const bool is_first = &one == &editions.all().front();
    TRY_LET(const auto names, unknown_in(ledger, one.seq));
    Value keys = Value::list();
    for (const std::string& name : names) keys.push(name);
    all.push(Value::object()
                 .set("seq", one.seq)
                 .set("title", one.sop.title)
                 .set("edition", one.sop.edition)
                 .set("in_force", format_date_time(facility.zone.local(one.in_force)))
                 .set("judges_from", format_date_time(facility.zone.local(one.judges_from)))
                 .set("covers_before", is_first)
                 .set("in_force_now", &one == now)
                 .set("confirmed", sure)
                 .set("unknown", std::move(keys)));
    if (awaiting) all.items().back().set("second", people::word(*confirmation));
    const std::string from = short_time(facility.zone, one.judges_from);
    rows.push_back({count_text(one.seq), one.sop.title, one.sop.edition,
                    is_first ? say("command.sop-first", {{"from", from}}) : from,
                    say(&one == now ? "answers.yes" : "answers.no"),
                    say(awaiting ? "people.awaiting-second"
                        : sure   ? "answers.yes"
                                 : "answers.no")});
    if (!names.empty()) unknown += unknown_line(one.seq, names) + "\n";
  }
  if (context.json) {
    context.print(Value::object().set("editions", std::move(all)));
    return Status::done;
  }
  context.out << table_text({{say("command.sop-entry"), true},
                             {say("command.sop-title"), false},
                             {say("command.sop-edition"), false},
                             {say("command.sop-judges-from"), false},
                             {say("command.sop-in-force"), false},
                             {say("command.sop-is-confirmed"), false}},
                            rows, text_columns(context));
  if (!unknown.empty()) context.out << '\n' << folded(unknown, text_columns(context));
  return Status::done;
}

Status done_or_failed(const Context& context, const Result<Status>& done) {
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace

Status sop_check(const Context& context, const std::string& file) {
  const auto edition = edition_of_file(file);
  if (!edition.ok()) return context.fail(edition.error());
  if (context.json) {
    context.print(named(edition.value()));
  } else {
    context.line(say("command.sop-reads",
                     {{"file", file}, {"title", edition.value().title}, {"edition", edition.value().edition}}));
    if (!edition.value().confirmed) context.line(say("command.sop-unconfirmed"));
  }
  return Status::done;
}

Status sop_adopt(const Context& context, const SopAdoptOptions& options) {
  return done_or_failed(context, adopt(context, options));
}
Status sop_compare(const Context& context, const SopCompareOptions& options) {
  return done_or_failed(context, compare(context, options));
}
Status sop_confirm(const Context& context, const SopConfirmOptions& options) {
  return done_or_failed(context, confirm(context, options));
}
Status sop_list(const Context& context) { return done_or_failed(context, list(context)); }

}  // namespace trayproof::command
