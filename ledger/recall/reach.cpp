#include "ledger/recall/reach.h"

#include <algorithm>
#include <tuple>

#include "ledger/recall/window.h"

namespace trayproof::recall {
namespace {

using links::each_row;
using links::first_row;

// So many packs of a load are made room for.
constexpr std::size_t packs_expected = 16;

std::vector<std::string> texts_of(std::string_view list) {
  std::vector<std::string> out;
  const auto parsed = json::parse(list);
  if (!parsed.ok() || !parsed.value().is_list()) return out;
  for (const json::Value& one : parsed.value().items()) {
    if (one.is_text()) out.push_back(one.text());
    if (const auto pseudonym = one.text_at("pseudonym")) out.emplace_back(*pseudonym);
  }
  return out;
}

Standing standing_of(std::string_view name) {
  if (name == "used") return Standing::used;
  if (name == "opened") return Standing::opened;
  if (name == "withdrawn") return Standing::withdrawn;
  if (name == "issued") return Standing::issued;
  if (name == "shelf") return Standing::shelf;
  return Standing::held;
}

}  // namespace

bool Reach::is_whole(std::string_view load) const {
  return std::ranges::binary_search(whole_loads_, load, std::less<>());
}

Result<void> Reach::follow(const Affected& affected) {
  answer_.after = affected.after;
  answer_.before = affected.before;
  whole_loads_ = affected.loads;
  for (const AffectedLoad& load : affected.in_window) whole_loads_.push_back(load.load);
  std::ranges::sort(whole_loads_);
  answer_.packs.reserve(whole_loads_.size() * packs_expected);
  gathering_.reserve(whole_loads_.size() * packs_expected);
  for (const AffectedLoad& load : affected.in_window) {
    load_places_.emplace(load.load, answer_.loads.size());
    answer_.loads.push_back(load);
    TRY(follow_packs_of(load.load));
  }
  for (const std::string& load : affected.loads) {
    TRY(add_load(load));
    TRY(follow_packs_of(load));
  }
  if (affected.pack_of_load) TRY(follow_pack_of_load(affected.pack_of_load->first, affected.pack_of_load->second));
  for (const std::string& pack : affected.packs) TRY(follow_pack(pack));
  TRY(follow_procedures(affected.procedures));
  if (affected.index_procedure) TRY(follow_index(*affected.index_procedure));
  settle_standings();
  TRY(follow_handled(affected.handled));
  settle_policy();
  sort_all();
  count();
  return {};
}

Result<void> Reach::add_load(const std::string& load) {
  if (!load_places_.emplace(load, answer_.loads.size()).second) return {};
  AffectedLoad& out = answer_.loads.emplace_back();
  out.load = load;
  out.evidence_missing = true;
  TRY_LET(
      auto* const read,
      links_.statements().at(
          "SELECT load, equipment, start_ms, CASE WHEN end_seq IS NOT NULL THEN end_ms END,"
          " CASE WHEN decision = 'released' THEN decision_ms END, evidence = 'missing', may_wait, start_seq, end_seq,"
          " decision_seq FROM loads WHERE load = ?"));
  read->bind_view(1, std::string_view(load));
  TRY(first_row(*read, [&](store::Statement& row) { out = affected_load_of(row); }));
  return {};
}

std::size_t Reach::pack_place(std::string_view pack) {
  const auto [place, fresh] = pack_places_.try_emplace(std::string(pack), answer_.packs.size());
  if (fresh) {
    answer_.packs.emplace_back().pack = pack;
    gathering_.emplace_back();
  }
  return place->second;
}

// A row of load_packs: pack, set, packed_ms, told_apart, implant, standing, standing_seq, standing_ms, place,
// good_later, end_ms.
void Reach::add_pack_row(const store::Statement& row, const std::string& load) {
  const std::size_t place = pack_place(row.text(0));
  AffectedPack& pack = answer_.packs[place];
  Gathering& gathering = gathering_[place];
  pack.set = row.maybe_text(1);
  pack.packed_ms = row.maybe_integer(2);
  pack.told_apart = row.is_null(3) || row.integer(3) != 0;
  pack.implant = row.integer(4) == 1;
  const links::Became became{std::string(row.text(5)), row.maybe_integer(6), row.maybe_integer(7), row.maybe_text(8)};
  gathering.became = gathering.in_load ? links::stronger(gathering.became, became) : became;
  const auto end_ms = row.maybe_integer(10);
  if (!gathering.in_load || std::tie(gathering.end_ms, *pack.load) < std::tie(end_ms, load)) {
    pack.load = load;
    gathering.end_ms = end_ms;
    gathering.good_later = row.integer(9) == 1;
  }
  gathering.in_load = true;
  pack.may_wait = pack.may_wait && answer_.loads[load_places_.at(load)].may_wait;
}

namespace {

// From column `first` on: seq, procedure, at_ms, sort, place, patient, newborns, newborns_without_number, implant.
void read_procedure(const store::Statement& row, int first, AffectedProcedure& out) {
  out.seq = row.integer(first);
  out.procedure = row.text(first + 1);
  out.at_ms = row.integer(first + 2);
  out.sort = row.maybe_text(first + 3);
  out.place = row.maybe_text(first + 4);
  out.patient = row.maybe_text(first + 5);
  if (!row.is_null(first + 6)) out.newborns = texts_of(row.text(first + 6));
  out.newborns_without_number = row.integer(first + 7);
  out.implant = row.integer(first + 8) == 1;
}

}  // namespace

Result<AffectedProcedure*> Reach::procedure_of(std::int64_t origin, Procedures& into) {
  const auto [place, fresh] = into.places.try_emplace(origin, into.list.size());
  if (!fresh) return &into.list[place->second];
  AffectedProcedure& out = into.list.emplace_back();
  out.origin = origin;
  TRY_LET(auto* const read,
          links_.statements().at(
              "SELECT seq, procedure, at_ms, sort, place, patient, newborns, newborns_without_number, implant"
              " FROM procedure_done WHERE origin = ?"));
  read->bind(1, origin);
  TRY(first_row(*read, [&](store::Statement& row) { read_procedure(row, 0, out); }));
  return &out;
}

Result<AffectedProcedure*> Reach::add_use(std::int64_t origin, std::string_view pack, std::optional<std::string> load,
                                          Procedures& into) {
  TRY_LET(AffectedProcedure* const procedure, procedure_of(origin, into));
  const auto known = load ? load_places_.find(*load) : load_places_.end();
  if (known == load_places_.end() || !answer_.loads[known->second].may_wait) procedure->may_wait = false;
  procedure->uses.push_back({std::string(pack), std::move(load)});
  return procedure;
}

Result<void> Reach::follow_packs_of(const std::string& load) {
  TRY_LET(auto* const packs,
          links_.statements().at(
              "SELECT pack, \"set\", packed_ms, told_apart, implant, standing, standing_seq, standing_ms, place,"
              " good_later, end_ms FROM load_packs WHERE load = ?"));
  packs->bind_view(1, std::string_view(load));
  TRY(each_row(*packs, [&](store::Statement& row) { add_pack_row(row, load); }));
  // The procedure comes with each of its uses: a query of its own for each would take longer than the rest together.
  TRY_LET(auto* const uses,
          links_.statements().at(
              "SELECT u.origin, u.pack, p.seq, p.procedure, p.at_ms, p.sort, p.place, p.patient, p.newborns,"
              " p.newborns_without_number, p.implant FROM uses u CROSS JOIN procedure_done p ON p.origin = u.origin"
              " WHERE u.load = ?"));
  uses->bind_view(1, std::string_view(load));
  return each_row(*uses, [&](store::Statement& row) -> Result<void> {
    const auto [place, fresh] = procedures_.places.try_emplace(row.integer(0), procedures_.list.size());
    if (fresh) {
      AffectedProcedure& out = procedures_.list.emplace_back();
      out.origin = row.integer(0);
      read_procedure(row, 2, out);
    }
    TRY(add_use(row.integer(0), row.text(1), load, procedures_));
    return {};
  });
}

Result<void> Reach::follow_pack_of_load(const std::string& load, const std::string& pack) {
  TRY(add_load(load));
  TRY_LET(auto* const packs,
          links_.statements().at(
              "SELECT pack, \"set\", packed_ms, told_apart, implant, standing, standing_seq, standing_ms, place,"
              " good_later, end_ms FROM load_packs WHERE load = ? AND pack = ?"));
  packs->bind(1, load).bind(2, pack);
  TRY(each_row(*packs, [&](store::Statement& row) { add_pack_row(row, load); }));
  TRY_LET(auto* const uses, links_.statements().at("SELECT origin FROM uses WHERE load = ? AND pack = ?"));
  uses->bind(1, load).bind(2, pack);
  return each_row(*uses, [&](store::Statement& row) -> Result<void> {
    TRY(add_use(row.integer(0), pack, load, procedures_));
    return {};
  });
}

// A named pack affects every load that holds it, for itself only; what happened to it without a relevant load counts
// too.
Result<void> Reach::follow_pack(const std::string& pack) {
  std::vector<std::string> loads;
  TRY_LET(auto* const holding,
          links_.statements().at("SELECT load FROM load_packs WHERE pack = ? ORDER BY end_ms, load"));
  holding->bind(1, pack);
  TRY(each_row(*holding, [&](store::Statement& row) { loads.emplace_back(row.text(0)); }));
  for (const std::string& load : loads) {
    if (!is_whole(load)) TRY(follow_pack_of_load(load, pack));
  }
  return add_pack_without_load(pack);
}

Result<void> Reach::follow_procedures(const std::vector<std::int64_t>& origins) {
  for (const std::int64_t origin : origins) TRY(procedure_of(origin, procedures_));
  return {};
}

void Reach::settle_standings() {
  for (std::size_t place = 0; place < answer_.packs.size(); ++place) {
    AffectedPack& pack = answer_.packs[place];
    const Gathering& gathering = gathering_[place];
    pack.standing = standing_of(gathering.became.standing);
    pack.standing_seq = gathering.became.seq;
    pack.place = gathering.became.place;
    // A load that ended certainly later than the latest affected one that holds the pack cannot itself be affected.
    const bool reprocessed = gathering.in_load && gathering.good_later && is_to_be_fetched(pack.standing);
    if (reprocessed) {
      pack.standing = Standing::reprocessed;
      pack.standing_seq.reset();
      pack.place.reset();
    }
  }
}

}  // namespace trayproof::recall
