#include <algorithm>
#include <iostream>
#include <optional>
#include <set>

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/base/number.h"
#include "ledger/words/words.h"
#include "report/cautions/cautions.h"
#include "report/command/verbs.h"

namespace trayproof::command {
namespace {

using json::Value;

json::List split(std::string_view text) {
  json::List items;
  while (!text.empty()) {
    const std::size_t comma = text.find(',');
    items.emplace_back(text.substr(0, comma));
    text.remove_prefix(comma == std::string_view::npos ? text.size() : comma + 1);
  }
  return items;
}

// A word of the command line as the JSON that its field takes; what does not fit stays text, and is refused as such.
Value typed(const events::Field* field, std::string_view word) {
  using enum events::Type;
  if (field == nullptr) return Value(word);
  switch (field->type) {
    case boolean:
      if (word == "true") return Value(true);
      if (word == "false") return Value(false);
      return Value(word);
    case flag_or_date:
      if (word == "true" || word == "false") return Value(word == "true");
      return Value(word);
    case integer:
    case indicator_type:
    case seq:
    case number:
    case amount:
    case percent:
    case temperature:
      // Read as JSON, so that numbers are held to the same exactness as in a file.
      if (auto value = json::parse(word); value.ok() && value.value().is_number()) return std::move(value).value();
      return Value(word);
    case id_list:
    case choice_list:
      return Value(split(word));
    case items:
    case subject:
    case object:
    case replacement:
    case any:
      if (auto value = json::parse(word, limits::depth); value.ok()) return std::move(value).value();
      return Value(word);
    default:
      return Value(word);
  }
}

const events::Field* field_named(const events::Kind* kind, std::string_view name) {
  for (const events::Field& field : events::envelope()) {
    if (field.name == name) return &field;
  }
  return kind == nullptr ? nullptr : kind->field(name);
}

bool is_patient(const events::Field* field) {
  return field != nullptr && (field->type == events::Type::patient || field->type == events::Type::patient_list);
}

// Patients' numbers come by standard input: first the patient's, then the newborns', one a line.
Value numbers_from_input(const events::Field& field) {
  std::string line;
  if (field.type == events::Type::patient) {
    std::getline(std::cin, line);
    return Value(line);
  }
  json::List numbers;
  while (std::getline(std::cin, line)) {
    if (!line.empty()) numbers.emplace_back(line);
  }
  return Value(std::move(numbers));
}

// Where a patient's number stands in what was typed: it was for all to read, in the list of programs and the shell's
// memory. A pseudonym is no number.
std::optional<std::string> number_in(const Value& body) {
  const auto is_number = [](const Value& value) {
    return value.is_text() || (value.is_list() && std::any_of(value.items().begin(), value.items().end(),
                                                              [](const Value& one) { return one.is_text(); }));
  };
  for (const std::string_view name : {"patient", "newborns"}) {
    const Value* value = body.find(name);
    if (value != nullptr && is_number(*value)) return std::string(name);
  }
  const Value* replacement = body.find("replacement");
  return replacement != nullptr && replacement->is_object() ? number_in(*replacement) : std::nullopt;
}

Value refusals_json(const events::Refusals& refusals) {
  Value list = Value::list();
  for (const events::Refusal& one : refusals) {
    list.push(Value::object().set("line", one.line).set("field", one.field).set("why", one.why));
  }
  return list;
}

Status report(const Context& context, const Appended& done, bool from_file) {
  if (context.json) {
    context.print(Value::object()
                      .set("taken", done.taken)
                      .set("repeated", done.repeated)
                      .set("first", done.first)
                      .set("last", done.last)
                      .set("refused", refusals_json(done.refusals)));
    return done.refusals.empty() ? Status::done : Status::refused;
  }
  std::size_t shown = 0;
  for (const events::Refusal& one : done.refusals) {
    if (++shown > limits::refusals_shown) {
      context.err << say("command.more-refusals",
                         {{"count", std::to_string(done.refusals.size() - limits::refusals_shown)}})
                  << '\n';
      break;
    }
    const std::string field = one.field.empty() ? std::string() : one.field;
    if (from_file && !field.empty()) {
      context.err << say("command.refused-line-field",
                         {{"line", std::to_string(one.line)}, {"field", field}, {"why", one.why}})
                  << '\n';
    } else if (from_file) {
      context.err << say("command.refused-line", {{"line", std::to_string(one.line)}, {"why", one.why}}) << '\n';
    } else {
      context.err << say("command.refused-field", {{"field", field}, {"why", one.why}}) << '\n';
    }
  }
  if (done.taken > 0) {
    context.line(
        say(done.taken == 1 ? "command.taken-one" : "command.taken",
            {{"count", count_text(done.taken)}, {"first", count_text(done.first)}, {"last", count_text(done.last)}}));
  }
  if (done.repeated > 0) context.line(say("command.repeated", {{"count", count_text(done.repeated)}}));
  if (!done.refusals.empty()) {
    context.err << (done.taken + done.repeated > 0
                        ? say("command.some-refused", {{"count", std::to_string(done.refusals.size())}})
                        : say("command.all-refused", {{"count", std::to_string(done.refusals.size())}}))
                << '\n';
    return Status::refused;
  }
  if (done.taken == 0 && done.repeated == 0) context.line(say("command.nothing-given"));
  return Status::done;
}

Status record_file(const Context& context, const RecordOptions& options, Ledger& ledger) {
  const auto bytes = read_file(*options.from, limits::record_file_bytes);
  if (!bytes.ok()) return context.fail(bytes.error());
  AppendOptions append;
  append.on_refusal = options.keep_good ? OnRefusal::keep_good : OnRefusal::take_nothing;
  append.default_by = options.by;
  const auto done = ledger.append_lines(as_text(bytes.value()), append);
  if (!done.ok()) return context.fail(done.error());
  return report(context, done.value(), true);
}

Status record_one(const Context& context, const RecordOptions& options, Ledger& ledger) {
  const events::Kind* kind = events::find_kind(*options.kind);
  Value event = Value::object();
  event.set("kind", *options.kind);
  std::set<std::string, std::less<>> given{"kind"};
  const auto twice = [&](std::string_view field) {
    return context.misused(say("command.field-twice", {{"field", field}}));
  };
  if (options.body) {
    auto body = json::parse(*options.body, limits::depth);
    if (!body.ok()) return context.fail(Error(body.error()).during("--body"));
    if (!body.value().is_object()) return context.misused(say("command.body-object"));
    if (const auto field = number_in(body.value()))
      return context.misused(say("command.patient-argument", {{"field", *field}}));
    for (json::Member& member : body.value().members()) {
      if (member.name == "kind" && member.value == Value(*options.kind)) continue;
      if (!given.insert(member.name).second) return twice(member.name);
      event.set(member.name, std::move(member.value));
    }
  }
  if (options.at && !given.insert("at").second) return twice("at");
  if (options.by && !given.insert("by").second) return twice("by");
  for (const std::string& word : options.fields) {
    const std::size_t equals = word.find('=');
    if (equals == std::string::npos || equals == 0)
      return context.misused(say("command.field-form", {{"found", word}}));
    const std::string name = word.substr(0, equals);
    const std::string value = word.substr(equals + 1);
    const events::Field* field = field_named(kind, name);
    if (!given.insert(name).second) return twice(name);
    if (is_patient(field) && value != "-") return context.misused(say("command.patient-argument", {{"field", name}}));
    if (name.starts_with("unknown.")) {
      if (event.find("unknown") == nullptr) event.set("unknown", Value::object());
      event.find("unknown")->set(name.substr(8), value);
      continue;
    }
    Value read = is_patient(field) ? numbers_from_input(*field) : typed(field, value);
    if (name == "replacement" && read.is_object() && number_in(read))
      return context.misused(say("command.patient-argument", {{"field", *number_in(read)}}));
    event.set(name, std::move(read));
  }
  const auto facility = facility_of(ledger);
  if (!facility.ok()) return context.fail(facility.error());
  if (options.at) event.set("at", *options.at);
  if (event.find("at") == nullptr) event.set("at", format_date_time(facility.value().zone.local(context.clock.now())));
  if (options.by) event.set("by", *options.by);
  std::vector<std::string> dangers;
  for (const std::string_view name : {"agent", "method"}) {
    if (const auto word = event.text_at(name)) dangers.emplace_back(*word);
  }
  AppendOptions append;
  append.same_content_repeats = false;  // typed twice is two events, unless a slip says otherwise
  append.default_by = ledger.actor();
  const auto done = ledger.append({{1, std::move(event)}}, append);
  if (!done.ok()) return context.fail(done.error());
  const Status status = report(context, done.value(), false);
  if (kind != nullptr && (kind->name == "solution-prepared" || kind->name == "load-started") &&
      status == Status::done) {
    for (const std::string& caution : cautions_for(dangers)) context.tell(caution);
  }
  return status;
}

}  // namespace

Status record(const Context& context, const RecordOptions& options) {
  if (options.kind.has_value() == options.from.has_value()) return context.misused(say("command.record-what"));
  if (options.from && (!options.fields.empty() || options.body || options.at))
    return context.misused(say("command.record-what"));
  auto ledger = context.open(store::Access::write);
  if (!ledger.ok()) return context.fail(ledger.error());
  return options.from ? record_file(context, options, ledger.value()) : record_one(context, options, ledger.value());
}

}  // namespace trayproof::command
