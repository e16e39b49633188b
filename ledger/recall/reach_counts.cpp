// The order of the answer's lists, and what is counted.
#include <algorithm>
#include <numeric>
#include <tuple>
#include <unordered_set>

#include "ledger/recall/reach.h"

namespace trayproof::recall {
namespace {

void add_patients(const AffectedProcedure& procedure, std::unordered_set<std::string_view>& patients) {
  if (procedure.patient) patients.insert(*procedure.patient);
  for (const std::string& newborn : procedure.newborns) patients.insert(newborn);
}

// Sorts places and moves each element once: the elements are large.
template <typename Element, typename Key>
void sort_by(std::vector<Element>& list, const Key& key) {
  std::vector<std::size_t> places(list.size());
  std::iota(places.begin(), places.end(), std::size_t{0});
  std::ranges::sort(places, [&](std::size_t a, std::size_t b) { return key(list[a]) < key(list[b]); });
  std::vector<Element> sorted;
  sorted.reserve(list.size());
  for (const std::size_t place : places) sorted.push_back(std::move(list[place]));
  list = std::move(sorted);
}

}  // namespace

// Under repeat-first only that may wait which sound loads reached and nothing else did: implants never, and nothing
// that is reached without a load. May-wait stands already for the loads of a pack or procedure; the rest comes in here.
void Reach::settle_policy() {
  for (AffectedProcedure& procedure : answer_.procedures) {
    if (procedure.implant || procedure.uses.empty()) procedure.may_wait = false;
    for (const AffectedUse& use : procedure.uses) {
      const auto place = pack_places_.find(use.pack);
      if (place == pack_places_.end()) continue;
      AffectedPack& pack = answer_.packs[place->second];
      if (pack.implant) procedure.may_wait = false;
      if (procedure.implant) pack.may_wait = false;
    }
  }
  for (AffectedPack& pack : answer_.packs) {
    if (pack.implant || !pack.load) pack.may_wait = false;
  }
}

// What has no time stands first.
void Reach::sort_all() {
  sort_by(answer_.loads, [](const AffectedLoad& one) { return std::tie(one.started_ms, one.load); });
  sort_by(answer_.packs, [](const AffectedPack& one) { return std::tie(one.packed_ms, one.pack); });
  for (std::vector<AffectedProcedure>* list : {&answer_.procedures, &answer_.handled_procedures}) {
    sort_by(*list, [](const AffectedProcedure& one) { return std::tie(one.at_ms, one.procedure); });
    for (AffectedProcedure& one : *list) {
      std::ranges::sort(one.uses, {}, [](const AffectedUse& use) { return std::tie(use.pack, use.load); });
    }
  }
  pack_places_.clear();  // the places hold no more
  load_places_.clear();
}

void Reach::count() {
  Counts& counts = answer_.counts;
  std::unordered_set<std::string_view> patients;
  std::unordered_set<std::string_view> patients_first;
  counts.loads = std::ssize(answer_.loads);
  counts.packs = std::ssize(answer_.packs);
  counts.procedures = std::ssize(answer_.procedures);
  counts.handled_procedures = std::ssize(answer_.handled_procedures);
  for (const AffectedLoad& load : answer_.loads) counts.evidence_missing += load.evidence_missing ? 1 : 0;
  for (const AffectedPack& pack : answer_.packs) {
    ++counts.by_standing[static_cast<std::size_t>(pack.standing)];
    answer_.repeat_first.packs += pack.may_wait ? 0 : 1;
  }
  for (const AffectedProcedure& procedure : answer_.procedures) {
    add_patients(procedure, patients);
    counts.patients_unknown += procedure.patient ? 0 : 1;
    counts.newborns_without_number += procedure.newborns_without_number;
    if (procedure.may_wait) continue;
    ++answer_.repeat_first.procedures;
    add_patients(procedure, patients_first);
  }
  counts.patients = std::ssize(patients);
  answer_.at_once = {counts.packs, counts.procedures, counts.patients};
  answer_.repeat_first.patients = std::ssize(patients_first);
}

}  // namespace trayproof::recall
