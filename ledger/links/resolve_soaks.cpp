#include <algorithm>
#include <map>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "ledger/links/resolve.h"

namespace trayproof::links {
namespace {

// A soaked or a soak-ended of one set.
struct Happening {
  bool is_end = false;
  std::int64_t origin = 0;
  std::int64_t seq = 0;
  std::string solution;  // empty: not recorded
  Times at;
  std::optional<std::int64_t> ended_seq;
  std::optional<Times> ended;
};

// The last soak of the set in that solution before a moment; the moment itself when there is none.
Result<std::int64_t> soak_before(Statements& statements, const std::string& set, const std::string& solution,
                                 std::int64_t ms) {
  std::int64_t found_ms = ms;
  TRY_LET(auto* const before,
          statements.at("SELECT at_ms FROM soaked WHERE \"set\" = ? AND at_ms < ? AND coalesce(solution, '') = ?"
                        " ORDER BY at_ms DESC LIMIT 1"));
  before->bind(1, set).bind(2, ms).bind(3, solution);
  TRY(first_row(*before, [&](store::Statement& row) { found_ms = row.integer(0); }));
  return found_ms;
}

// From where each set's soaks are worked out again: the first moment touched, and before it, of each solution touched,
// the soak that may have been ended by what was touched.
Result<std::map<std::string, std::int64_t>> begins_of(Statements& statements, const Touched& touched) {
  std::map<std::string, std::int64_t> first_touched;
  for (const auto& [key, ms] : touched.soaks_from) {
    const auto [place, fresh] = first_touched.try_emplace(key.first, ms);
    if (!fresh) place->second = std::min(place->second, ms);
  }
  std::map<std::string, std::int64_t> begins = first_touched;
  for (const auto& one : touched.soaks_from) {
    const auto& key = one.first;
    TRY_LET(const std::int64_t before, soak_before(statements, key.first, key.second, first_touched.at(key.first)));
    begins.at(key.first) = std::min(begins.at(key.first), before);
  }
  return begins;
}

Result<std::vector<Happening>> read_happenings(Statements& statements, const std::string& set, std::int64_t from_ms) {
  std::vector<Happening> out;
  TRY_LET(
      auto* const soaked,
      statements.at(
          "SELECT origin, seq, solution, at_ms, earliest_ms, latest_ms, until_ms, until_earliest_ms, until_latest_ms"
          " FROM soaked WHERE \"set\" = ? AND at_ms >= ?"));
  soaked->bind(1, set).bind(2, from_ms);
  TRY(each_row(*soaked, [&](store::Statement& row) {
    Happening soak{false,
                   row.integer(0),
                   row.integer(1),
                   std::string(row.text(2)),
                   {row.integer(3), row.integer(4), row.integer(5)},
                   {},
                   {}};
    if (!row.is_null(6)) {
      soak.ended_seq = soak.seq;
      soak.ended = Times{row.integer(6), row.integer(7), row.integer(8)};
    }
    out.push_back(std::move(soak));
  }));
  TRY_LET(auto* const ended, statements.at("SELECT origin, seq, solution, at_ms, earliest_ms, latest_ms FROM "
                                           "soak_ended WHERE \"set\" = ? AND at_ms >= ?"));
  ended->bind(1, set).bind(2, from_ms);
  TRY(each_row(*ended, [&](store::Statement& row) {
    out.push_back({true,
                   row.integer(0),
                   row.integer(1),
                   std::string(row.text(2)),
                   {row.integer(3), row.integer(4), row.integer(5)},
                   {},
                   {}});
  }));
  std::ranges::sort(out, {}, [](const Happening& one) { return std::pair(one.at.ms, one.origin); });
  return out;
}

// An end belongs to the last soak in that solution before it, if that one is still open.
void match_ends(std::vector<Happening>& happenings) {
  std::map<std::string_view, Happening*> open;
  for (Happening& one : happenings) {
    Happening*& soak = open[one.solution];
    if (!one.is_end) {
      soak = one.ended ? nullptr : &one;
    } else if (soak != nullptr) {
      soak->ended_seq = one.seq;
      soak->ended = one.at;
      soak = nullptr;
    }
  }
}

Result<void> write(Statements& statements, const std::string& set, const Happening& soak) {
  TRY_LET(auto* const row, statements.at("INSERT INTO soaks VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"));
  row->bind(1, soak.origin).bind(2, soak.seq).bind(3, set);
  if (soak.solution.empty())
    row->bind_null(4);
  else
    row->bind(4, soak.solution);
  row->bind(5, soak.at.ms).bind(6, soak.at.earliest_ms).bind(7, soak.at.latest_ms).bind(8, soak.ended_seq);
  if (soak.ended) {
    row->bind(9, soak.ended->ms).bind(10, soak.ended->earliest_ms).bind(11, soak.ended->latest_ms);
  } else {
    row->bind_null(9).bind_null(10).bind_null(11);
  }
  return row->run();
}

}  // namespace

Result<void> resolve_soaks(Statements& statements, const Touched& touched) {
  TRY_LET(const auto begins, begins_of(statements, touched));
  for (const auto& [set, from_ms] : begins) {
    TRY_LET(auto* const drop, statements.at("DELETE FROM soaks WHERE \"set\" = ? AND at_ms >= ?"));
    TRY(drop->bind(1, set).bind(2, from_ms).run());
    TRY_LET(auto happenings, read_happenings(statements, set, from_ms));
    match_ends(happenings);
    for (const Happening& one : happenings) {
      if (!one.is_end) TRY(write(statements, set, one));
    }
  }
  return {};
}

}  // namespace trayproof::links
