#include "report/desk/due.h"

#include <algorithm>

#include "importer/judge_again.h"
#include "ledger/base/desk_limits.h"
#include "ledger/links/trace.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/desk/awaiting.h"
#include "report/desk/parts.h"

namespace trayproof::desk {
namespace {

using store::Statement;

constexpr std::int64_t soon_days = 7;

class Due {
 public:
  Due(const Ledger& ledger, links::Links& tables, const sop::Sop& sop, Instant now)
      : ledger_(ledger), tables_(tables), sop_(sop), now_(now) {}

  Result<std::vector<DueGroup>> run() {
    TRY(recalls());
    TRY(loads());
    TRY(biologicals());
    TRY(solutions());
    TRY(seconds());
    TRY(packs());
    TRY(curves());
    for (DueGroup& group : groups_) {
      if (group.lines.size() <= limits::desk_due_lines) continue;
      group.more = group.lines.size() - limits::desk_due_lines;
      group.lines.resize(limits::desk_due_lines);
    }
    return std::move(groups_);
  }

 private:
  DueGroup& group(std::string_view name) { return groups_.emplace_back(DueGroup{.name = name, .lines = {}}); }
  Result<Statement*> ask(const char* sql) {
    TRY_LET(auto* rows, tables_.statements().at(sql));
    return rows;
  }

  Result<void> recalls() {
    DueGroup& here = group("recalls");
    TRY_LET(auto* rows, ask("SELECT recall, because, opened_ms, drill FROM recalls WHERE closed_seq IS NULL "
                            "ORDER BY drill, opened_ms"));
    return links::each_row(*rows, [&](Statement& row) {
      const std::string recall(row.text(0));
      here.lines.push_back({.kind = "recall",
                            .id = recall,
                            .says = (row.integer(3) == 1 ? say("desk.drill") + ", " : std::string()) +
                                    say("desk.because-" + std::string(row.text(1))),
                            .at = {row.integer(2)},
                            .late = row.integer(3) == 0,
                            .address = address_of("recall", recall),
                            .doing = "desk.do-answer"});
    });
  }

  // Ended and not decided, of the methods whose loads somebody has to release.
  Result<void> loads() {
    DueGroup& here = group("loads");
    TRY_LET(auto* rows, ask(R"(SELECT load, method, equipment, end_ms, curve_verdict, indicators_failed,
                                      biologicals_positive, end_seq, start_ms FROM loads
                               WHERE start_ms >= ?1 AND decision IS NULL ORDER BY start_ms)"));
    rows->bind(1, due_since(now_).ms);
    return links::each_row(*rows, [&](Statement& row) {
      const std::string load(row.text(0));
      const std::string method = row.maybe_text(1).value_or("");
      const bool running = row.is_null(7);
      const auto& methods = sop_.release_methods;
      if (std::find(methods.begin(), methods.end(), method) == methods.end()) return;
      std::string says = spelled(method);
      if (const auto equipment = row.maybe_text(2)) says += ", " + *equipment;
      if (running) says += "; " + say("desk.running");
      const auto verdict = row.maybe_text(4);
      if (verdict) says += "; " + say("desk.curve-says", {{"verdict", spelled(*verdict)}});
      if (row.integer(5) > 0) says += "; " + say("desk.strips-failed", {{"count", std::to_string(row.integer(5))}});
      if (row.integer(6) > 0) says += "; " + say("desk.biological-positive");
      const std::int64_t at = running ? row.integer(8) : row.integer(3);
      const auto hours = sop_.release_hours_max;
      here.lines.push_back(
          {.kind = "load",
           .id = load,
           .says = std::move(says),
           .at = {at},
           .late = (hours && !running && static_cast<double>(now_.ms - at) > *hours * hour_ms) || row.integer(5) > 0 ||
                   row.integer(6) > 0 || (verdict && *verdict == "not-reached"),
           .address = (running ? "/record/load-ended?load=" : "/record/load-released?load=") + encoded(load),
           .doing = running ? "desk.do-end" : "desk.do-decide"});
    });
  }

  // Placed and not read: when they may be read, by the lot, else by the SOP.
  Result<void> biologicals() {
    DueGroup& here = group("biologicals");
    TRY_LET(auto* rows, ask(R"(SELECT p.biological, p.load, p.at_ms,
                                 (SELECT s.read_hours FROM supply_received s WHERE s.lot = p.lot ORDER BY s.at_ms DESC LIMIT 1)
                               FROM biological_placed p
                               WHERE p.at_ms >= ?1 AND NOT EXISTS (SELECT 1 FROM biologicals b WHERE b.load = p.load
                                 AND (b.biological = p.biological OR b.biological IS NULL))
                               ORDER BY p.at_ms)"));
    rows->bind(1, due_since(now_).ms);
    return links::each_row(*rows, [&](Statement& row) {
      const std::string load(row.text(1));
      const auto hours = row.is_null(3) ? sop_.biological_hours : row.maybe_real(3);
      const std::int64_t ready = row.integer(2) + static_cast<std::int64_t>(hours.value_or(0) * hour_ms);
      const std::string says =
          say(ready <= now_.ms ? "desk.biological-ready" : "desk.biological-later", {{"biological", row.text(0)}});
      here.lines.push_back(
          {.kind = "load",
           .id = load,
           .says = says,
           .at = {ready},
           .late = ready <= now_.ms,
           .address = "/record/biological-read?load=" + encoded(load) + "&biological=" + encoded(row.text(0)),
           .doing = "desk.do-read"});
    });
  }

  std::optional<std::int64_t> life_end(const std::string& agent, const std::string& use, std::int64_t prepared) const {
    if (use == "decontamination") {
      if (!sop_.decontamination.life_hours) return std::nullopt;
      return prepared + static_cast<std::int64_t>(*sop_.decontamination.life_hours * hour_ms);
    }
    const sop::Disinfectant* found = sop_.disinfectant(agent);
    if (found == nullptr || !found->life_days) return std::nullopt;
    return prepared + static_cast<std::int64_t>(*found->life_days * day_ms);
  }

  // Since when a test counts: today, or since it was prepared; nothing where the SOP wants none.
  std::optional<std::int64_t> tested_since(const std::string& agent, const std::string& use,
                                           std::int64_t prepared) const {
    if (use == "decontamination")
      return sop_.decontamination.test.value_or(false) ? std::optional(prepared) : std::nullopt;
    const sop::Disinfectant* found = sop_.disinfectant(agent);
    if (found == nullptr || !found->test || *found->test == sop::TestRule::none) return std::nullopt;
    if (*found->test == sop::TestRule::each_batch) return prepared;
    return tables_.zone().start_of(tables_.zone().civil(now_).date).ms;
  }

  // In use: past their life or near its end, or without the test that the SOP asks for.
  Result<void> solutions() {
    DueGroup& here = group("solutions");
    TRY_LET(auto* rows, ask(R"(SELECT s.solution, s.agent, s.use, s.prepared_ms, s.expires_ms,
                                 (SELECT max(t.at_ms) FROM solution_tested t WHERE t.solution = s.solution)
                               FROM solutions s WHERE s.discarded_seq IS NULL AND s.prepared_ms >= ?1
                               ORDER BY s.prepared_ms)"));
    rows->bind(1, due_since(now_).ms);
    return links::each_row(*rows, [&](Statement& row) {
      const std::string id(row.text(0));
      const std::string agent = row.maybe_text(1).value_or("");
      const std::string use = row.maybe_text(2).value_or("");
      const std::int64_t prepared = row.integer(3);
      const auto end = row.is_null(4) ? life_end(agent, use, prepared) : row.maybe_integer(4);
      if (end && *end - now_.ms < 12 * hour_ms) {
        const bool over = *end <= now_.ms;
        here.lines.push_back({.kind = "solution",
                              .id = id,
                              .says = spelled(agent) + ", " + say(over ? "desk.life-over" : "desk.life-ends"),
                              .at = {*end},
                              .late = over,
                              .address = "/record/solution-discarded?solution=" + encoded(id),
                              .doing = "desk.do-discard"});
        if (over) return;
      }
      const auto since = tested_since(agent, use, prepared);
      if (!since || row.maybe_integer(5).value_or(INT64_MIN) >= *since) return;
      here.lines.push_back({.kind = "solution",
                            .id = id,
                            .says = spelled(agent) + ", " + say("desk.untested"),
                            .at = {*since},
                            .late = true,
                            .address = "/record/solution-tested?solution=" + encoded(id),
                            .doing = "desk.do-test"});
    });
  }

  // Those with a second person named or needed, and no countersignature that counts.
  Result<void> seconds() {
    DueGroup& here = group("seconds");
    constexpr std::int64_t looked_at = 200;
    here.all = "/seconds";
    TRY_LET(const auto waiting, awaiting_second(ledger_, tables_, due_since(now_), looked_at));
    for (const Awaiting& one : waiting) {
      here.lines.push_back(
          {.kind = "entry",
           .id = std::to_string(one.seq),
           .says = one.says +
                   (one.second.empty() ? "" : ", " + say("desk.second-named", {{"second", one.second}})),
           .at = one.at,
           .address = "/second/" + std::to_string(one.seq),
           .doing = "desk.do-countersign"});
    }
    return {};
  }

  // On the shelf with a date on the label: past it, or within a week of it.
  Result<void> packs() {
    DueGroup& here = group("packs");
    std::int64_t longest_days = soon_days;
    for (const auto& [wrap, life] : sop_.shelf) {
      if (life.days) longest_days = std::max(longest_days, static_cast<std::int64_t>(*life.days));
    }
    TRY_LET(auto* rows, ask(R"(SELECT s.pack, s.use_by_ms, s.place FROM pack_stored s
                               WHERE s.at_ms >= ?1 AND s.use_by_ms <= ?2
                                 AND NOT EXISTS (SELECT 1 FROM pack_moves m WHERE m.pack = s.pack AND m.at_ms >= s.at_ms
                                                 AND m.origin <> s.origin)
                                 AND NOT EXISTS (SELECT 1 FROM uses u WHERE u.pack = s.pack AND u.use_ms >= s.at_ms)
                               ORDER BY s.use_by_ms, s.pack)"));
    rows->bind(1, now_.ms - (longest_days + 30) * day_ms).bind(2, now_.ms + soon_days * day_ms);
    return links::each_row(*rows, [&](Statement& row) {
      const std::string pack(row.text(0));
      const bool over = row.integer(1) < now_.ms;
      here.lines.push_back(
          {.kind = "pack",
           .id = pack,
           .says = say(over ? "desk.use-by-over" : "desk.use-by-near", {{"place", row.maybe_text(2).value_or("")}}),
           .at = {row.integer(1)},
           .late = over,
           .address = over ? "/record/pack-withdrawn?pack=" + encoded(pack) : address_of("pack", pack),
           .doing = over ? "desk.do-withdraw" : "desk.do-look"});
    });
  }

  Result<void> curves() {
    DueGroup& here = group("curves");
    TRY_LET(const auto waiting, importer::waiting_curves(tables_));
    for (const auto& one : waiting) {
      here.lines.push_back({.kind = "entry",
                            .id = std::to_string(one.seq),
                            .says = say("desk.curve-waits", {{"equipment", one.equipment}}),
                            .at = one.from,
                            .address = "/entry/" + std::to_string(one.seq),
                            .doing = "desk.do-look"});
    }
    return {};
  }

  const Ledger& ledger_;
  links::Links& tables_;
  const sop::Sop& sop_;
  Instant now_;
  std::vector<DueGroup> groups_;
};

}  // namespace

Result<std::vector<DueGroup>> due_now(const Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                                      Instant now) {
  const sop::Edition* edition = editions.at(now);
  const sop::Sop none;
  return Due(ledger, tables, edition == nullptr ? none : edition->sop, now).run();
}

}  // namespace trayproof::desk
