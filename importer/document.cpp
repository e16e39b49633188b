#include "importer/document.h"

#include "importer/judging/findings.h"
#include "importer/refused_row.h"

namespace trayproof::importer {
namespace {

json::Value number_or_null(const std::optional<double>& value) { return value ? json::Value(*value) : json::Value(); }
json::Value time_or_null(const std::optional<DateTime>& value) {
  return value ? json::Value(format_date_time(*value)) : json::Value();
}

json::Value cycle_json(const Cycle& cycle) {
  json::Value out = json::Value::object();
  out.set("load", cycle.load ? json::Value(*cycle.load) : json::Value());
  out.set("method", cycle.method);
  for (const json::Member& member : cycle.judged.members()) out.set(member.name, member.value);
  out.set("verdict", cycle.verdict);
  json::List findings;
  for (const Finding& finding : cycle.findings) {
    findings.push_back(json::Value::object()
                           .set("what", finding.what)
                           .set("limit", finding.limit)
                           .set("found", finding.found)
                           .set("says", judging::sentence(finding)));
  }
  out.set("findings", std::move(findings));
  json::List checks;
  for (const Check& check : cycle.checks) {
    checks.push_back(json::Value::object()
                         .set("what", check.what)
                         .set("limit", check.limit)
                         .set("found", check.found)
                         .set("margin", check.margin));
  }
  out.set("checks", std::move(checks));
  json::List phases;
  for (const judging::ToldPhase& phase : cycle.phases) {
    phases.push_back(json::Value::object()
                         .set("what", phase.what)
                         .set("from", time_or_null(phase.from))
                         .set("until", time_or_null(phase.until))
                         .set("minutes", phase.minutes));
  }
  out.set("phases", std::move(phases)).set("pulses", cycle.pulses);
  out.set("sop", cycle.sop_seq == 0 ? json::Value() : json::Value(cycle.sop_seq));
  out.set("set_temperature_c", number_or_null(cycle.set_temperature_c));
  out.set("hold_interpolated_minutes", number_or_null(cycle.hold_interpolated_min));
  out.set("f0_reference_c", number_or_null(cycle.f0_reference_c));
  out.set("clock_offset_s", number_or_null(cycle.clock_offset_s));
  out.set("accuracy_band", cycle.band);
  return out;
}

json::Value ask_json(const Ask& ask) {
  return json::Value::object().set("what", ask.what).set("choices", ask.choices).set("option", ask.option);
}

json::Value channel_json(const Channel& channel) {
  return json::Value::object()
      .set("name", channel.name)
      .set("quantity", channel.quantity)
      .set("unit", channel.unit.empty() ? json::Value() : json::Value(channel.unit))
      .set("min", number_or_null(channel.min))
      .set("max", number_or_null(channel.max))
      .set("missing", channel.missing);
}

// A document as values.
class Tree {
 public:
  Tree& set(std::string_view name, json::Value value) {
    whole.set(name, std::move(value));
    return *this;
  }
  void list(std::string_view name, const auto& items, const auto& value_of) {
    json::List list;
    for (const auto& one : items) list.push_back(value_of(one));
    whole.set(name, std::move(list));
  }
  json::Value whole = json::Value::object();
};

// The same as text, no more than one member or one item of a list at a time.
class Text {
 public:
  explicit Text(const std::function<void(std::string_view)>& write) : write_(write) { write_("{"); }
  Text& set(std::string_view name, const json::Value& value) {
    begin(name);
    write_(json::plain(value));
    return *this;
  }
  void list(std::string_view name, const auto& items, const auto& value_of) {
    begin(name);
    write_("[");
    bool first = true;
    for (const auto& one : items) {
      if (!first) write_(",");
      first = false;
      write_(json::plain(value_of(one)));
    }
    write_("]");
  }
  void end() { write_("}"); }

 private:
  void begin(std::string_view name) {
    std::string text(first_ ? "" : ",");
    first_ = false;
    json::append_canonical_text(text, name);
    write_(text + ':');
  }
  const std::function<void(std::string_view)>& write_;
  bool first_ = true;
};

void tell(const Import& import, bool repeated, auto& out) {
  out.list("asks", import.asks, ask_json);
  out.set("file", hex(import.file)).set("bytes", import.bytes).set("repeated", repeated).set("reading", import.reading);
  out.set("rows", import.rows).set("readings", import.readings).set("marks", import.marks);
  out.list("refused", import.refused, [](const RefusedRow& row) { return to_json(row); });
  out.set("refused_more", import.refused_more);
  out.list("channels", import.channels, channel_json);
  out.set("from", time_or_null(import.from)).set("until", time_or_null(import.until));
  out.set("interval_s", number_or_null(import.interval_s));
  out.list("cycles", import.cycles, cycle_json);
  std::vector<std::string> notes = import.notes;
  if (import.saturation_unchecked_k) notes.push_back(saturation_unchecked(*import.saturation_unchecked_k));
  out.list("notes", notes, [](const std::string& note) { return json::Value(note); });
}

}  // namespace

json::Value to_json(const Import& import, bool repeated) {
  Tree tree;
  tell(import, repeated, tree);
  return std::move(tree.whole);
}

void write_json(const Import& import, bool repeated, const std::function<void(std::string_view)>& write) {
  Text text(write);
  tell(import, repeated, text);
  text.end();
}

}  // namespace trayproof::importer
