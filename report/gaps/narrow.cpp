#include "report/gaps/narrow.h"

#include <algorithm>
#include <tuple>

#include "ledger/links/kind_tables.h"
#include "ledger/links/statements.h"
#include "report/gaps/late.h"

namespace trayproof::gaps {
namespace {

using links::each_row;
using links::first_row;
using store::Statement;

// Three columns: as written, earliest, latest.
When when_in(const Statement& row, int column) {
  return {{row.integer(column)}, {row.integer(column + 1)}, {row.integer(column + 2)}};
}

// Whether a `unknown` object as a column holds it marks that field, and how.
Mark mark_in(const Statement& row, int column, std::string_view field) {
  if (row.is_null(column)) return Mark::none;
  const auto parsed = json::parse(row.text(column));
  const auto marker = parsed.ok() ? parsed.value().text_at(field) : std::nullopt;
  if (!marker) return Mark::none;
  return *marker == "not-done" ? Mark::not_done : Mark::not_known;
}

Result<void> read_runs(store::Database& tables, Facts& facts) {
  TRY_LET(auto rows, tables.prepare("SELECT load, method, equipment, start_ms, start_earliest_ms, start_latest_ms, "
                                    "end_ms, end_earliest_ms, end_latest_ms, start_seq, end_seq, cycle, "
                                    "read_temperature_c, read_pressure_kpa_gauge, read_hold_min FROM loads WHERE "
                                    "start_seq IS NOT NULL ORDER BY start_ms, load"));
  TRY(each_row(rows, [&](Statement& row) {
    Run run;
    run.load = row.text(0);
    run.method = row.text(1);
    run.start = when_in(row, 3);
    run.end = when_in(row, 6);
    run.start_seq = row.integer(9);
    run.end_seq = row.maybe_integer(10);
    run.cycle = row.maybe_integer(11);
    run.temperature_c = row.maybe_real(12);
    run.pressure_kpa_gauge = row.maybe_real(13);
    run.hold_min = row.maybe_real(14);
    facts.runs.push_back(std::move(run));
    if (!row.text(2).empty()) facts.equipment[std::string(row.text(2))].runs.push_back(&facts.runs.back());
  }));
  // What was marked stands with the event itself.
  std::map<std::string, Mark, std::less<>> counters;
  TRY_LET(auto marked, tables.prepare("SELECT load, unknown FROM load_started WHERE unknown IS NOT NULL"));
  TRY(each_row(marked, [&](Statement& row) {
    if (const Mark mark = mark_in(row, 1, "cycle"); mark != Mark::none) counters[std::string(row.text(0))] = mark;
  }));
  for (Run& run : facts.runs) run.cycle_unknown = counters.contains(run.load);
  TRY_LET(auto unseen,
          tables.prepare("SELECT l.end_ms, l.end_earliest_ms, l.end_latest_ms, s.unknown FROM loads l JOIN "
                         "load_started s ON s.load = l.load WHERE l.packs_unknown = 1"));
  TRY(each_row(unseen, [&](Statement& row) {
    if (mark_in(row, 3, "packs") == Mark::not_known) facts.unseen_loads.push_back(when_in(row, 0));
  }));
  TRY_LET(auto curves, tables.prepare("SELECT logger, from_ms, curve FROM curves WHERE logger IS NOT NULL ORDER BY "
                                      "from_ms, curve"));
  return each_row(curves, [&](Statement& row) {
    facts.equipment[std::string(row.text(0))].measured.push_back({{row.integer(1)}, row.integer(2)});
  });
}

Result<void> read_blind(store::Database& tables, Facts& facts) {
  TRY_LET(auto rows, tables.prepare("SELECT unknown, at_ms, earliest_ms, latest_ms, until_ms, until_earliest_ms, "
                                    "until_latest_ms FROM procedure_done WHERE unknown IS NOT NULL"));
  return each_row(rows, [&](Statement& row) {
    if (mark_in(row, 0, "packs") == Mark::not_known)
      facts.blind_procedures.push_back(when_in(row, row.is_null(4) ? 1 : 4));
  });
}

Result<void> count_back_records(store::Database& tables, Facts& facts) {
  for (const events::Kind& kind : events::kinds()) {
    if (!can_be_late(kind)) continue;
    TRY_LET(auto count, tables.prepare("SELECT count(*) FROM " + links::table_of(kind.name) +
                                       " WHERE at_ms < ?1 AND latest_ms < ?1"));
    count.bind(1, back_records_end(facts).ms);
    TRY(first_row(count, [&](Statement& row) { facts.back_records += row.integer(0); }));
  }
  return {};
}

// When whose events were entered, on the days of the period and so long before that for each person a pause longer than
// the window of `burst-entry` lies between.
class Entering {
 public:
  Entering(store::Database& tables, Facts& facts, const Near& near) : tables_(tables), facts_(facts), near_(near) {
    const auto add = [&](const sop::Sop& sop) { minutes_ = std::max(minutes_, sop.records_burst_minutes.value_or(0)); };
    for (const sop::Edition& one : facts.editions.all()) add(one.sop);
    if (facts.what_if) add(*facts.what_if);
  }

  Result<void> read() {
    constexpr std::int64_t everything_ms = std::int64_t{1} << 60;
    if (near_.is_all()) return read_between(-everything_ms, everything_ms);
    const std::int64_t begin = facts_.zone.start_of(facts_.day(near_.from())).ms;
    const std::int64_t end =
        near_.until().ms >= everything_ms ? everything_ms : facts_.end_of(facts_.day(near_.until())).ms;
    for (std::int64_t back = day_ms;; back *= 4) {
      const std::int64_t from = back > 4000 * day_ms ? -everything_ms : begin - back;
      TRY(read_between(from, end));
      if (from == -everything_ms || is_paused(from, begin)) return {};
    }
  }

 private:
  Result<void> read_between(std::int64_t from, std::int64_t until) {
    facts_.entered.clear();
    facts_.entered.reserve(facts_.by_origin.size());
    for (const events::Kind& kind : events::kinds()) {
      if (!can_be_late(kind)) continue;
      TRY_LET(auto rows,
              tables_.prepare("SELECT \"by\", coalesce(entered_ms, recorded_ms), earliest_ms, latest_ms, seq "
                              "FROM " +
                              links::table_of(kind.name) + " WHERE coalesce(entered_ms, recorded_ms) BETWEEN ? AND ?"));
      rows.bind(1, from).bind(2, until);
      TRY(each_row(rows, [&](Statement& row) {
        auto person = facts_.people.find(row.text(0));
        if (person == facts_.people.end()) person = facts_.people.emplace(row.text(0)).first;
        facts_.entered.push_back({*person, {row.integer(1)}, {row.integer(2)}, {row.integer(3)}, row.integer(4)});
      }));
    }
    std::sort(facts_.entered.begin(), facts_.entered.end(), [](const Entered& a, const Entered& b) {
      return std::tie(a.by, a.entered, a.seq) < std::tie(b.by, b.entered, b.seq);
    });
    return {};
  }

  // Whether for each person a pause lies before `begin`, or before the first entry after it.
  bool is_paused(std::int64_t from, std::int64_t begin) const {
    bool paused = true;
    const Entered* last = nullptr;
    for (const Entered& one : facts_.entered) {
      if (last == nullptr || last->by != one.by) {
        if (!paused) return false;
        last = nullptr;
        paused = false;
      }
      const std::int64_t since = one.entered.ms - (last == nullptr ? from : last->entered.ms);
      if (last == nullptr || last->entered.ms < begin)
        paused = paused || longer({since, since}, minutes_, minute_ms) == Told::yes;
      last = &one;
    }
    return paused;
  }

  store::Database& tables_;
  Facts& facts_;
  const Near& near_;
  double minutes_ = 0;
};

// First namings: of everything, or of what the entries at hand name and of what looks like it.
class FirstMentions {
 public:
  FirstMentions(store::Database& tables, Facts& facts) : tables_(tables), facts_(facts) {}

  Result<void> read_all() {
    TRY_LET(auto rows, tables_.prepare("SELECT thing, id, min(origin) FROM mentions WHERE holds = 1 GROUP BY thing, id "
                                       "ORDER BY thing, id"));
    return each_row(rows, [&](Statement& row) {
      const Record* event = facts_.by_origin.find(row.integer(2));
      const Instant at = event == nullptr ? facts_.created : event->at.at;
      facts_.first_mentions.push_back({std::string(row.text(0)), std::string(row.text(1)), row.integer(2), at});
    });
  }

  Result<void> read_near() {
    std::set<Thing> named;
    for (const auto& [kind, records] : facts_.records) {
      for (const Record& one : records) add_named(one, named);
    }
    facts_.first_mentions.reserve(named.size());
    for (const auto& [thing, id] : named) TRY(read_first(thing, id));
    TRY(read_alike(named));
    std::sort(facts_.first_mentions.begin(), facts_.first_mentions.end(),
              [](const Mention& a, const Mention& b) { return std::tie(a.thing, a.id) < std::tie(b.thing, b.id); });
    return {};
  }

 private:
  using Thing = std::pair<std::string_view, std::string_view>;  // as the records spell them

  // Of ids that look like those.
  Result<void> read_alike(const std::set<Thing>& named) {
    std::set<std::pair<std::string, std::string>> others;
    TRY_LET(auto alike, tables_.prepare("SELECT id FROM things WHERE thing = ?1 AND folded = replace(replace(replace("
                                        "lower(?2), '0', 'o'), '1', 'l'), 'i', 'l')"));
    for (const Thing& one : named) {
      alike.bind(1, one.first).bind(2, one.second);
      TRY(each_row(alike, [&](Statement& row) {
        if (!named.contains({one.first, row.text(0)})) others.emplace(one.first, row.text(0));
      }));
    }
    for (const auto& [thing, id] : others) TRY(read_first(thing, id));
    return {};
  }

  Result<void> read_first(std::string_view thing, std::string_view id) {
    if (!first_) {
      TRY_LET(first_, tables_.prepare("SELECT origin, kind FROM mentions WHERE thing = ? AND id = ? AND holds = 1 "
                                      "ORDER BY origin LIMIT 1"));
    }
    std::int64_t origin = 0;
    std::string kind;
    first_->bind(1, thing).bind(2, id);
    TRY(first_row(*first_, [&](Statement& row) {
      origin = row.integer(0);
      kind = row.text(1);
    }));
    if (origin == 0) return {};  // only in what a correction has replaced
    TRY_LET(const Instant at, when(origin, kind));
    facts_.first_mentions.push_back({std::string(thing), std::string(id), origin, at});
    return {};
  }

  static void add_ids(std::string_view thing, const json::Value& value, std::set<Thing>& out) {
    if (value.is_text()) out.emplace(thing, value.text());
    if (!value.is_list()) return;
    for (const json::Value& one : value.items()) {
      if (one.is_text()) out.emplace(thing, one.text());
    }
  }

  // As docs/tables.md says of `mentions`.
  static void add_named(const Record& record, std::set<Thing>& out) {
    if (!record.by.empty()) out.emplace("person", record.by);
    for (const Record::Held& field : record.held) {
      const events::Field& known = record.kind->fields[field.field];
      if (const std::string_view thing = events::thing_of(known.name); !thing.empty()) {
        add_ids(thing, field.value, out);
      } else if (known.name == "subject" && known.type == events::Type::subject) {
        const auto thing_named = field.value.text_at("kind");
        const auto id = field.value.text_at("id");
        if (thing_named && id) out.emplace(*thing_named, *id);
      } else if (known.name == "subject" && field.value.is_object()) {
        for (const json::Member& member : field.value.members()) {
          const std::string_view inside = events::thing_of(member.name);
          if (!inside.empty()) add_ids(inside, member.value, out);
        }
      }
    }
  }

  Result<Instant> when(std::int64_t origin, const std::string& kind) {
    if (const Record* event = facts_.by_origin.find(origin)) return event->at.at;
    Instant at = facts_.created;
    TRY_LET(auto read, tables_.prepare("SELECT at_ms FROM " + links::table_of(kind) + " WHERE origin = ?"));
    read.bind(1, origin);
    TRY(first_row(read, [&](Statement& row) { at = {row.integer(0)}; }));
    return at;
  }

  store::Database& tables_;
  Facts& facts_;
  std::optional<Statement> first_;
};

}  // namespace

Result<void> read_narrow(store::Database& tables, Facts& facts, const Near& near) {
  TRY(read_runs(tables, facts));
  TRY(read_blind(tables, facts));
  TRY(count_back_records(tables, facts));
  TRY(Entering(tables, facts, near).read());
  FirstMentions mentions(tables, facts);
  TRY(near.is_all() ? mentions.read_all() : mentions.read_near());
  for (auto& [id, one] : facts.equipment) one.id = id;
  return {};
}

}  // namespace trayproof::gaps
