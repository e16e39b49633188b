// Reads the facts from the derived tables: records first, then what ties them together.
#include <algorithm>
#include <functional>
#include <set>

#include "report/gaps/late.h"
#include "report/gaps/narrow.h"
#include "report/gaps/near.h"
#include "report/gaps/recall_changes.h"
#include "report/gaps/recall_work.h"
#include "report/gaps/what_if_curves.h"

namespace trayproof::gaps {
namespace {

using Row = store::Statement;

std::string text_or_empty(const Row& row, int column) { return row.maybe_text(column).value_or(""); }

// Three columns: as written, earliest, latest.
When when_in(const Row& row, int column) {
  return {{row.integer(column)}, {row.integer(column + 1)}, {row.integer(column + 2)}};
}

class Reading {
 public:
  Reading(store::Database& tables, Facts& facts, const Near& near, const RecallAnswers& answers)
      : tables_(tables), facts_(facts), near_(near), answers_(answers) {}

  Result<void> read() {
    TRY(read_kinds());
    TRY(read_loads());
    TRY(read_packs());
    TRY(read_load_packs());
    TRY(read_solutions());
    TRY(read_curves());
    TRY(read_indicators());
    TRY(read_biologicals());
    TRY(read_uses());
    TRY(read_moves());
    TRY(read_turns());
    TRY(read_soaks());
    tie_equipment();
    tie_recalls();
    return {};
  }

 private:
  // `{near}` stands for the condition.
  Result<void> each(std::string sql, const std::string& near, const std::function<void(const Row&)>& visit) {
    const std::size_t place = sql.find("{near}");
    CHECK(place != std::string::npos);
    sql.replace(place, 6, near.empty() ? "" : " WHERE " + near);
    TRY_LET(Row rows, tables_.prepare(sql));
    for (;;) {
      TRY_LET(const bool more, rows.step());
      if (!more) return {};
      visit(rows);
    }
  }

  const Record* record(std::int64_t origin) const { return facts_.by_origin.find(origin); }

  Load* load(std::string_view id) {
    const auto found = facts_.loads.find(id);
    return found == facts_.loads.end() ? nullptr : &found->second;
  }

  Pack* pack(std::string_view id) {
    const auto found = facts_.packs.find(id);
    return found == facts_.packs.end() ? nullptr : &found->second;
  }

  Result<void> read_kinds() {
    for (const events::Kind& kind : events::kinds()) {
      if (kind.name != "countersigned") TRY(read_kind(kind, is_read_whole(kind) ? "" : near_.events(kind.name)));
    }
    TRY(read_countersigned());
    for (const Record& one : facts_.of("set-defined"))
      facts_.by_set_defined[std::string(one.text("set"))].push_back(&one);
    for (const Record& one : facts_.of("supply-received")) {
      facts_.by_lot_received[std::string(one.text("lot"))].push_back(&one);
    }
    for (const Record& one : facts_.of("ledger-opened")) {
      facts_.ledger = one.text("ledger");
      facts_.created = one.recorded;
    }
    // A corrected entry is seconded as the correction that holds; its original no longer needs it.
    std::set<std::int64_t> countersigned;
    for (const Record& one : facts_.of("countersigned"))
      countersigned.insert(static_cast<std::int64_t>(one.number("of").value_or(0)));
    std::map<std::int64_t, const Record*> entries;
    for (const Record* one : facts_.by_origin) {
      if (countersigned.contains(one->seq)) entries.emplace(one->seq, one);
    }
    for (const Record& one : facts_.of("corrected")) entries[one.seq] = &one;
    facts_.seconds.read({.added = facts_.of("key-added"),
                         .retired = facts_.of("key-retired"),
                         .countersigned = facts_.of("countersigned"),
                         .entries = entries});
    return {};
  }

  Result<void> read_kind(const events::Kind& kind, const std::string& where) {
    TRY_LET(auto records, read_records(tables_, kind, facts_.names, where));
    const auto& kept = facts_.records[kind.name] = std::move(records);
    facts_.by_origin.add(kept);
    return {};
  }

  // Those of the period, and those of entries that are at hand.
  Result<void> read_countersigned() {
    const events::Kind& kind = *events::find_kind("countersigned");
    if (near_.is_all()) return read_kind(kind, "");
    std::vector<std::int64_t> seqs;
    for (const Record* one : facts_.by_origin) seqs.push_back(one->seq);
    for (const Record& one : facts_.of("corrected")) seqs.push_back(one.seq);
    std::sort(seqs.begin(), seqs.end());
    std::vector<std::int64_t> wanted;
    TRY(each("SELECT origin, \"of\" FROM countersigned{near}", "", [&](const Row& row) {
      if (std::binary_search(seqs.begin(), seqs.end(), row.integer(1))) wanted.push_back(row.integer(0));
    }));
    TRY_LET(Row add, tables_.prepare("INSERT OR IGNORE INTO temp.near_events VALUES (?, ?)"));
    for (const std::int64_t origin : wanted) {
      TRY(add.bind(1, static_cast<std::int64_t>(&kind - events::kinds().data())).bind(2, origin).run());
    }
    return read_kind(kind, near_.events(kind.name));
  }

  Result<void> read_loads() {
    TRY(each("SELECT load FROM loads{near}", near_.loads(),
             [&](const Row& row) { facts_.loads[std::string(row.text(0))].id = row.text(0); }));
    for (const Record& one : facts_.of("load-started")) {
      Load* found = load(one.text("load"));
      if (found == nullptr) continue;
      found->started = &one;
      found->method = one.text("method");
      found->equipment = one.text("equipment");
    }
    for (const Record& one : facts_.of("load-ended")) {
      if (Load* found = load(one.text("load"))) found->ended = &one;
    }
    for (const std::string_view kind : {"load-changed", "load-released", "load-rejected", "biological-placed"}) {
      for (const Record& one : facts_.of(kind)) {
        Load* found = load(one.text("load"));
        if (found == nullptr) continue;
        (kind == "load-changed"        ? found->changes
         : kind == "biological-placed" ? found->placed
                                       : found->decisions)
            .push_back(&one);
      }
    }
    for (auto& [id, one] : facts_.loads) {
      std::stable_sort(one.decisions.begin(), one.decisions.end(), [](const Record* a, const Record* b) {
        return a->at.at != b->at.at ? a->at.at < b->at.at : a->seq < b->seq;
      });
      if (one.has_time()) facts_.loads_by_start.push_back(&one);
    }
    std::stable_sort(facts_.loads_by_start.begin(), facts_.loads_by_start.end(), [](const Load* a, const Load* b) {
      return a->start().at != b->start().at ? a->start().at < b->start().at : a->id < b->id;
    });
    return {};
  }

  Result<void> read_packs() {
    TRY(each("SELECT pack, \"set\", wrap, use_by_ms, told_apart FROM packs{near}", near_.packs(), [&](const Row& row) {
      Pack& one = facts_.packs[std::string(row.text(0))];
      one.id = row.text(0);
      one.set = text_or_empty(row, 1);
      one.wrap = text_or_empty(row, 2);
      if (const auto use_by = row.maybe_integer(3)) one.use_by = Instant{*use_by};
      one.told_apart = row.maybe_integer(4).value_or(1) != 0;
    }));
    for (const Record& one : facts_.of("packed")) {
      Pack* found = pack(one.text("pack"));
      if (found == nullptr) continue;
      found->packed = &one;
      found->set_definition = facts_.set_definition(found->set, one.at.at);
    }
    for (const Record& one : facts_.of("pack-received")) {
      if (Pack* found = pack(one.text("pack"))) found->received = &one;
    }
    return {};
  }

  Result<void> read_load_packs() {
    TRY(each("SELECT load, pack FROM load_packs{near} ORDER BY load, pack", near_.packs(), [&](const Row& row) {
      Load* held_by = load(row.text(0));
      Pack* held = pack(row.text(1));
      if (held_by == nullptr || held == nullptr) return;
      held_by->packs.push_back(held);
      if (held_by->has_time()) held->loads.push_back(held_by);
    }));
    for (auto& [id, one] : facts_.packs) {
      std::stable_sort(one.loads.begin(), one.loads.end(), [](const Load* a, const Load* b) {
        return a->end().at != b->end().at ? a->end().at < b->end().at : a->id < b->id;
      });
    }
    return {};
  }

  Result<void> read_solutions() {
    TRY(each("SELECT solution FROM solutions{near}", near_.solutions(),
             [&](const Row& row) { facts_.solutions[std::string(row.text(0))].id = row.text(0); }));
    const auto at = [&](const Record& one) -> Solution* {
      const auto found = facts_.solutions.find(one.text("solution"));
      return found == facts_.solutions.end() ? nullptr : &found->second;
    };
    for (const Record& one : facts_.of("solution-prepared")) {
      if (Solution* found = at(one)) found->prepared = &one;
    }
    for (const Record& one : facts_.of("solution-discarded")) {
      if (Solution* found = at(one)) found->discarded = &one;
    }
    for (const Record& one : facts_.of("solution-tested")) {
      if (Solution* found = at(one)) found->tests.push_back(&one);
    }
    for (const Load* one : facts_.loads_by_start) {
      if (one->started == nullptr) continue;
      if (Solution* found = at(*one->started)) {
        found->loads.push_back(one);
        load(one->id)->solution = found;
      }
    }
    return {};
  }

  Result<void> read_curves() {
    return each("SELECT curve, logger, from_ms, load, judged_seq, verdict FROM curves{near} ORDER BY from_ms, curve",
                near_.curves(), [&](const Row& row) {
                  Curve one;
                  one.seq = row.integer(0);
                  one.logger = text_or_empty(row, 1);
                  one.from = Instant{row.integer(2)};
                  if (const auto judged = row.maybe_integer(4)) one.judged = record(*judged);
                  if (one.judged != nullptr) one.verdict = text_or_empty(row, 5);
                  facts_.curves.push_back(one);
                  if (!one.logger.empty()) facts_.equipment[one.logger].curves.push_back(&facts_.curves.back());
                  if (row.is_null(3)) return;
                  if (Load* found = load(row.text(3))) found->curves.push_back(&facts_.curves.back());
                });
  }

  Result<void> read_indicators() {
    std::map<std::int64_t, Indicator*> known;
    return each("SELECT origin, load, pack, result FROM indicators{near} ORDER BY at_ms, seq, load",
                near_.events("indicator-read"), [&](const Row& row) {
                  const Record* read = record(row.integer(0));
                  if (read == nullptr) return;
                  Indicator*& one = known[read->origin];
                  if (one == nullptr) {
                    facts_.indicators.push_back({read, text_or_empty(row, 2), text_or_empty(row, 3), {}});
                    one = &facts_.indicators.back();
                    if (Pack* found = pack(one->pack)) found->indicators.push_back(one);
                  }
                  Load* found = row.is_null(1) ? nullptr : load(row.text(1));
                  if (found == nullptr) return;
                  one->loads.push_back(found);
                  found->indicators.push_back(one);
                });
  }

  Result<void> read_biologicals() {
    return each(
        "SELECT origin, load, lot, lot_seq, lot_read_hours, lot_expires FROM biologicals{near} "
        "ORDER BY at_ms, seq",
        near_.loads(), [&](const Row& row) {
          const Record* read = record(row.integer(0));
          Load* found = load(row.text(1));
          if (read == nullptr || found == nullptr) return;
          Biological one;
          one.record = read;
          one.load = found;
          one.lot = text_or_empty(row, 2);
          one.lot_seq = row.maybe_integer(3);
          one.hours_wanted_by_lot = row.maybe_real(4);
          one.lot_expires = text_or_empty(row, 5);
          facts_.biologicals.push_back(one);
          found->biologicals.push_back(&facts_.biologicals.back());
        });
  }

  Result<void> read_uses() {
    Use* last = nullptr;
    return each(
        "SELECT origin, procedure, pack, use_ms, use_earliest_ms, use_latest_ms, load FROM uses{near} "
        "ORDER BY use_ms, procedure, pack, load",
        near_.packs(), [&](const Row& row) {
          const Record* done = record(row.integer(0));
          Pack* used = pack(row.text(2));
          if (done == nullptr || used == nullptr) return;
          if (last == nullptr || last->procedure != done || last->pack != used) {
            facts_.uses.push_back({done, std::string(row.text(1)), used, when_in(row, 3), {}});
            last = &facts_.uses.back();
            used->uses.push_back(last);
          }
          const Load* relevant = row.is_null(6) ? nullptr : load(row.text(6));
          if (relevant != nullptr) last->loads.push_back(relevant);
        });
  }

  Result<void> read_moves() {
    return each("SELECT origin, pack, use_by_ms, load FROM pack_moves{near} ORDER BY at_ms, seq, load", near_.packs(),
                [&](const Row& row) {
                  const Record* moved = record(row.integer(0));
                  Pack* found = pack(row.text(1));
                  if (moved == nullptr || found == nullptr) return;
                  if (found->moves.empty() || found->moves.back().record != moved) {
                    found->moves.push_back({moved, {}, std::nullopt});
                    if (const auto use_by = row.maybe_integer(2)) found->moves.back().use_by = Instant{*use_by};
                  }
                  const Load* relevant = row.is_null(3) ? nullptr : load(row.text(3));
                  if (relevant != nullptr) found->moves.back().loads.push_back(relevant);
                });
  }

  Result<void> read_turns() {
    return each("SELECT pack, origin, certain FROM turns{near} ORDER BY pack, at_ms, seq", near_.packs(),
                [&](const Row& row) {
                  const Record* step = record(row.integer(1));
                  Pack* found = pack(row.text(0));
                  if (step != nullptr && found != nullptr) found->turn.push_back({step, row.integer(2) != 0});
                });
  }

  Result<void> read_soaks() {
    return each(
        "SELECT origin, solution, ended_seq, ended_ms, ended_earliest_ms, ended_latest_ms FROM soaks{near} ORDER BY "
        "at_ms, seq",
        near_.events("soaked"), [&](const Row& row) {
          Soak one;
          one.record = record(row.integer(0));
          if (one.record == nullptr) return;
          const auto solution = facts_.solutions.find(row.text(1));
          one.end_seq = row.maybe_integer(2);
          if (one.end_seq) one.end = when_in(row, 3);
          if (solution != facts_.solutions.end()) one.solution = &solution->second;
          facts_.soaks.push_back(one);
          if (solution != facts_.solutions.end()) solution->second.soaks.push_back(&facts_.soaks.back());
        });
  }

  void tie_equipment() {
    for (const Record& one : facts_.of("equipment-registered")) {
      facts_.equipment[std::string(one.text("equipment"))].sort = one.text("sort");
    }
    for (const Record& one : facts_.of("equipment-checked")) {
      facts_.equipment[std::string(one.text("equipment"))].checks.push_back(&one);
    }
    for (const std::string_view kind : {"equipment-stopped", "equipment-resumed"}) {
      for (const Record& one : facts_.of(kind))
        facts_.equipment[std::string(one.text("equipment"))].stops.push_back(&one);
    }
    for (const Load* one : facts_.loads_by_start) {
      if (!one->equipment.empty()) facts_.equipment[one->equipment].loads.push_back(one);
    }
    for (auto& [id, one] : facts_.equipment) {
      one.id = id;
      std::stable_sort(one.stops.begin(), one.stops.end(), [](const Record* a, const Record* b) {
        return a->at.at != b->at.at ? a->at.at < b->at.at : a->seq < b->seq;
      });
    }
  }

  void tie_recalls() {
    for (const Record& one : facts_.of("recall-opened")) {
      Recall& recall = facts_.recalls[std::string(one.text("recall"))];
      recall.opened = &one;
      recall.drill = one.flag("drill").value_or(false);
      const auto answer = answers_ ? answers_(one.text("answer")) : std::nullopt;
      const json::Value* packs = answer ? answer->find("packs") : nullptr;
      if (packs == nullptr || !packs->is_list()) continue;
      recall.answer_read = true;
      for (const json::Value& pack : packs->items()) recall.packs.emplace(pack.text_at("pack").value_or(""));
    }
    for (const Record& one : facts_.of("recall-closed")) {
      const auto found = facts_.recalls.find(one.text("recall"));
      if (found != facts_.recalls.end()) found->second.closed = &one;
    }
  }

  store::Database& tables_;
  Facts& facts_;
  const Near& near_;
  const RecallAnswers& answers_;
};

}  // namespace

Result<Facts> read_facts(store::Database& tables, Surroundings around) {
  Facts facts;
  facts.editions = std::move(around.editions);
  facts.what_if = std::move(around.what_if);
  facts.now = around.now;
  facts.until = around.until.value_or(around.now);
  Near near(tables);
  if (around.from) {
    TRY_LET(near, Near::of_period(tables, facts, *around.from, around.until));
  }
  TRY(Reading(tables, facts, near, around.recall_answers).read());
  if (facts.what_if) TRY(judge_curves_what_if(facts, around.curve_judge));
  const auto& described = facts.of("facility-described");
  if (!described.empty()) {
    TRY_LET(facts.zone, Zone::find(described.back().text("zone")));
  }
  read_recall_work(facts, near, around.recall_work);
  TRY(read_recall_changes(tables, facts, near, around.recall_again));
  TRY(read_narrow(tables, facts, near));
  TRY(near.forget());
  return facts;
}

}  // namespace trayproof::gaps
