#include "report/desk/recall_asked.h"

#include <algorithm>

#include "ledger/words/words.h"
#include "report/asking/facility.h"

namespace trayproof::desk {

std::span<const Trigger> triggers() {
  using enum recall::Because;
  static const std::vector<Trigger> all = {
      {biological_positive, {"load"}},
      {load_failed, {"load"}},
      {indicator_failed, {"load", "pack"}},
      {air_removal_failed, {"equipment", "at"}},
      {equipment_out_of_tolerance, {"equipment", "at", "check"}},
      {logger_out_of_tolerance, {"equipment", "at"}},
      {solution_weak, {"solution"}},
      {lot_withdrawn, {"lot"}},
      {index_patient, {"procedure"}},
      {chosen, {"loads", "packs", "why"}},
  };
  return all;
}

namespace {

std::vector<std::string> split(const std::string& text) {
  std::vector<std::string> items;
  for (std::size_t from = 0; from <= text.size();) {
    const std::size_t end = std::min(text.find_first_of(", \n\r", from), text.size());
    if (end > from) items.push_back(text.substr(from, end - from));
    from = end + 1;
  }
  return items;
}

}  // namespace

Result<recall::Request> recall_request(const Fields& fields, const Zone& zone) {
  const std::string named = fields.filled("because").value_or("");
  const auto because = recall::because_of(named);
  if (!because) return Error(ErrorCode::invalid, say("recall.unknown-because", {{"found", named}}));
  recall::Request request;
  request.because = *because;
  const auto take = [&](std::string_view name, std::string& into) {
    if (auto value = fields.filled(name)) into = std::move(*value);
  };
  take("load", request.load);
  take("pack", request.pack);
  take("equipment", request.equipment);
  take("check", request.check);
  take("solution", request.solution);
  take("lot", request.lot);
  take("procedure", request.procedure);
  take("why", request.why);
  request.loads = split(fields.filled("loads").value_or(""));
  request.packs = split(fields.filled("packs").value_or(""));
  if (const auto at = fields.filled("at")) {
    // A field of a form gives the wall clock of the facility: "2026-10-29T08:10".
    constexpr std::size_t wall_clock = 16;
    request.at = at->size() == wall_clock ? parse_wall_clock(*at, zone) : parse_moment(*at, zone, DateMeans::start);
    if (!request.at) return Error(ErrorCode::invalid, say("recall.at", {{"found", *at}}));
  }
  return request;
}

}  // namespace trayproof::desk
