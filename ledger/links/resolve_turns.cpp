#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "ledger/base/time.h"
#include "ledger/links/resolve.h"

namespace trayproof::links {
namespace {

struct Packing {
  std::string pack;
  std::int64_t earliest_ms = 0;
  std::int64_t latest_ms = 0;
};

struct TurnEvent {
  const char* kind = nullptr;
  std::int64_t origin = 0;
  std::int64_t seq = 0;
  std::int64_t at_ms = 0;
  std::int64_t earliest_ms = 0;
  std::int64_t latest_ms = 0;
  std::optional<std::string> solution;
};

// The packings and events of one set that may decide its turns from some moment on.
struct SetHistory {
  std::vector<Packing> packings;  // by latest moment
  std::vector<TurnEvent> events;  // by earliest moment
};

// Far enough back: every packing from which a turn that ends at or after `from_ms` may begin. A packing that is
// certainly before another begins no earlier than the last one known to be a day before.
Result<std::int64_t> look_back(Statements& statements, const std::string& set, std::int64_t from_ms) {
  TRY_LET(auto* const read, statements.at("SELECT max(at_ms) FROM packed WHERE \"set\" = ? AND at_ms < ?"));
  read->bind(1, set).bind(2, from_ms - 2 * day_ms);
  std::int64_t before = INT64_MIN / 2;
  TRY(first_row(*read, [&](store::Statement& row) {
    if (!row.is_null(0)) before = row.integer(0);
  }));
  return before - 2 * day_ms;
}

Result<SetHistory> read_history(Statements& statements, const std::string& set, std::int64_t from_ms) {
  SetHistory history;
  TRY_LET(const std::int64_t since, look_back(statements, set, from_ms));
  TRY_LET(auto* const packed,
          statements.at("SELECT pack, earliest_ms, latest_ms FROM packed WHERE \"set\" = ? AND at_ms >= ?"));
  packed->bind(1, set).bind(2, since);
  TRY(each_row(*packed, [&](store::Statement& row) {
    if (!row.is_null(0)) history.packings.push_back({std::string(row.text(0)), row.integer(1), row.integer(2)});
  }));
  const auto read_events = [&](const char* sql, const char* kind) -> Result<void> {
    TRY_LET(auto* const read, statements.at(sql));
    read->bind(1, set).bind(2, since);
    return each_row(*read, [&](store::Statement& row) {
      history.events.push_back(
          {kind, row.integer(0), row.integer(1), row.integer(2), row.integer(3), row.integer(4), row.maybe_text(5)});
    });
  };
  TRY(read_events(
      "SELECT origin, seq, at_ms, earliest_ms, latest_ms, solution FROM soaked WHERE \"set\" = ? AND at_ms >= ?",
      "soaked"));
  TRY(read_events(
      "SELECT origin, seq, at_ms, earliest_ms, latest_ms, NULL FROM cleaned WHERE \"set\" = ? AND at_ms >= ?",
      "cleaned"));
  TRY(read_events(
      "SELECT origin, seq, at_ms, earliest_ms, latest_ms, NULL FROM inspected WHERE \"set\" = ? AND at_ms >= ?",
      "inspected"));
  std::ranges::sort(history.packings, {}, &Packing::latest_ms);
  std::ranges::sort(history.events, {}, &TurnEvent::earliest_ms);
  return history;
}

// Where a turn begins: of the packings that are certainly before this one, the latest (by its earliest moment).
struct TurnBegin {
  std::optional<std::int64_t> earliest_ms;
  std::optional<std::int64_t> latest_ms;  // of the packing that is certainly before and could be the last
};

// Whether the order of this packing to another one is open, so that events may belong to either.
bool is_contested(const Packing& packing, const SetHistory& history) {
  auto other = std::ranges::lower_bound(history.packings, packing.earliest_ms, {}, &Packing::latest_ms);
  for (; other != history.packings.end() && other->latest_ms - day_ms <= packing.latest_ms; ++other) {
    if (other->pack != packing.pack && other->earliest_ms <= packing.latest_ms) return true;
  }
  return false;
}

bool is_certain(const TurnEvent& event, const TurnBegin& begin, const Packing& packing) {
  return event.latest_ms <= packing.earliest_ms && (!begin.latest_ms || event.earliest_ms > *begin.latest_ms);
}

Result<void> write_turn(Statements& statements, const std::string& set, const Packing& packing, const TurnBegin& begin,
                        const SetHistory& history) {
  TRY_LET(auto* const drop, statements.at("DELETE FROM turns WHERE pack = ?"));
  TRY(drop->bind(1, packing.pack).run());
  const bool contested = is_contested(packing, history);
  // Nothing that began a day before the turn can reach into it.
  const auto first = begin.earliest_ms ? std::ranges::lower_bound(history.events, *begin.earliest_ms - day_ms, {},
                                                                  &TurnEvent::earliest_ms)
                                       : history.events.begin();
  for (auto event = first; event != history.events.end() && event->earliest_ms <= packing.latest_ms; ++event) {
    if (begin.earliest_ms && event->latest_ms <= *begin.earliest_ms) continue;
    TRY_LET(auto* const row, statements.at("INSERT INTO turns VALUES (?, ?, ?, ?, ?, ?, ?, ?)"));
    row->bind(1, packing.pack).bind(2, set).bind(3, event->kind).bind(4, event->origin).bind(5, event->seq);
    TRY(row->bind(6, event->at_ms)
            .bind(7, event->solution)
            .bind(8, !contested && is_certain(*event, begin, packing) ? 1 : 0)
            .run());
  }
  return {};
}

Result<void> resolve_set(Statements& statements, const std::string& set, const Touched::Stretch& touched) {
  TRY_LET(const SetHistory history, read_history(statements, set, touched.first_ms));
  TurnBegin begin;
  std::size_t before = 0;
  // Packings in order of their earliest moment, so that those certainly before only grow.
  std::vector<const Packing*> ordered;
  for (const Packing& packing : history.packings) ordered.push_back(&packing);
  std::ranges::stable_sort(ordered, {}, [](const Packing* packing) { return packing->earliest_ms; });
  for (const Packing* packing : ordered) {
    while (before < history.packings.size() && history.packings[before].latest_ms < packing->earliest_ms) {
      const Packing& earlier = history.packings[before++];
      begin.earliest_ms = std::max(begin.earliest_ms.value_or(earlier.earliest_ms), earlier.earliest_ms);
      begin.latest_ms = earlier.latest_ms;
    }
    if (packing->latest_ms < touched.first_ms) continue;
    // What was touched lies wholly before this turn, and so before all later ones.
    if (begin.earliest_ms && *begin.earliest_ms > touched.last_ms) break;
    TRY(write_turn(statements, set, *packing, begin, history));
  }
  return {};
}

}  // namespace

Result<void> resolve_turns(Statements& statements, const Touched& touched) {
  for (const auto& [set, stretch] : touched.turns) TRY(resolve_set(statements, set, stretch));
  return {};
}

}  // namespace trayproof::links
