#include "report/label/of_packs.h"

#include "ledger/events/kinds.h"
#include "ledger/sop/sop.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/asking/facility.h"
#include "report/label/short_code.h"

namespace trayproof::label {
namespace {

// Its making: packed here, or received from elsewhere.
struct Making {
  std::int64_t origin = 0;
  std::int64_t at_ms = 0;
  std::string by = {};
  std::string set = {}, title = {};  // of what was packed
  std::string wrap = {}, lot = {};
  std::string from = {}, contents = {};  // of what was received
  std::optional<std::int64_t> use_by_ms = {};
  bool outside = false;
};

struct Holding {
  std::string load, method, equipment;
  std::int64_t end_ms = 0;
  bool failed = false;  // rejected, not run to its end, or evidence says that it missed its conditions
};

std::string day_text(const Zone& zone, std::int64_t ms) { return day_here(zone.civil({ms}).date); }

std::string text_of(const store::Statement& row, int column) { return row.maybe_text(column).value_or(""); }

Result<std::optional<Making>> making_of(links::Links& tables, const std::string& pack) {
  std::optional<Making> found;
  TRY_LET(auto packed,
          tables.database().prepare("SELECT d.origin, d.at_ms, d.\"by\", d.\"set\", s.title, d.wrap, d.indicator_lot "
                                    "FROM packed d JOIN packs p ON p.pack = d.pack "
                                    "LEFT JOIN set_defined s ON s.seq = p.set_seq WHERE d.pack = ?"));
  packed.bind(1, pack);
  TRY(links::each_row(packed, [&](const store::Statement& row) {
    found = Making{.origin = row.integer(0),
                   .at_ms = row.integer(1),
                   .by = text_of(row, 2),
                   .set = text_of(row, 3),
                   .title = text_of(row, 4),
                   .wrap = text_of(row, 5),
                   .lot = text_of(row, 6)};
  }));
  if (found) return found;
  TRY_LET(auto received, tables.database().prepare("SELECT origin, at_ms, \"by\", \"from\", contents, lot, use_by_ms "
                                                   "FROM pack_received WHERE pack = ?"));
  received.bind(1, pack);
  TRY(links::each_row(received, [&](const store::Statement& row) {
    found = Making{.origin = row.integer(0),
                   .at_ms = row.integer(1),
                   .by = text_of(row, 2),
                   .lot = text_of(row, 5),
                   .from = text_of(row, 3),
                   .contents = text_of(row, 4),
                   .use_by_ms = row.maybe_integer(6),
                   .outside = true};
  }));
  return found;
}

// The load that ended last of those that hold it.
Result<std::optional<Holding>> load_of(links::Links& tables, const std::string& pack) {
  std::optional<Holding> found;
  TRY_LET(auto rows, tables.database().prepare(
                         "SELECT l.load, l.method, l.equipment, l.end_ms, l.decision IS 'rejected' OR l.complete IS 0 "
                         "OR l.curve_verdict IS 'not-reached' OR l.indicators_failed > 0 OR l.biologicals_positive > 0 "
                         "FROM load_packs h JOIN loads l ON l.load = h.load WHERE h.pack = ? "
                         "ORDER BY l.end_ms DESC, l.load DESC LIMIT 1"));
  rows.bind(1, pack);
  TRY(links::each_row(rows, [&](const store::Statement& row) {
    found = Holding{.load = text_of(row, 0),
                    .method = text_of(row, 1),
                    .equipment = text_of(row, 2),
                    .end_ms = row.maybe_integer(3).value_or(0),
                    .failed = row.integer(4) == 1};
  }));
  return found;
}

// The date it was stored with last, after that load.
Result<std::optional<std::int64_t>> stored_use_by(links::Links& tables, const std::string& pack,
                                                  std::int64_t since_ms) {
  std::optional<std::int64_t> found;
  TRY_LET(auto rows,
          tables.database().prepare("SELECT use_by_ms FROM pack_moves WHERE pack = ? AND kind = 'pack-stored' "
                                    "AND use_by_ms IS NOT NULL AND at_ms >= ? "
                                    "ORDER BY at_ms DESC, seq DESC LIMIT 1"));
  rows.bind(1, pack).bind(2, since_ms);
  TRY(links::each_row(rows, [&](const store::Statement& row) { found = row.integer(0); }));
  return found;
}

// How long the SOP lets that wrap keep, once its load has ended.
struct Keeps {
  std::optional<double> days;
  std::string says;
};

Keeps keeps(const sop::Sop& sop, const std::string& wrap, const std::optional<Holding>& load) {
  if (load && events::only_disinfects(load->method)) {
    if (!sop.shelf_disinfected_days) return {};
    const double days = *sop.shelf_disinfected_days;
    return {days, say("label.pack-keeps-disinfected", {{"days", json::plain(json::Value(days))}})};
  }
  const auto life = sop.shelf.find(wrap);
  if (life == sop.shelf.end()) return {};
  if (life->second.until_damaged) return {std::nullopt, say("label.pack-keeps-closed")};
  if (!life->second.days) return {};
  const double days = *life->second.days;
  return {days, say("label.pack-keeps-days", {{"days", json::plain(json::Value(days))}})};
}

std::string joined_with_dots(const std::vector<std::string>& parts) {
  std::string out;
  for (const std::string& part : parts) {
    if (!part.empty()) out += (out.empty() ? "" : " · ") + part;
  }
  return out;
}

Result<PackLabel> label_of(links::Links& tables, const sop::Editions& editions, const std::string& pack,
                           const std::string& facility) {
  TRY_LET(const auto making, making_of(tables, pack));
  if (!making) return Error(ErrorCode::missing, say("label.pack-unknown", {{"pack", pack}}));
  const Zone& zone = tables.zone();
  PackLabel out{.facility = facility, .pack = pack, .code = short_code(making->origin)};
  const std::string lot = making->lot.empty() ? "" : say("label.pack-lot", {{"lot", making->lot}});
  const std::string when = short_time(zone, {making->at_ms});
  if (making->outside) {
    out.set = making->contents;
    out.made = say("label.pack-received", {{"from", making->from}, {"when", when}});
    out.details = lot;
    if (making->use_by_ms) out.use_by = day_text(zone, *making->use_by_ms);
    return out;
  }
  out.set = making->title.empty() ? making->set : making->title + " (" + making->set + ")";
  out.made = say("label.pack-packed", {{"by", making->by}, {"when", when}});
  out.details =
      joined_with_dots({std::string(spelled_here(making->wrap)), making->lot.empty() ? say("label.pack-no-lot") : lot});
  TRY_LET(const auto load, load_of(tables, pack));
  const sop::Edition* edition = editions.at({load ? load->end_ms : making->at_ms});
  const Keeps kept = edition == nullptr ? Keeps{} : keeps(edition->sop, making->wrap, load);
  const bool failed = load && load->failed;
  if (!failed) out.keeps = kept.says;
  if (!load) return out;
  out.load = joined_with_dots({load->load, load->equipment, short_time(zone, {load->end_ms})});
  if (failed) return out;  // no date that somebody could trust
  TRY_LET(auto until, stored_use_by(tables, pack, load->end_ms));
  if (!until && kept.days) until = load->end_ms + static_cast<std::int64_t>(*kept.days * static_cast<double>(day_ms));
  if (until) out.use_by = day_text(zone, *until);
  return out;
}

}  // namespace

Result<std::vector<PackLabel>> labels_of(links::Links& tables, std::span<const std::string> packs,
                                         const std::string& facility) {
  TRY_LET(const auto editions, tables.ledger().editions(tables.known_at()));
  std::vector<PackLabel> labels;
  for (const std::string& pack : packs) {
    TRY_LET(auto label, label_of(tables, editions, pack, facility));
    labels.push_back(std::move(label));
  }
  return labels;
}

Result<std::vector<std::string>> packs_of_load(links::Links& tables, std::string_view load) {
  std::vector<std::string> packs;
  TRY_LET(auto rows, tables.database().prepare("SELECT l.pack FROM load_packs l JOIN packs p ON p.pack = l.pack "
                                               "WHERE l.load = ? AND p.packed_seq IS NOT NULL ORDER BY l.pack"));
  rows.bind(1, load);
  TRY(links::each_row(rows, [&](const store::Statement& row) { packs.emplace_back(row.text(0)); }));
  if (packs.empty()) return Error(ErrorCode::missing, say("label.load-empty", {{"load", load}}));
  return packs;
}

Result<std::optional<std::string>> pack_of_code(links::Links& tables, std::string_view code) {
  std::optional<std::string> pack;
  const auto seq = seq_of_code(code);
  if (!seq) return pack;
  TRY_LET(auto rows, tables.database().prepare("SELECT pack FROM packed WHERE origin = ?1 UNION ALL "
                                               "SELECT pack FROM pack_received WHERE origin = ?1"));
  rows.bind(1, *seq);
  TRY(links::each_row(rows, [&](const store::Statement& row) { pack = row.maybe_text(0); }));
  return pack;
}

}  // namespace trayproof::label
