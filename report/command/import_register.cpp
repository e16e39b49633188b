// `import register`: an existing spreadsheet's rows as events, with the matching shown. Not a cell of a patient's
// column is printed.
#include <algorithm>

#include "importer/register/profile.h"
#include "importer/register/register.h"
#include "importer/register/shown.h"
#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/base/utf8.h"
#include "ledger/events/fields.h"
#include "ledger/given_numbers.h"
#include "ledger/words/words.h"
#include "report/command/foreign.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using json::Value;
using registers::Register;

constexpr std::size_t shown_events = 20;
constexpr std::size_t json_events = 1000;

using Pairs = std::vector<std::pair<std::string, std::string>>;

// NAME=VALUE words; false for a word without an equals sign.
bool pairs_of(const std::vector<std::string>& words, Pairs& into, std::string& wrong) {
  for (const std::string& word : words) {
    const std::size_t equals = word.find('=');
    if (equals == std::string::npos || equals == 0) {
      wrong = word;
      return false;
    }
    into.emplace_back(word.substr(0, equals), word.substr(equals + 1));
  }
  return true;
}

struct Asked {
  registers::Choices choices;
  std::optional<std::string> misuse;
};

Asked choices_of(const ImportRegisterOptions& options) {
  Asked asked;
  registers::Choices& choices = asked.choices;
  choices.encoding = options.encoding;
  choices.delimiter = options.delimiter;
  choices.decimal = options.decimal;
  choices.date_order = options.date_order;
  choices.zone = options.zone;
  choices.at = options.at;
  choices.header_row = options.header_row;
  choices.from_row = options.from_row;
  std::string wrong;
  const auto form = [&](std::string_view option) {
    asked.misuse = say("register.pair-form", {{"option", option}, {"found", wrong}});
  };
  if (!pairs_of(options.columns, choices.columns, wrong)) form("--column");
  if (!pairs_of(options.fixed, choices.fixed, wrong)) form("--fixed");
  if (!pairs_of(options.words, choices.words, wrong)) form("--word");
  if (options.empty && *options.empty != "not-recorded")
    asked.misuse = say("register.empty-form", {{"found", *options.empty}});
  choices.empty_not_recorded = options.empty.has_value();
  return asked;
}

std::vector<std::string_view> lines_of(std::string_view text) {
  std::vector<std::string_view> lines;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    lines.push_back(text.substr(0, end));
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
  }
  return lines;
}

// What the register refused and what the ledger did, in the order of the rows.
std::vector<registers::RefusedCell> all_refused(const Register& read, const events::Refusals& refusals) {
  std::vector<registers::RefusedCell> all = read.refused;
  const auto lines = refusals.empty() ? std::vector<std::string_view>{} : lines_of(read.lines);
  for (const events::Refusal& one : refusals) {
    std::string why = one.why;
    const auto at = static_cast<std::size_t>(one.line);
    if (at >= 1 && at <= lines.size()) {
      if (const auto event = json::parse(lines[at - 1]); event.ok())
        why = registers::without_numbers(std::move(why), registers::numbers_in(event.value()));
    }
    all.push_back({one.line, read.heading_of(one.field), one.field, std::move(why)});
  }
  std::stable_sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a.row < b.row; });
  return all;
}

Value matching_json(const Register& read) {
  Value list = Value::list();
  for (const registers::MatchedColumn& column : read.matching.columns) {
    list.push(Value::object()
                  .set("column", static_cast<std::int64_t>(column.cell + 1))
                  .set("heading", column.heading)
                  .set("field", column.field->name)
                  .set("by", column.said ? "said" : "heading"));
  }
  return list;
}

Value unread_json(const Register& read) {
  Value list = Value::list();
  for (const registers::UnreadColumn& column : read.matching.unread) {
    Value could_be = Value::list();
    for (const events::Field* field : column.could_be) could_be.push(field->name);
    list.push(Value::object()
                  .set("column", static_cast<std::int64_t>(column.cell + 1))
                  .set("heading", column.heading)
                  .set("could_be", std::move(could_be)));
  }
  return list;
}

Value document(const Register& read, const Appended& done, const std::vector<registers::RefusedCell>& refused,
               bool dry_run, const KnownNumbers& known) {
  Value asks = Value::list();
  for (const reading::Ask& ask : read.asks)
    asks.push(Value::object().set("what", ask.what).set("choices", ask.choices).set("option", ask.option));
  Value missing = Value::list();
  for (const std::string& field : read.missing) missing.push(field);
  Value refusals = Value::list();
  for (const auto& one : refused) {
    refusals.push(Value::object()
                      .set("line", one.row)
                      .set("column", one.column.empty() ? Value() : Value(one.column))
                      .set("field", one.field)
                      .set("why", one.why));
  }
  Value understood = Value::list();
  for (const auto& [word, count] : read.understood)
    understood.push(Value::object().set("word", word).set("rows", count));
  Value skipped = Value::list();
  for (const std::int64_t row : read.skipped_rows) skipped.push(row);
  Value notes = Value::list();
  for (const std::string& note : read.notes) notes.push(note);
  Value out = Value::object();
  out.set("taken", dry_run ? std::int64_t{0} : done.taken).set("repeated", done.repeated);
  out.set("first", dry_run ? std::int64_t{0} : done.first).set("last", dry_run ? std::int64_t{0} : done.last);
  out.set("refused", std::move(refusals)).set("asks", std::move(asks)).set("missing", std::move(missing));
  out.set("file", hex(read.file)).set("bytes", read.bytes).set("sort", read.sort).set("reading", read.reading);
  out.set("rows", read.rows).set("skipped", read.skipped).set("skipped_rows", std::move(skipped));
  out.set("matching", matching_json(read)).set("unread", unread_json(read)).set("words", std::move(understood));
  out.set("notes", std::move(notes));
  if (!dry_run) return out;
  Value events = Value::list();
  for (const std::string_view line : lines_of(read.lines)) {
    if (line.empty() || events.items().size() >= json_events) continue;
    if (auto event = json::parse(line); event.ok())
      events.push(registers::shown_event(std::move(event).value(), known));
  }
  return out.set("dry_run", true).set("would_take", done.taken).set("events", std::move(events));
}

void print_matching(const Context& context, const std::string& file, const Register& read) {
  const bool bundle = read.sort == "fhir-bundle";
  context.line(say(bundle ? "register.read-bundle" : "register.read",
                   {{"file", file}, {"rows", count_text(read.rows)}, {"skipped", count_text(read.skipped)}}));
  const auto word = [&](std::string_view name) {
    const Value* value = read.reading.find(name);
    if (value == nullptr || value->is_null()) return say("command.none");
    return value->is_text() ? value->text() : json::plain(*value);
  };
  if (!bundle) {
    context.line(say("register.how", {{"encoding", word("encoding")},
                                      {"delimiter", word("delimiter")},
                                      {"decimal", word("decimal")},
                                      {"order", word("date_order")},
                                      {"zone", word("zone")},
                                      {"row", word("header_row")}}));
  }
  for (const registers::MatchedColumn& column : read.matching.columns) {
    const std::string_view unit = registers::unit_of_field(column.field->name);
    context.line(
        say("register.column", {{"number", std::to_string(column.cell + 1)},
                                {"heading", for_terminal(shortened(column.heading, 60))},
                                {"field", column.field->name},
                                {"unit", unit.empty() ? std::string() : say("register.column-unit", {{"unit", unit}})},
                                {"said", column.said ? say("register.column-said") : std::string()}}));
  }
  for (const registers::UnreadColumn& column : read.matching.unread) {
    std::string fields;
    for (const events::Field* field : column.could_be)
      fields += std::string(fields.empty() ? "" : ", ") + std::string(field->name);
    context.line(say(fields.empty() ? "register.unread" : "register.unread-either",
                     {{"number", std::to_string(column.cell + 1)},
                      {"heading", for_terminal(shortened(column.heading, 60))},
                      {"fields", fields}}));
  }
  for (const auto& [text, count] : read.understood)
    context.line(say("register.word", {{"word", for_terminal(text)}, {"count", count_text(count)}}));
  for (const std::string& note : read.notes) context.line("  " + for_terminal(note));
}

// One question with its answers as they are typed.
void print_ask(const Context& context, const reading::Ask& ask) {
  context.err << say("command.asks", {{"what", say("command.ask-" + ask.what)}, {"option", ask.option}}) << '\n';
  const bool pair = ask.option.find(' ') != std::string::npos;  // "--column at": the value follows an equals sign
  for (const Value& choice : ask.choices) {
    std::string shown;
    for (const json::Member& member : choice.members()) {
      if (member.name == "value" || member.value.is_null()) continue;
      const bool impossible = member.name == "no_such_day" && member.value.is_number();
      const std::string plain = member.value.is_text() ? member.value.text() : json::plain(member.value);
      shown += (shown.empty() ? "" : ", ") + (impossible ? say("register.ask-no-such-day", {{"count", plain}}) : plain);
    }
    context.err << say("command.ask-choice", {{"option", pair ? ask.option + "=" : ask.option},
                                              {"value", for_terminal(choice.text_at("value").value_or(""))},
                                              {"shown", for_terminal(shown)}})
                << '\n';
  }
}

void print_open(const Context& context, const Register& read) {
  for (const reading::Ask& ask : read.asks) print_ask(context, ask);
  std::string fields;
  for (const std::string& field : read.missing) {
    if (field != "at") fields += (fields.empty() ? "" : ", ") + field;
  }
  if (!fields.empty()) context.err << say("register.missing", {{"fields", fields}}) << '\n';
  if (std::find(read.missing.begin(), read.missing.end(), "at") != read.missing.end())
    context.err << say("register.missing-at") << '\n';
}

void print_refused(const Context& context, const std::vector<registers::RefusedCell>& refused) {
  std::size_t shown = 0;
  for (const auto& one : refused) {
    if (++shown > limits::refusals_shown) {
      context.err << say("command.more-refusals", {{"count", std::to_string(refused.size() - limits::refusals_shown)}})
                  << '\n';
      return;
    }
    const std::string column = one.column.empty()
                                   ? std::string()
                                   : say("register.row-column", {{"heading", for_terminal(shortened(one.column, 60))}});
    const std::string field = one.field.empty() ? std::string() : say("register.row-field", {{"field", one.field}});
    context.err << say("register.refused-row", {{"row", count_text(one.row)},
                                                {"column", column},
                                                {"field", field},
                                                {"why", for_terminal(one.why)}})
                << '\n';
  }
}

void print_rehearsal(const Context& context, const Register& read, const Appended& done, const KnownNumbers& known) {
  std::size_t shown = 0;
  std::int64_t row = 0;
  for (const std::string_view line : lines_of(read.lines)) {
    ++row;
    if (line.empty()) continue;
    if (++shown > shown_events) break;
    auto event = json::parse(line);
    if (!event.ok()) continue;
    Value value = registers::shown_event(std::move(event).value(), known);
    value.erase("paper");
    context.line(say("register.shown-event", {{"row", count_text(row)}, {"event", json::plain(value)}}));
  }
  if (read.events > static_cast<std::int64_t>(shown_events))
    context.line(
        say("register.more-events", {{"count", count_text(read.events - static_cast<std::int64_t>(shown_events))}}));
  if (done.repeated > 0) context.line(say("register.would-repeat", {{"count", count_text(done.repeated)}}));
  context.line(say("register.would-take", {{"count", count_text(done.taken)}}));
}

Result<Status> take(const Context& context, Ledger& ledger, const events::Kind& kind,
                    const ImportRegisterOptions& options, registers::Choices choices) {
  if (options.profile) {
    TRY_LET(choices, registers::with_profile(ledger.path(), *options.profile, kind, std::move(choices)));
    if (auto sentence = registers::unknown_choice(choices, kind)) return Error(ErrorCode::invalid, *sentence);
  }
  TRY_LET(const auto facility, facility_of(ledger));
  TRY_LET(const auto bytes, read_file(options.file, limits::register_file_bytes));
  Register read = registers::read_register(bytes, kind, choices, facility.zone);
  TRY_LET(const KnownNumbers known, numbers_with(ledger, read.lines, read.patients));
  registers::mask(read, known);
  if (!context.json) print_matching(context, options.file, read);
  if (read.open()) {
    if (context.json)
      context.print(document(read, {}, read.refused, options.dry_run, known));
    else
      print_open(context, read);
    return Status::refused;
  }
  AppendOptions append;
  append.on_refusal = options.keep_good ? OnRefusal::keep_good : OnRefusal::take_nothing;
  append.default_by = options.by ? *options.by : ledger.station();
  // Rows that are no events keep the others from being taken, but not from being looked at.
  append.rehearse = options.dry_run || (!read.refused.empty() && !options.keep_good);
  TRY_LET(Appended done, ledger.append_lines(read.lines, append));
  const auto refused = all_refused(read, done.refusals);
  if (append.rehearse && !refused.empty() && !options.keep_good) done.taken = 0;
  if (append.rehearse && !options.dry_run) done.taken = done.repeated = done.first = done.last = 0;
  if (options.save_profile) {
    TRY(registers::save_profile(ledger.path(), *options.save_profile, kind, choices, read));
    if (!context.json)
      context.line(say(
          "register.profile-saved",
          {{"name", *options.save_profile}, {"file", registers::profile_file(ledger.path(), *options.save_profile)}}));
  }
  if (context.json) {
    context.print(document(read, done, refused, options.dry_run, known));
    return refused.empty() ? Status::done : Status::refused;
  }
  print_refused(context, refused);
  if (options.dry_run) {
    print_rehearsal(context, read, done, known);
    return refused.empty() ? Status::done : Status::refused;
  }
  if (done.taken > 0) {
    context.line(
        say(done.taken == 1 ? "command.taken-one" : "command.taken",
            {{"count", count_text(done.taken)}, {"first", count_text(done.first)}, {"last", count_text(done.last)}}));
  }
  if (done.repeated > 0) context.line(say("command.repeated", {{"count", count_text(done.repeated)}}));
  if (refused.empty() && done.taken == 0 && done.repeated == 0) context.line(say("command.nothing-given"));
  if (refused.empty()) return Status::done;
  context.err << say(done.taken + done.repeated > 0 ? "command.some-refused" : "command.all-refused",
                     {{"count", std::to_string(refused.size())}})
              << '\n';
  return Status::refused;
}

}  // namespace

Status import_register(const Context& context, const ImportRegisterOptions& options) {
  const events::Kind* kind = events::find_kind(options.kind);
  if (kind == nullptr || !kind->recordable()) {
    std::string allowed;
    for (const events::Kind& one : events::kinds()) {
      if (one.recordable()) allowed += (allowed.empty() ? "" : ", ") + std::string(one.name);
    }
    return context.misused(say("register.kind", {{"found", options.kind}, {"allowed", allowed}}));
  }
  Asked asked = choices_of(options);
  if (!asked.misuse) asked.misuse = registers::unknown_choice(asked.choices, *kind);
  if (asked.misuse) return context.misused(*asked.misuse);
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  auto done = take(context, ledger.value(), *kind, options, std::move(asked.choices));
  return done.ok() ? done.value() : context.fail(done.error());
}

}  // namespace trayproof::command
