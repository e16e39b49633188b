#include "ledger/recall/affected.h"

#include <algorithm>

#include "ledger/recall/window.h"
#include "ledger/words/words.h"

namespace trayproof::recall {
namespace {

using links::each_row;
using links::first_row;
using links::Links;

// Of loads, packs and solutions there is a row for each one that an event names.
Result<void> require_held(Links& links, std::string_view thing, const std::string& id) {
  const char* sql = thing == "load"       ? "SELECT 1 FROM loads WHERE load = ?1"
                    : thing == "pack"     ? "SELECT 1 FROM packs WHERE pack = ?1"
                    : thing == "solution" ? "SELECT 1 FROM solutions WHERE solution = ?1"
                                          : "SELECT 1 FROM mentions WHERE thing = ?2 AND id = ?1 AND holds = 1 LIMIT 1";
  TRY_LET(auto* const read, links.statements().at(sql));
  read->bind(1, id);
  if (thing != "load" && thing != "pack" && thing != "solution") read->bind(2, thing);
  TRY_LET(const bool held, first_row(*read, [](store::Statement&) {}));
  if (!held) return Error(ErrorCode::missing, say("recall.not-held", {{"kind", thing}, {"id", id}}));
  return {};
}

// The first column of every row.
Result<void> collect(Links& links, const char* sql, std::string_view id, std::vector<std::string>& into) {
  TRY_LET(auto* const read, links.statements().at(sql));
  read->bind(1, id);
  return each_row(*read, [&](store::Statement& row) { into.emplace_back(row.text(0)); });
}
Result<void> collect(Links& links, const char* sql, std::int64_t id, std::vector<std::string>& into) {
  TRY_LET(auto* const read, links.statements().at(sql));
  read->bind(1, id);
  return each_row(*read, [&](store::Statement& row) {
    if (!row.is_null(0)) into.emplace_back(row.text(0));
  });
}

void make_unique(std::vector<std::string>& ids) {
  std::ranges::sort(ids);
  ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
}

void set_bounds(Affected& out, const Window& window) {
  if (window.after) out.after = window.after->bound;
  if (window.before) out.before = window.before->bound;
}

Result<void> by_biological(const Request& request, Links& links, const sop::Editions& editions, Affected& out) {
  TRY(require_held(links, "load", request.load));
  Trigger trigger{{}, {}, request.load, {}};
  bool in_time = false;
  TRY_LET(auto* const read,
          links.statements().at("SELECT equipment, method, start_earliest_ms, start_latest_ms FROM loads"
                                " WHERE load = ? AND equipment IS NOT NULL AND start_ms IS NOT NULL"));
  read->bind(1, request.load);
  TRY_LET(in_time, first_row(*read, [&](store::Statement& row) {
            trigger.equipment = row.text(0);
            trigger.method = row.text(1);
            trigger.start = {{row.integer(2)}, {row.integer(3)}};
          }));
  if (!in_time) {
    out.loads = {request.load};
    return {};
  }
  Window window{trigger.equipment, {}, {}, {}, {}};
  TRY_LET(window.after, nearest_valid_negative(trigger, Side::before, links, editions));
  TRY_LET(window.before, nearest_valid_negative(trigger, Side::after, links, editions));
  set_bounds(out, window);
  TRY_LET(out.in_window, loads_between(window, links));
  return {};
}

Result<void> by_equipment(const Request& request, Links& links, Affected& out) {
  TRY(require_held(links, "equipment", request.equipment));
  Window window{request.equipment, {}, {}, request.at, {}};
  TRY_LET(window.after, nearest_pass(request.equipment, request.check, *request.at, Side::before, links));
  set_bounds(out, window);
  TRY_LET(out.in_window, loads_between(window, links));
  return {};
}

Result<void> by_air_removal(const Request& request, Links& links, Affected& out) {
  TRY(require_held(links, "equipment", request.equipment));
  Window window{request.equipment, {}, {}, {}, "steam-prevacuum"};
  TRY_LET(window.after, nearest_pass(request.equipment, "air-removal", *request.at, Side::before, links));
  TRY_LET(window.before, nearest_pass(request.equipment, "air-removal", *request.at, Side::after, links));
  set_bounds(out, window);
  TRY_LET(out.in_window, loads_between(window, links));
  return {};
}

Result<void> by_logger(const Request& request, Links& links, Affected& out) {
  TRY(require_held(links, "equipment", request.equipment));
  Window window{{}, {}, {}, request.at, {}};
  TRY_LET(window.after, nearest_pass(request.equipment, "calibration", *request.at, Side::before, links));
  set_bounds(out, window);
  TRY_LET(auto* const read,
          links.statements().at("SELECT DISTINCT c.load, l.start_earliest_ms, l.start_latest_ms FROM curves c"
                                " JOIN loads l ON l.load = c.load WHERE c.logger = ? AND l.start_ms IS NOT NULL"));
  read->bind(1, request.equipment);
  return each_row(*read, [&](store::Statement& row) {
    std::string load(row.text(0));
    if (lies_between(window, load, {{row.integer(1)}, {row.integer(2)}})) out.loads.push_back(std::move(load));
  });
}

// A decontamination solution affects no load; one whose use nobody recorded may be either.
Result<void> by_solution(const Request& request, Links& links, Affected& out) {
  TRY(require_held(links, "solution", request.solution));
  std::optional<std::string> use;
  TRY_LET(auto* const read, links.statements().at("SELECT use FROM solutions WHERE solution = ?"));
  read->bind(1, request.solution);
  TRY(first_row(*read, [&](store::Statement& row) { use = row.maybe_text(0); }));
  if (use != "decontamination")
    TRY(collect(links, "SELECT load FROM loads WHERE solution = ?", request.solution, out.loads));
  if (!use || use == "decontamination") {
    TRY(collect(links, "SELECT DISTINCT pack FROM turns WHERE solution = ?", request.solution, out.handled));
  }
  return {};
}

Result<void> by_lot(const Request& request, Links& links, Affected& out) {
  TRY(require_held(links, "lot", request.lot));
  struct Naming {
    std::string kind, field;
    std::int64_t origin = 0;
  };
  std::vector<Naming> namings;
  TRY_LET(
      auto* const read,
      links.statements().at("SELECT kind, field, origin FROM mentions WHERE thing = 'lot' AND id = ? AND holds = 1"));
  read->bind(1, request.lot);
  TRY(each_row(*read, [&](store::Statement& row) {
    namings.push_back({std::string(row.text(0)), std::string(row.text(1)), row.integer(2)});
  }));
  for (const auto& [kind, field, origin] : namings) {
    if (kind == "indicator-read") {
      TRY(collect(links, "SELECT load FROM indicators WHERE origin = ?", origin, out.loads));
    } else if (kind == "biological-placed") {
      TRY(collect(links, "SELECT load FROM biological_placed WHERE origin = ?", origin, out.loads));
    } else if (kind == "biological-read") {
      TRY(collect(links, "SELECT load FROM biological_read WHERE origin = ?", origin, out.loads));
    } else if (kind == "solution-prepared") {
      TRY(collect(links,
                  "SELECT l.load FROM solution_prepared p JOIN loads l ON l.solution = p.solution WHERE p.origin = ?",
                  origin, out.loads));
    } else if (kind == "packed") {
      TRY(collect(links, "SELECT pack FROM packed WHERE origin = ?", origin, out.packs));
    } else if (kind == "pack-received") {
      TRY(collect(links, "SELECT pack FROM pack_received WHERE origin = ?", origin, out.packs));
    } else if (kind == "procedure-done" && field == "disposable_lot") {
      out.procedures.push_back(origin);
    }
  }
  return {};
}

Result<void> by_choice(const Request& request, Links& links, Affected& out) {
  for (const std::string& load : request.loads) TRY(require_held(links, "load", load));
  for (const std::string& pack : request.packs) TRY(require_held(links, "pack", pack));
  out.loads = request.loads;
  out.packs = request.packs;
  return {};
}

Result<void> by_load(const Request& request, Links& links, Affected& out) {
  TRY(require_held(links, "load", request.load));
  if (request.because != Because::indicator_failed || request.pack.empty()) {
    out.loads = {request.load};
    return {};
  }
  TRY(require_held(links, "pack", request.pack));
  out.pack_of_load = {request.load, request.pack};
  return {};
}

}  // namespace

Result<Affected> affected_by(const Request& request, Links& links, const sop::Editions& editions) {
  TRY(is_complete(request));
  Affected out;
  switch (request.because) {
    case Because::biological_positive:
      TRY(by_biological(request, links, editions, out));
      break;
    case Because::load_failed:
    case Because::indicator_failed:
      TRY(by_load(request, links, out));
      break;
    case Because::equipment_out_of_tolerance:
      TRY(by_equipment(request, links, out));
      break;
    case Because::logger_out_of_tolerance:
      TRY(by_logger(request, links, out));
      break;
    case Because::solution_weak:
      TRY(by_solution(request, links, out));
      break;
    case Because::lot_withdrawn:
      TRY(by_lot(request, links, out));
      break;
    case Because::air_removal_failed:
      TRY(by_air_removal(request, links, out));
      break;
    case Because::index_patient:
      TRY(require_held(links, "procedure", request.procedure));
      out.index_procedure = request.procedure;
      break;
    case Because::chosen:
      TRY(by_choice(request, links, out));
      break;
  }
  make_unique(out.loads);
  make_unique(out.packs);
  make_unique(out.handled);
  return out;
}

}  // namespace trayproof::recall
