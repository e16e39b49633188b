#include "ledger/recall/window.h"

#include <algorithm>
#include <cstdlib>
#include <tuple>

namespace trayproof::recall {
namespace {

// Whether the reading was incubated long enough: the hours of its lot, else of the SOP in force at the reading; where
// neither states any, none need be stated.
bool is_long_enough(std::optional<double> hours, std::optional<std::int64_t> lot_hours, Instant read_at,
                    const sop::Editions& editions) {
  std::optional<double> needed;
  if (lot_hours) {
    needed = static_cast<double>(*lot_hours);
  } else if (const sop::Edition* edition = editions.at(read_at)) {
    needed = edition->sop.biological_hours;
  }
  return !needed || (hours && *hours >= *needed);
}

// Of two edges before the trigger the one with the later earliest moment bounds; after it, the one with the earlier
// latest moment.
bool bounds_closer(const Edge& one, const std::optional<Edge>& other, Side side) {
  if (!other) return true;
  if (side == Side::before) return std::tie(one.span.earliest, one.id) > std::tie(other->span.earliest, other->id);
  return std::tie(one.span.latest, one.id) < std::tie(other->span.latest, other->id);
}

}  // namespace

Result<std::optional<Edge>> nearest_valid_negative(const Trigger& trigger, Side side, links::Links& links,
                                                   const sop::Editions& editions) {
  const char* sql = side == Side::before ? "SELECT b.load, b.start_ms, b.start_earliest_ms, b.start_latest_ms, "
                                           "b.hours, b.lot_read_hours, b.at_ms, b.seq, l.start_seq"
                                           " FROM biologicals b JOIN loads l ON l.load = b.load WHERE b.equipment = ? "
                                           "AND b.method = ? AND b.counts = 1"
                                           " AND b.start_ms <= ? ORDER BY b.start_ms DESC"
                                         : "SELECT b.load, b.start_ms, b.start_earliest_ms, b.start_latest_ms, "
                                           "b.hours, b.lot_read_hours, b.at_ms, b.seq, l.start_seq"
                                           " FROM biologicals b JOIN loads l ON l.load = b.load WHERE b.equipment = ? "
                                           "AND b.method = ? AND b.counts = 1"
                                           " AND b.start_ms >= ? ORDER BY b.start_ms";
  std::optional<Edge> best;
  TRY_LET(auto* const read, links.statements().at(sql));
  read->bind(1, trigger.equipment).bind(2, trigger.method);
  read->bind(3, side == Side::before ? trigger.start.latest.ms : trigger.start.earliest.ms);
  while (true) {
    TRY_LET(const bool more, read->step());
    if (!more) break;
    Edge edge{{std::string(read->text(0)), {read->integer(1)}, {read->integer(8), read->integer(7)}},
              {{read->integer(2)}, {read->integer(3)}},
              std::string(read->text(0))};
    // No interval is longer than a day: further on nothing can bound closer.
    if (best && std::abs(edge.bound.at.ms - best->bound.at.ms) > 2 * day_ms) break;
    const bool on_its_side = side == Side::before
                                 ? std::tie(edge.span.latest, edge.id) < std::tie(trigger.start.earliest, trigger.load)
                                 : std::tie(edge.span.earliest, edge.id) > std::tie(trigger.start.latest, trigger.load);
    if (edge.id == trigger.load || !on_its_side || !bounds_closer(edge, best, side)) continue;
    if (is_long_enough(read->maybe_real(4), read->maybe_integer(5), {read->integer(6)}, editions))
      best = std::move(edge);
  }
  read->reset();
  return best;
}

Result<std::optional<Edge>> nearest_pass(const std::string& equipment, const std::string& check, Instant at, Side side,
                                         links::Links& links) {
  std::optional<Edge> best;
  TRY_LET(auto* const read, links.statements().at("SELECT at_ms, earliest_ms, latest_ms, seq FROM equipment_checked"
                                                  " WHERE equipment = ? AND \"check\" = ? AND result = 'pass'"));
  read->bind(1, equipment).bind(2, check);
  TRY(links::each_row(*read, [&](store::Statement& row) {
    Edge edge{{std::nullopt, {row.integer(0)}, {row.integer(3)}}, {{row.integer(1)}, {row.integer(2)}}, {}};
    const bool on_its_side = side == Side::before ? edge.span.latest < at : edge.span.earliest > at;
    if (on_its_side && bounds_closer(edge, best, side)) best = std::move(edge);
  }));
  return best;
}

AffectedLoad affected_load_of(const store::Statement& row) {
  AffectedLoad load;
  load.load = row.text(0);
  load.equipment = row.maybe_text(1);
  load.started_ms = row.maybe_integer(2);
  load.ended_ms = row.maybe_integer(3);
  load.released_ms = row.maybe_integer(4);
  load.evidence_missing = row.integer(5) == 1;
  load.may_wait = row.integer(6) == 1;
  load.start_seq = row.maybe_integer(7);
  load.end_seq = row.maybe_integer(8);
  load.decision_seq = row.maybe_integer(9);
  return load;
}

bool lies_between(const Window& window, const std::string& load, Span start) {
  if (window.after) {
    const Edge& edge = *window.after;
    if (edge.id == load) return false;
    if (edge.id.empty() ? start.latest <= edge.span.earliest
                        : std::tie(start.latest, load) <= std::tie(edge.span.earliest, edge.id))
      return false;
  }
  if (window.before) {
    const Edge& edge = *window.before;
    if (edge.id == load) return false;
    if (edge.id.empty() ? start.earliest >= edge.span.latest
                        : std::tie(start.earliest, load) >= std::tie(edge.span.latest, edge.id))
      return false;
  }
  return !window.until || start.earliest <= *window.until;
}

Result<std::vector<AffectedLoad>> loads_between(const Window& window, links::Links& links) {
  std::int64_t first = INT64_MIN;
  std::int64_t last = INT64_MAX;
  if (window.after) first = window.after->span.earliest.ms - day_ms;
  if (window.before) last = window.before->span.latest.ms;
  if (window.until) last = std::min(last, window.until->ms);
  std::vector<AffectedLoad> loads;
  TRY_LET(
      auto* const read,
      links.statements().at(
          "SELECT load, equipment, start_ms, CASE WHEN end_seq IS NOT NULL THEN end_ms END,"
          " CASE WHEN decision = 'released' THEN decision_ms END, evidence = 'missing', may_wait, start_seq, end_seq,"
          " decision_seq, start_earliest_ms, start_latest_ms, method FROM loads"
          " WHERE equipment = ? AND start_earliest_ms BETWEEN ? AND ? ORDER BY start_earliest_ms"));
  read->bind(1, window.equipment).bind(2, first).bind(3, last);
  TRY(links::each_row(*read, [&](store::Statement& row) {
    if (!window.method.empty() && row.text(12) != window.method) return;
    AffectedLoad load = affected_load_of(row);
    if (lies_between(window, load.load, {{row.integer(10)}, {row.integer(11)}})) loads.push_back(std::move(load));
  }));
  return loads;
}

}  // namespace trayproof::recall
