#include <optional>
#include <string>

#include "ledger/links/resolve.h"

namespace trayproof::links {
namespace {

struct Reading {
  std::int64_t origin = 0;
  std::int64_t seq = 0;
  std::int64_t at_ms = 0;
  std::string load;
  std::optional<std::string> biological, lot, result, control;
  std::optional<double> hours;
  // Of the lot.
  std::optional<std::int64_t> lot_seq, lot_read_hours;
  std::optional<std::string> lot_expires;
  // Of the load.
  std::optional<std::string> equipment, method;
  std::optional<std::int64_t> start_ms, start_earliest_ms, start_latest_ms;
  bool load_sound = false;
};

Result<bool> read_reading(Statements& statements, std::int64_t origin, Reading& out) {
  TRY_LET(auto* const read, statements.at("SELECT origin, seq, at_ms, load, biological, lot, result, control, hours "
                                          "FROM biological_read WHERE origin = ?"));
  read->bind(1, origin);
  return first_row(*read, [&](store::Statement& row) {
    out.origin = row.integer(0);
    out.seq = row.integer(1);
    out.at_ms = row.integer(2);
    out.load = row.text(3);
    out.biological = row.maybe_text(4);
    out.lot = row.maybe_text(5);
    out.result = row.maybe_text(6);
    out.control = row.maybe_text(7);
    out.hours = row.maybe_real(8);
  });
}

// Its own, else that of the biological as it was placed; and what is known of the lot at the reading: the last receipt
// not later, else the first.
Result<void> read_lot(Statements& statements, Reading& out) {
  if (!out.lot && out.biological) {
    TRY_LET(auto* const placed,
            statements.at("SELECT lot FROM biological_placed WHERE biological = ? AND lot IS NOT NULL"
                          " ORDER BY at_ms DESC, origin DESC LIMIT 1"));
    placed->bind(1, out.biological);
    TRY(first_row(*placed, [&](store::Statement& row) { out.lot = row.maybe_text(0); }));
  }
  if (!out.lot) return {};
  const auto take = [&](store::Statement& row) {
    out.lot_seq = row.integer(0);
    out.lot_read_hours = row.maybe_integer(1);
    out.lot_expires = row.maybe_text(2);
  };
  TRY_LET(auto* const known,
          statements.at("SELECT seq, read_hours, expires FROM supply_received WHERE lot = ? AND at_ms <= ?"
                        " ORDER BY at_ms DESC, origin DESC LIMIT 1"));
  known->bind(1, out.lot).bind(2, out.at_ms);
  TRY_LET(const bool found, first_row(*known, take));
  if (found) return {};
  TRY_LET(auto* const later,
          statements.at(
              "SELECT seq, read_hours, expires FROM supply_received WHERE lot = ? ORDER BY at_ms, origin LIMIT 1"));
  later->bind(1, out.lot);
  TRY(first_row(*later, take));
  return {};
}

Result<void> read_load(Statements& statements, Reading& out) {
  TRY_LET(
      auto* const read,
      statements.at("SELECT equipment, method, start_ms, start_earliest_ms, start_latest_ms,"
                    " end_seq IS NOT NULL AND complete IS 1 AND decision IS NOT 'rejected' AND biologicals_positive = 0"
                    " FROM loads WHERE load = ?"));
  read->bind(1, out.load);
  TRY(first_row(*read, [&](store::Statement& row) {
    out.equipment = row.maybe_text(0);
    out.method = row.maybe_text(1);
    out.start_ms = row.maybe_integer(2);
    out.start_earliest_ms = row.maybe_integer(3);
    out.start_latest_ms = row.maybe_integer(4);
    out.load_sound = row.integer(5) == 1;
  }));
  return {};
}

Result<void> write(Statements& statements, const Reading& reading, const Zone& zone) {
  const std::string read_on = format_date(zone.civil({reading.at_ms}).date);
  const bool in_date = !reading.lot_expires || read_on <= *reading.lot_expires;
  const bool counts = reading.result == "negative" && reading.control == "growth" && in_date && reading.load_sound;
  TRY_LET(
      auto* const row,
      statements.at(
          "INSERT OR REPLACE INTO biologicals VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"));
  row->bind(1, reading.origin)
      .bind(2, reading.seq)
      .bind(3, reading.load)
      .bind(4, reading.biological)
      .bind(5, reading.lot);
  row->bind(6, reading.lot_seq).bind(7, reading.lot_read_hours).bind(8, reading.lot_expires).bind(9, reading.hours);
  row->bind(10, reading.result).bind(11, reading.control).bind(12, reading.at_ms).bind(13, read_on);
  row->bind(14, reading.equipment).bind(15, reading.method).bind(16, reading.start_ms);
  row->bind(17, reading.start_earliest_ms).bind(18, reading.start_latest_ms);
  return row->bind(19, in_date ? 1 : 0).bind(20, reading.load_sound ? 1 : 0).bind(21, counts ? 1 : 0).run();
}

Result<void> collect(Statements& statements, const char* sql, const std::string& id, std::set<std::int64_t>& origins) {
  TRY_LET(auto* const read, statements.at(sql));
  read->bind(1, id);
  return each_row(*read, [&](store::Statement& row) { origins.insert(row.integer(0)); });
}

}  // namespace

Result<void> resolve_biologicals(Statements& statements, const Touched& touched, const Zone& zone) {
  std::set<std::int64_t> origins;
  for (const std::string& load : touched.loads) {
    TRY_LET(auto* const drop, statements.at("DELETE FROM biologicals WHERE load = ?"));
    TRY(drop->bind(1, load).run());
    TRY(collect(statements, "SELECT origin FROM biological_read WHERE load = ?", load, origins));
  }
  for (const std::string& id : touched.biologicals) {
    TRY(collect(statements, "SELECT origin FROM biological_read WHERE biological = ?", id, origins));
  }
  for (const std::string& lot : touched.lots)
    TRY(collect(statements, "SELECT origin FROM biologicals WHERE lot = ?", lot, origins));
  for (const std::int64_t origin : origins) {
    Reading reading;
    TRY_LET(const bool there, read_reading(statements, origin, reading));
    if (!there) continue;
    TRY(read_lot(statements, reading));
    TRY(read_load(statements, reading));
    TRY(write(statements, reading, zone));
  }
  return {};
}

}  // namespace trayproof::links
