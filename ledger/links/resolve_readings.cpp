#include <optional>
#include <string>
#include <vector>

#include "ledger/events/kinds.h"
#include "ledger/links/resolve.h"

namespace trayproof::links {
namespace {

// An edition judges from the later of its coming into force and its recording; the first one covers all time before.
struct Edition {
  std::int64_t seq = 0;
  std::int64_t judges_from_ms = 0;
};

Result<std::vector<Edition>> read_editions(Statements& statements) {
  std::vector<Edition> editions;
  TRY_LET(auto* const read,
          statements.at(
              "SELECT origin, max(coalesce(in_force_ms, recorded_ms), recorded_ms) FROM sop_adopted ORDER BY origin"));
  TRY(each_row(*read, [&](store::Statement& row) { editions.push_back({row.integer(0), row.integer(1)}); }));
  return editions;
}

std::optional<std::int64_t> edition_at(const std::vector<Edition>& editions, std::int64_t ms) {
  const Edition* in_force = nullptr;
  for (const Edition& edition : editions) {
    if (edition.judges_from_ms > ms) continue;
    if (in_force == nullptr || edition.judges_from_ms >= in_force->judges_from_ms) in_force = &edition;
  }
  if (in_force != nullptr) return in_force->seq;
  if (!editions.empty()) return editions.front().seq;
  return std::nullopt;
}

struct Curve {
  bool measured = false;
  std::optional<std::string> equipment, logger, load;
  std::optional<std::int64_t> from_ms, until_ms, placed_seq, sop, judged_seq;
  std::optional<std::string> verdict;
};

Result<Curve> read_curve(Statements& statements, std::int64_t id, const std::vector<Edition>& editions) {
  Curve curve;
  TRY_LET(auto* const measured,
          statements.at("SELECT equipment, logger, from_ms, until_ms FROM curve_measured WHERE origin = ?"));
  measured->bind(1, id);
  TRY_LET(curve.measured, first_row(*measured, [&](store::Statement& row) {
            curve.equipment = row.maybe_text(0);
            curve.logger = row.maybe_text(1);
            curve.from_ms = row.maybe_integer(2);
            curve.until_ms = row.maybe_integer(3);
          }));
  TRY_LET(auto* const placed,
          statements.at("SELECT load, seq FROM curve_placed WHERE curve = ? ORDER BY origin DESC LIMIT 1"));
  placed->bind(1, id);
  TRY(first_row(*placed, [&](store::Statement& row) {
    curve.load = row.maybe_text(0);
    curve.placed_seq = row.integer(1);
  }));
  if (curve.from_ms) curve.sop = edition_at(editions, *curve.from_ms);
  // `+sop`: an edition has judged very many curves, a curve was judged a few times.
  TRY_LET(
      auto* const judged,
      statements.at("SELECT seq, verdict FROM curve_judged WHERE curve = ? AND +sop = ? ORDER BY origin DESC LIMIT 1"));
  judged->bind(1, id).bind(2, curve.sop);
  TRY(first_row(*judged, [&](store::Statement& row) {
    curve.judged_seq = row.integer(0);
    curve.verdict = row.maybe_text(1);
  }));
  return curve;
}

int severity(std::string_view verdict) {
  return verdict == "not-reached" ? 3 : verdict == "cannot-tell" ? 2 : verdict == "reached" ? 1 : 0;
}

struct Readings {
  bool taken = false;  // by the operator
  std::int64_t curves = 0;
  std::optional<std::string> verdict;
  std::int64_t indicators = 0, passed = 0, failed = 0;
  std::int64_t biologicals = 0, positive = 0;
  bool steam = false;
};

Result<bool> read_readings(Statements& statements, const std::string& load, Readings& out) {
  TRY_LET(auto* const base,
          statements.at(
              "SELECT method, read_temperature_c, read_pressure_kpa_gauge, read_hold_min FROM loads WHERE load = ?"));
  base->bind(1, load);
  TRY_LET(const bool there, first_row(*base, [&](store::Statement& row) {
            out.steam = events::is_steam(row.text(0));
            out.taken = !row.is_null(1) || !row.is_null(2) || !row.is_null(3);
          }));
  if (!there) return false;
  TRY_LET(auto* const curves, statements.at("SELECT verdict FROM curves WHERE load = ?"));
  curves->bind(1, load);
  TRY(each_row(*curves, [&](store::Statement& row) {
    ++out.curves;
    if (severity(row.text(0)) > severity(out.verdict.value_or(""))) out.verdict = row.text(0);
  }));
  TRY_LET(
      auto* const indicators,
      statements.at("SELECT count(*), total(result = 'pass'), total(result = 'fail') FROM indicators WHERE load = ?"));
  indicators->bind(1, load);
  TRY(first_row(*indicators, [&](store::Statement& row) {
    out.indicators = row.integer(0);
    out.passed = row.integer(1);
    out.failed = row.integer(2);
  }));
  TRY_LET(auto* const biologicals,
          statements.at("SELECT count(*), total(result = 'positive') FROM biological_read WHERE load = ?"));
  biologicals->bind(1, load);
  TRY(first_row(*biologicals, [&](store::Statement& row) {
    out.biologicals = row.integer(0);
    out.positive = row.integer(1);
  }));
  return true;
}

}  // namespace

Result<void> resolve_curves(Statements& statements, Touched& touched) {
  if (touched.every_curve) {
    TRY_LET(auto* const all, statements.at("SELECT origin FROM curve_measured"));
    TRY(each_row(*all, [&](store::Statement& row) { touched.curves.insert(row.integer(0)); }));
  }
  TRY_LET(const auto editions, read_editions(statements));
  for (const std::int64_t id : touched.curves) {
    TRY_LET(auto* const old, statements.at("SELECT load FROM curves WHERE curve = ? AND load IS NOT NULL"));
    old->bind(1, id);
    TRY(first_row(*old, [&](store::Statement& row) { touched.loads.emplace(row.text(0)); }));
    TRY_LET(const Curve curve, read_curve(statements, id, editions));
    if (curve.load) touched.loads.insert(*curve.load);
    if (!curve.measured) {
      TRY_LET(auto* const drop, statements.at("DELETE FROM curves WHERE curve = ?"));
      TRY(drop->bind(1, id).run());
      continue;
    }
    TRY_LET(auto* const row, statements.at("INSERT OR REPLACE INTO curves VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"));
    row->bind(1, id)
        .bind(2, curve.equipment)
        .bind(3, curve.logger)
        .bind(4, curve.from_ms)
        .bind(5, curve.until_ms)
        .bind(6, curve.load);
    TRY(row->bind(7, curve.placed_seq).bind(8, curve.sop).bind(9, curve.judged_seq).bind(10, curve.verdict).run());
  }
  return {};
}

Result<void> resolve_evidence(Statements& statements, const Touched& touched) {
  for (const std::string& load : touched.loads) {
    Readings readings;
    TRY_LET(const bool there, read_readings(statements, load, readings));
    if (!there) continue;
    const bool recorded = readings.taken || readings.curves > 0 || readings.indicators > 0 || readings.biologicals > 0;
    const bool may_wait =
        readings.steam && (readings.taken || readings.curves > 0) && readings.passed > 0 && readings.failed == 0;
    TRY_LET(auto* const row,
            statements.at(
                "UPDATE loads SET evidence = ?, readings = ?, curves = ?, curve_verdict = ?, indicators = ?,"
                " indicators_passed = ?, indicators_failed = ?, biologicals = ?, biologicals_positive = ?, may_wait = ?"
                " WHERE load = ?"));
    row->bind(1, recorded ? "recorded" : "missing")
        .bind(2, readings.taken ? 1 : 0)
        .bind(3, readings.curves)
        .bind(4, readings.verdict);
    row->bind(5, readings.indicators).bind(6, readings.passed).bind(7, readings.failed).bind(8, readings.biologicals);
    TRY(row->bind(9, readings.positive).bind(10, may_wait ? 1 : 0).bind(11, load).run());
  }
  return {};
}

}  // namespace trayproof::links
