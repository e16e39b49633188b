// Each machine and each of its checks as they stood in the period.
#include <algorithm>

#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/review/material.h"

namespace trayproof::review {
namespace {

std::vector<Instant> runs_of(const Material& material, const gaps::Equipment& equipment) {
  std::vector<Instant> runs;
  for (const gaps::Load* load : equipment.loads) {
    if (material.period.holds(load->start().at)) runs.push_back(load->start().at);
  }
  for (const gaps::Curve* curve : equipment.curves) {
    if (material.period.holds(curve->from)) runs.push_back(curve->from);
  }
  return runs;
}

std::string stops_of(const Material& material, const gaps::Equipment& equipment) {
  std::vector<std::string> items;
  const Instant end = material.facts.until;
  for (std::size_t i = 0; i < equipment.stops.size(); ++i) {
    const gaps::Record& stop = *equipment.stops[i];
    if (stop.kind->name != "equipment-stopped") continue;
    const gaps::Record* resumed = nullptr;
    for (std::size_t j = i + 1; j < equipment.stops.size() && resumed == nullptr; ++j) {
      if (equipment.stops[j]->kind->name == "equipment-resumed") resumed = equipment.stops[j];
    }
    const bool before = material.period.from && resumed != nullptr && resumed->at.at < *material.period.from;
    if (before || stop.at.at > end) continue;
    items.push_back(resumed == nullptr ? say("review.stopped-since", {{"from", material.stamp(stop.at.at)}})
                                       : say("review.from-until", {{"from", material.stamp(stop.at.at)},
                                                                   {"until", material.stamp(resumed->at.at)}}));
  }
  return joined(items, "\n");
}

std::string as_found_of(const gaps::Record& check) {
  std::vector<std::string> items;
  if (const auto k = check.number("as_found_k")) items.push_back(number_here(*k, 2) + " K");
  if (const auto kpa = check.number("as_found_kpa")) items.push_back(number_here(*kpa, 2) + " kPa");
  return joined(items, ", ");
}

// What the last check of that sort, not later than the end of the period, says.
void put_check(const Material& material, const gaps::Equipment& equipment, const std::vector<Instant>& runs,
               workbook::EquipmentRow& row) {
  std::vector<const gaps::Record*> passes;
  for (const gaps::Record* check : equipment.checks) {
    if (check->text("check") != row.check || check->at.at > material.facts.until) continue;
    row.result = check->text("result");
    if (row.result != "pass") continue;
    passes.push_back(check);
    row.passed = check->at.at;
    const auto until = check->time("until");
    row.until = until ? std::optional<Instant>(until->at) : std::nullopt;
    row.as_found = as_found_of(*check);
    row.certificate = check->text("certificate");
  }
  for (const Instant run : runs) {
    const gaps::Record* pass = nullptr;
    for (const gaps::Record* one : passes) {
      if (one->at.at <= run) pass = one;
    }
    const auto until = pass == nullptr ? std::nullopt : pass->time("until");
    row.runs_past += pass == nullptr || (until && run > until->at) ? 1 : 0;
  }
}

}  // namespace

std::vector<workbook::EquipmentRow> equipment_rows(const Material& material) {
  std::map<std::string_view, const gaps::Record*> registered;
  for (const gaps::Record& one : material.facts.of("equipment-registered")) registered[one.text("equipment")] = &one;
  std::vector<workbook::EquipmentRow> rows;
  for (const auto& [id, equipment] : material.facts.equipment) {
    const auto runs = runs_of(material, equipment);
    workbook::EquipmentRow bare;
    bare.equipment = id;
    bare.sort = equipment.sort;
    if (const auto found = registered.find(id); found != registered.end()) bare.serial = found->second->text("serial");
    bare.runs = static_cast<std::int64_t>(runs.size());
    bare.stopped = stops_of(material, equipment);
    std::set<std::string> checks;
    for (const gaps::Record* check : equipment.checks) {
      if (check->at.at <= material.facts.until) checks.emplace(check->text("check"));
    }
    if (checks.empty()) rows.push_back(bare);
    for (const std::string& check : checks) {
      workbook::EquipmentRow row = bare;
      row.check = check;
      put_check(material, equipment, runs, row);
      rows.push_back(std::move(row));
    }
  }
  return rows;
}

}  // namespace trayproof::review
