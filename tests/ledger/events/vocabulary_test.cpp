// Every kind of the table, one after the other: its smallest event is taken, and is refused with anything wrong in it.
#include <algorithm>
#include <set>

#include "ledger/events/draft.h"
#include "tests/ledger/events/examples.h"
#include "tests/support/test.h"

using namespace trayproof;
using events::Giver;
using events::Needed;
using events::Type;
using json::Value;

namespace {

Value event_of(const std::string& text) {
  auto value = json::parse(text);
  INFO(std::string(text));
  REQUIRE(value.ok());
  return std::move(value).value();
}

events::Refusals refusals_of(Value event, Giver giver = Giver::program) {
  auto reading = events::read_draft(std::move(event), giver);
  CHECK(reading.draft.has_value() == reading.refusals.empty());
  return reading.refusals;
}

bool names(const events::Refusals& refusals, std::string_view field) {
  return std::any_of(refusals.begin(), refusals.end(),
                     [&](const events::Refusal& one) { return one.field == field && !one.why.empty(); });
}

// Values that the type takes never.
std::vector<Value> wrong_for(Type type) {
  const Value text("not at all / of this type?");
  const Value object = Value::object().set("x", 1);
  switch (type) {
    case Type::id:
      return {Value(7), Value(), object, Value(""), Value("a b"), Value(std::string(65, 'a'))};
    case Type::id_or_null:
      return {Value(7), object, Value(""), Value("a b")};
    case Type::text:
      return {Value(7), Value(), object, Value(true), Value(std::string(201, 'a')), Value("two\nlines")};
    case Type::free_text:
      return {Value(7),        Value(),
              object,          Value(std::string(2001, 'a')),
              Value("bell\a"), Value::object().set("sha256", std::string(64, 'a'))};
    case Type::toml:
      return {Value(7), object, Value(std::string(128 * 1024 + 1, 'a'))};
    case Type::choice:
      return {Value(7), Value(), Value(""), text, object};
    case Type::choice_list:
      return {Value(7), text, Value(json::List{text}), Value(json::List{Value(1)})};
    case Type::id_list:
      return {Value(7), text, Value(json::List{Value("a b")}), Value(json::List{Value("a"), Value("a")})};
    case Type::boolean:
      return {Value(1), Value("true"), Value()};
    case Type::integer:
      return {Value("1"), Value(-1), Value(1.5), Value(), Value(true)};
    case Type::indicator_type:
      return {Value("1"), Value(0), Value(7), Value(1.5)};
    case Type::seq:
      return {Value("1"), Value(0), Value(-1), Value(1.5)};
    case Type::number:
      return {Value("1"), Value(), object};
    case Type::amount:
      return {Value("1"), Value(-0.001), Value()};
    case Type::percent:
      return {Value("1"), Value(-0.1), Value(100.1)};
    case Type::temperature:
      return {Value("121"), Value(-90.5), Value(1500.5)};
    case Type::date:
      return {Value(20261005), Value("2026-10-05T09:00Z"), Value("2026-02-30"), text};
    case Type::date_time:
      return {Value(20261005), Value("2026-10-05"), Value("2026-10-05T09:00"), text, Value()};
    case Type::date_or_time:
      return {Value(20261005), Value("2026-10-05T09:00"), text};
    case Type::flag_or_date:
      return {Value(1), Value("2026-10-05T09:00Z"), text};
    case Type::sha256:
    case Type::key:
      return {Value(7), text, Value(std::string(63, 'a')), Value(std::string(64, 'A'))};
    case Type::signature:
      return {Value(7), text, Value(std::string(127, 'a'))};
    case Type::token:
      return {Value(7), text, Value(std::string(31, 'a'))};
    case Type::patient:
      return {Value(7),
              Value(),
              Value(""),
              Value("   "),
              Value(std::string(65, '1')),
              object,
              Value::object().set("pseudonym", std::string(32, 'a')),
              Value("1\n2")};
    case Type::patient_list:
      return {Value(7), Value("1"), Value(json::List{Value(1)}), Value(json::List{Value("1"), Value(" 1")})};
    case Type::items:
      return {Value(7),
              text,
              Value(json::List{Value("x")}),
              Value(json::List{object}),
              event_of(R"([{"item":"Forceps"}])"),
              event_of(R"([{"item":"Forceps","count":-1}])"),
              event_of(R"([{"item":"Forceps","count":1,"colour":"red"}])")};
    case Type::subject:
      return {Value(7), text, object, event_of(R"({"kind":"pack"})"), event_of(R"({"kind":"pack","id":"a","x":1})")};
    case Type::head:
      return {Value(7), text, object, event_of(R"({"size":1})")};
    case Type::origin_head:
      return {Value(7), text, object, event_of(R"({"size":1})")};
    case Type::hours_of_zone:
      return {Value(7), text, Value("+05:00")};
    case Type::object:
      return {Value(7), text, Value()};
    case Type::any:
      return {};
    case Type::replacement:
      return {Value(7), text, object};
  }
  return {};
}

}  // namespace

TEST_CASE("there is an example of every kind and of no other") {
  std::set<std::string_view> kinds;
  for (const events::Kind& kind : events::kinds()) kinds.insert(kind.name);
  CHECK_EQ(kinds.size(), events::kinds().size());
  std::set<std::string_view> shown;
  for (const tests::Example& example : tests::examples()) shown.insert(example.kind);
  CHECK(kinds == shown);
}

TEST_CASE("the smallest event of every kind is taken from the program and of most from a recorder") {
  for (const tests::Example& example : tests::examples()) {
    INFO(std::string(example.kind));
    const events::Refusals refusals = refusals_of(event_of(tests::whole(example)));
    INFO((refusals.empty() ? std::string() : refusals.front().field + ": " + refusals.front().why));
    CHECK(refusals.empty());
    const bool by_program = events::find_kind(example.kind)->group == events::Group::record_itself ||
                            example.kind.starts_with("curve-") || example.kind == "recall-opened";
    CHECK(names(refusals_of(event_of(tests::whole(example)), Giver::recorder), "kind") == by_program);
  }
}

TEST_CASE("without a needed field every kind is refused with the field's name") {
  for (const tests::Example& example : tests::examples()) {
    const events::Kind& kind = *events::find_kind(example.kind);
    std::vector<std::string_view> needed = {"kind", "at", "by"};
    for (const events::Field& field : kind.fields) {
      if (field.needed == Needed::yes) needed.push_back(field.name);
    }
    for (const std::string_view name : needed) {
      INFO(std::string(example.kind), " without ", std::string(name));
      Value event = event_of(tests::whole(example));
      event.erase(name);
      CHECK(names(refusals_of(std::move(event)), name));
    }
  }
}

TEST_CASE("with a misspelt or unknown field every kind is refused with the field's name") {
  for (const tests::Example& example : tests::examples()) {
    INFO(std::string(example.kind));
    Value event = event_of(tests::whole(example));
    CHECK(names(refusals_of(event.set("colour", "red")), "colour"));
  }
}

TEST_CASE("with a value of another type every field of every kind is refused with the field's name") {
  for (const tests::Example& example : tests::examples()) {
    for (const events::Field& field : events::find_kind(example.kind)->fields) {
      for (const Value& wrong : wrong_for(field.type)) {
        INFO(std::string(example.kind), " ", std::string(field.name), " ", json::plain(wrong).substr(0, 80));
        Value event = event_of(tests::whole(example));
        event.set(field.name, wrong);
        const events::Refusals refusals = refusals_of(std::move(event));
        REQUIRE(!refusals.empty());
        CHECK(refusals.front().field.starts_with(field.name));
        CHECK(!refusals.front().why.empty());
      }
    }
  }
}

TEST_CASE("a word outside its list is refused with what is allowed") {
  for (const tests::Example& example : tests::examples()) {
    for (const events::Field& field : events::find_kind(example.kind)->fields) {
      if (field.type != Type::choice) continue;
      Value event = event_of(tests::whole(example));
      const events::Refusals refusals = refusals_of(event.set(field.name, "something-else"));
      REQUIRE(!refusals.empty());
      CHECK(refusals.front().why.find("\"something-else\"") != std::string::npos);
      CHECK(refusals.front().why.find(field.choices.front()) != std::string::npos);
      for (const std::string_view choice : field.choices) {
        Value good = event_of(tests::whole(example));
        for (const events::Refusal& one : refusals_of(good.set(field.name, choice))) CHECK(one.field != field.name);
      }
    }
  }
}

// docs/ledger-format.md: `unknown` stands for any body field, required or optional, except the first of its kind and
// `method`; never in the record itself, `sop-adopted`, `curve-*`, `recall-*`, `corrected`.
TEST_CASE("a body field may be unknown where the format says so and nowhere else") {
  for (const tests::Example& example : tests::examples()) {
    const events::Kind& kind = *events::find_kind(example.kind);
    const bool none = kind.group == events::Group::record_itself || kind.name == "sop-adopted" ||
                      kind.name.starts_with("curve-") || kind.name.starts_with("recall-") || kind.name == "corrected";
    for (const events::Field& field : kind.fields) {
      INFO(std::string(example.kind), " ", std::string(field.name));
      Value event = event_of(tests::whole(example));
      const bool given = event.find(field.name) != nullptr;
      event.set("unknown", Value::object().set(field.name, "not-recorded"));
      const std::string path = "unknown." + std::string(field.name);
      const bool first = &field == &kind.fields.front();
      if (given) {
        CHECK(!refusals_of(event).empty());
        event.erase(field.name);
      }
      const bool recipe =
          kind.name == "solution-prepared" &&
          (field.name.starts_with("stock") || field.name == "water_ml" || field.name == "available_percent" ||
           field.name == "powder_g" || field.name == "ready_to_use");
      const events::Refusals refusals = refusals_of(event);
      if (none) {
        CHECK(names(refusals, "unknown"));
      } else if (first || field.name == "method") {
        CHECK(names(refusals, path));
      } else if (!recipe) {
        CHECK(refusals.empty());
      }
    }
  }
}

TEST_CASE("an unknown field has one of three reasons and is a field of its kind") {
  const auto with = [](const std::string& unknown) {
    return refusals_of(event_of(R"({"kind":"load-ended","at":"2026-10-05T09:00Z","by":"ana","load":"L-1","unknown":)" +
                                unknown + "}"));
  };
  for (const char* reason : {"not-recorded", "not-done", "not-readable"}) {
    CHECK(with(R"({"complete":")" + std::string(reason) + "\"}").empty());
  }
  CHECK(names(with(R"({"complete":"lost"})"), "unknown.complete"));
  CHECK(names(with(R"({"complete":true})"), "unknown.complete"));
  CHECK(names(with(R"({"complete":"not-done","colour":"not-done"})"), "unknown.colour"));
  CHECK(names(with(R"({"complete":"not-done","note":"not-done"})"), "unknown.note"));
  CHECK(names(with(R"({"complete":"not-done","at":"not-done"})"), "unknown.at"));
  CHECK(names(with(R"(["complete"])"), "unknown"));
}

TEST_CASE("the ledger's own fields cannot be given") {
  for (const char* name : {"v", "seq", "recorded", "prev", "station", "key", "signs"}) {
    Value event = event_of(R"({"kind":"person-left","at":"2026-10-05T09:00Z","by":"ana","person":"ana"})");
    CHECK(names(refusals_of(event.set(name, 1)), name));
  }
}

TEST_CASE("what is no object or has no known kind is refused") {
  for (const char* text : {"[]", "null", "7", "\"packed\""}) CHECK_EQ(refusals_of(event_of(text)).size(), 1U);
  CHECK(names(refusals_of(event_of("{}")), "kind"));
  CHECK(names(refusals_of(event_of(R"({"kind":"exploded"})")), "kind"));
  CHECK(names(refusals_of(event_of(R"({"kind":7})")), "kind"));
}

TEST_CASE("a missing by is filled where the caller has one") {
  auto reading = events::read_draft(event_of(R"({"kind":"person-left","at":"2026-10-05T09:00Z","person":"ana"})"),
                                    Giver::recorder, "station-1");
  REQUIRE(reading.draft);
  CHECK(reading.draft->event.text_at("by") == "station-1");
}
