// What the record says of one thing, as names and values.
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/desk/parts.h"
#include "report/desk/subject.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;
using store::Statement;

class FactReader {
 public:
  explicit FactReader(const Subject& subject) : subject_(subject) {}

  Result<Markup> run() {
    const std::string& kind = subject_.kind;
    if (kind == "load") TRY(load());
    if (kind == "pack") TRY(pack());
    if (kind == "set") TRY(set());
    if (kind == "solution") TRY(solution());
    if (kind == "lot") TRY(lot());
    if (kind == "equipment") TRY(equipment());
    if (kind == "person") TRY(person());
    if (kind == "procedure") TRY(procedure());
    Markup out = facts_.markup();
    if (!dangers_.empty()) out.add(caution_box(dangers_));
    return out;
  }

 private:
  template <typename Visit>
  Result<void> one(const char* sql, const Visit& visit) {
    TRY_LET(auto* row, subject_.tables.statements().at(sql));
    row->bind(1, subject_.id);
    TRY(links::first_row(*row, visit));
    return {};
  }
  void add(std::string_view key, const std::optional<std::string>& value) { facts_.add(key, value.value_or("")); }
  void add_word(std::string_view key, const std::optional<std::string>& value) {
    if (value) facts_.add(key, spelled(*value));
  }
  void add_thing(std::string_view key, std::string_view kind, const std::optional<std::string>& id) {
    if (id) facts_.add(key, thing(kind, *id));
  }
  void add_time(std::string_view key, std::optional<std::int64_t> ms) {
    if (ms) facts_.add(key, time_of(subject_.tables.zone(), {*ms}));
  }
  void add_number(std::string_view key, std::optional<double> value, std::string_view unit) {
    if (value) facts_.add(key, number_here(*value, 3) + std::string(unit));
  }

  Result<void> load() {
    return one(
        R"(SELECT method, equipment, solution, cycle, temperature_c, hold_min, start_ms, end_ms, end_seq, operator,
                         decision, decision_ms, decision_by, complete, read_temperature_c, read_pressure_kpa_gauge,
                         read_hold_min, packs, packs_unknown FROM loads WHERE load = ?1)",
        [&](Statement& row) {
          if (const auto method = row.maybe_text(0)) dangers_.push_back(*method);
          add_word("desk.fact-method", row.maybe_text(0));
          add_thing("desk.fact-equipment", "equipment", row.maybe_text(1));
          add_thing("desk.fact-solution", "solution", row.maybe_text(2));
          if (const auto cycle = row.maybe_integer(3)) facts_.add("desk.fact-cycle", std::to_string(*cycle));
          std::string programme;
          if (const auto c = row.maybe_real(4)) programme = number_here(*c, 1) + " °C";
          if (const auto minutes = row.maybe_real(5))
            programme += (programme.empty() ? "" : ", ") + number_here(*minutes, 1) + " min";
          facts_.add("desk.fact-programme", programme);
          add_time("desk.fact-started", row.maybe_integer(6));
          if (row.is_null(8))
            facts_.add("desk.fact-ended", say("desk.not-recorded"));
          else
            add_time("desk.fact-ended", row.maybe_integer(7));
          add_thing("desk.fact-operator", "person", row.maybe_text(9));
          std::string read;
          if (const auto c = row.maybe_real(14)) read = number_here(*c, 1) + " °C";
          if (const auto kpa = row.maybe_real(15))
            read += (read.empty() ? "" : ", ") + say("desk.kpa-gauge", {{"kpa", number_here(*kpa, 1)}});
          if (const auto minutes = row.maybe_real(16))
            read += (read.empty() ? "" : ", ") + number_here(*minutes, 1) + " min";
          facts_.add("desk.fact-read", read.empty() ? say("desk.not-recorded") : read);
          if (const auto complete = row.maybe_integer(13); complete && *complete == 0)
            facts_.add("desk.fact-complete", say("desk.not-complete"));
          facts_.add("desk.fact-packs",
                     row.integer(18) == 1 ? say("desk.packs-unknown") : std::to_string(row.integer(17)));
          decision(row);
        });
  }

  void decision(Statement& row) {
    const auto decision = row.maybe_text(10);
    if (!decision) return facts_.add("desk.fact-decision", mark("major", say("desk.undecided")));
    Markup says = mark(*decision == "released" ? "plain" : "critical", spelled(*decision));
    says.add_text(" ");
    if (const auto ms = row.maybe_integer(11)) says.add(time_of(subject_.tables.zone(), {*ms})).add_text(" ");
    if (const auto by = row.maybe_text(12)) says.add(thing("person", *by));
    facts_.add("desk.fact-decision", says);
  }

  Result<void> pack() {
    TRY(one(R"(SELECT "set", wrap, packed_ms, packed_by, indicator_lot, wrap_lot, outside, outside_lot, use_by_ms,
                      contact, implant, told_apart FROM packs WHERE pack = ?1)",
            [&](Statement& row) {
              add_thing("desk.fact-set", "set", row.maybe_text(0));
              add_word("desk.fact-wrap", row.maybe_text(1));
              add_time(row.integer(6) == 1 ? "desk.fact-received" : "desk.fact-packed", row.maybe_integer(2));
              add_thing("desk.fact-packed-by", "person", row.maybe_text(3));
              for (const int column : {4, 5, 7}) add_thing("desk.fact-lot", "lot", row.maybe_text(column));
              add_time("desk.fact-use-by", row.maybe_integer(8));
              add_word("desk.fact-contact", row.maybe_text(9));
              if (row.maybe_integer(10).value_or(0) == 1) facts_.add("desk.fact-implant", say("answers.yes"));
              if (row.maybe_integer(11).value_or(1) == 0)
                facts_.add("desk.fact-told-apart", say("desk.not-told-apart"));
            }));
    return one(R"(SELECT kind, at_ms, place, use_by_ms FROM pack_moves WHERE pack = ?1 ORDER BY at_ms DESC, seq DESC)",
               [&](Statement& row) {
                 Markup last = Markup::text(spelled(row.text(0)) + ", ");
                 last.add(time_of(subject_.tables.zone(), {row.integer(1)}));
                 if (const auto place = row.maybe_text(2)) last.add_text(", " + *place);
                 facts_.add("desk.fact-last-move", last);
                 add_time("desk.fact-use-by", row.maybe_integer(3));
               });
  }

  Result<void> set() {
    return one(R"(SELECT title, contact, implant, told_apart, items, seq FROM set_defined WHERE "set" = ?1
                  ORDER BY at_ms DESC, seq DESC)",
               [&](Statement& row) {
                 add("desk.fact-title", row.maybe_text(0));
                 add_word("desk.fact-contact", row.maybe_text(1));
                 if (row.maybe_integer(2).value_or(0) == 1) facts_.add("desk.fact-implant", say("answers.yes"));
                 if (row.maybe_integer(3).value_or(1) == 0)
                   facts_.add("desk.fact-told-apart", say("desk.not-told-apart"));
                 facts_.add("desk.fact-items", items(row.maybe_text(4).value_or("[]")));
                 facts_.add("desk.fact-entry", entry_links({row.integer(5)}));
               });
  }

  // "2 forceps, 1 scissors"
  static std::string items(const std::string& text) {
    const auto list = json::parse(text);
    if (!list.ok() || !list.value().is_list()) return {};
    std::string out;
    for (const json::Value& one : list.value().items()) {
      if (!one.is_object()) continue;
      std::string name(one.text_at("name").value_or(one.text_at("item").value_or("")));
      if (const auto count = one.number_at("count")) name = number_here(*count, 0) + " " + name;
      out += (out.empty() ? "" : ", ") + name;
    }
    return out;
  }

  Result<void> solution() {
    return one(R"(SELECT agent, use, percent, lot, prepared_ms, expires_ms, discarded_ms, prepared_seq FROM solutions
                  WHERE solution = ?1)",
               [&](Statement& row) {
                 if (const auto agent = row.maybe_text(0)) dangers_.push_back(*agent);
                 add_word("desk.fact-agent", row.maybe_text(0));
                 add_word("desk.fact-use", row.maybe_text(1));
                 add_number("desk.fact-percent", row.maybe_real(2), " %");
                 add_thing("desk.fact-lot", "lot", row.maybe_text(3));
                 add_time("desk.fact-prepared", row.maybe_integer(4));
                 add_time("desk.fact-expires", row.maybe_integer(5));
                 if (row.is_null(6))
                   facts_.add("desk.fact-discarded", say("desk.not-discarded"));
                 else
                   add_time("desk.fact-discarded", row.maybe_integer(6));
               });
  }

  Result<void> lot() {
    return one(R"(SELECT sort, type, read_hours, count, expires, at_ms, seq FROM supply_received WHERE lot = ?1
                  ORDER BY at_ms DESC, seq DESC)",
               [&](Statement& row) {
                 add_word("desk.fact-sort", row.maybe_text(0));
                 if (const auto type = row.maybe_integer(1)) facts_.add("desk.fact-type", std::to_string(*type));
                 if (const auto hours = row.maybe_integer(2))
                   facts_.add("desk.fact-read-hours", std::to_string(*hours));
                 if (const auto count = row.maybe_integer(3)) facts_.add("desk.fact-count", std::to_string(*count));
                 facts_.add("desk.fact-expires", written_here(row.maybe_text(4).value_or("")));
                 add_time("desk.fact-received", row.maybe_integer(5));
                 facts_.add("desk.fact-entry", entry_links({row.integer(6)}));
               });
  }

  Result<void> equipment() {
    TRY(one(R"(SELECT sort, serial, accuracy_k, seq FROM equipment_registered WHERE equipment = ?1
               ORDER BY at_ms DESC, seq DESC)",
            [&](Statement& row) {
              add_word("desk.fact-sort", row.maybe_text(0));
              add("desk.fact-serial", row.maybe_text(1));
              add_number("desk.fact-accuracy", row.maybe_real(2), " K");
              facts_.add("desk.fact-entry", entry_links({row.integer(3)}));
            }));
    TRY(one("SELECT count(*), max(start_ms) FROM loads WHERE equipment = ?1", [&](Statement& row) {
      if (row.integer(0) == 0) return;
      facts_.add("desk.fact-loads", std::to_string(row.integer(0)));
      add_time("desk.fact-last-load", row.maybe_integer(1));
    }));
    return one(R"(SELECT "check", result, at_ms, seq FROM equipment_checked
                  WHERE equipment = ?1 ORDER BY at_ms DESC, seq DESC)",
               [&](Statement& row) {
                 Markup last = Markup::text(spelled(row.text(0)) + ": " + spelled(row.text(1)) + ", ");
                 last.add(time_of(subject_.tables.zone(), {row.integer(2)})).add_text(" ");
                 facts_.add("desk.fact-last-check", last.add(entry_links({row.integer(3)})));
               });
  }

  Result<void> person() {
    TRY_LET(const auto roster, subject_.ledger.roster());
    for (const people::Person& one : roster.all()) {
      if (one.id != subject_.id) continue;
      Digest stand_in{};
      if (from_hex(one.name, stand_in)) {
        TRY_LET(const auto name, subject_.ledger.text(stand_in));
        facts_.add("desk.fact-name", name.value_or(say("desk.removed")));
      }
      std::vector<std::string> roles;
      for (const auto& role : one.roles) roles.emplace_back(spelled(role));
      facts_.add("desk.fact-roles", listed(roles));
      if (one.left) facts_.add("desk.fact-left", say("answers.yes"));
    }
    return {};
  }

  Result<void> procedure() {
    return one(
        R"(SELECT sort, place, at_ms, patient, newborns, newborns_without_number, seq, implant FROM procedure_done
                  WHERE procedure = ?1 ORDER BY at_ms DESC, seq DESC)",
        [&](Statement& row) {
          add("desk.fact-sort", row.maybe_text(0));
          add("desk.fact-place", row.maybe_text(1));
          add_time("desk.fact-when", row.maybe_integer(2));
          facts_.add("desk.fact-patient", row.maybe_text(3).value_or(say("desk.not-recorded")));
          if (const auto list = json::parse(row.maybe_text(4).value_or("[]")); list.ok() && list.value().is_list()) {
            for (const json::Value& one : list.value().items())
              if (one.is_text()) facts_.add("desk.fact-newborn", one.text());
          }
          if (const auto count = row.maybe_integer(5); count && *count > 0)
            facts_.add("desk.fact-newborns-without", std::to_string(*count));
          if (row.maybe_integer(7).value_or(0) == 1) facts_.add("desk.fact-implant", say("answers.yes"));
          facts_.add("desk.fact-entry", entry_links({row.integer(6)}));
        });
  }

  const Subject& subject_;
  Facts facts_;
  std::vector<std::string> dangers_;
};

}  // namespace

Result<Markup> facts_of(const Subject& subject) { return FactReader(subject).run(); }

}  // namespace trayproof::desk
