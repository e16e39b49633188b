#include "report/review/material.h"

#include <algorithm>

#include "ledger/links/statements.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/gaps/looking.h"

namespace trayproof::review {

FindingIndex::FindingIndex(const std::vector<gaps::Finding>& findings) {
  for (const gaps::Finding& one : findings) by_subject_[{one.subject_kind, one.subject_id}].push_back(&one);
}

const std::vector<const gaps::Finding*>& FindingIndex::about(std::string_view kind, std::string_view id) const {
  static const std::vector<const gaps::Finding*> none;
  const auto found = by_subject_.find(std::pair<std::string, std::string>(kind, id));
  return found == by_subject_.end() ? none : found->second;
}

Result<ValidNegatives> ValidNegatives::read(store::Database& tables, const gaps::Facts& facts) {
  ValidNegatives out;
  TRY_LET(auto rows, tables.prepare("SELECT equipment, method, load, start_ms, start_earliest_ms, start_latest_ms, "
                                    "hours, lot_read_hours, at_ms FROM biologicals WHERE counts = 1 AND equipment IS "
                                    "NOT NULL AND start_ms IS NOT NULL ORDER BY start_ms, load"));
  TRY(links::each_row(rows, [&](store::Statement& row) {
    std::optional<double> wanted = row.maybe_real(7);
    if (!wanted) wanted = facts.sop_at(Instant{row.integer(8)}).biological_hours;
    const auto hours = row.maybe_real(6);
    if (wanted && (!hours || *hours < *wanted)) return;
    auto& loads = out.by_machine_[{std::string(row.text(0)), std::string(row.text(1))}];
    if (!loads.empty() && loads.back().load == row.text(2)) return;
    loads.push_back({std::string(row.text(2)), {{row.integer(3)}, {row.integer(4)}, {row.integer(5)}}});
  }));
  return out;
}

ValidNegatives::Around ValidNegatives::around(const gaps::Load& load) const {
  Around out;
  const auto found = by_machine_.find({load.equipment, load.method});
  if (found == by_machine_.end() || !load.has_time()) return out;
  const auto& all = found->second;
  const auto after = std::upper_bound(all.begin(), all.end(), load.start().at,
                                      [](Instant at, const Negative& one) { return at < one.start.at; });
  if (after != all.begin()) out.before = &*std::prev(after);
  if (after != all.end()) out.after = &*after;
  return out;
}

const gaps::Count* Material::count_of(std::string_view rule) const {
  for (const gaps::Count& one : in_period.looked_at) {
    if (one.rule->id == rule) return &one;
  }
  return nullptr;
}

Material::RestsOn Material::rests_on() const {
  RestsOn out;
  for (const gaps::Use& use : facts.uses) {
    if (!period.holds(use.procedure->at.at)) continue;
    out.packs.insert(use.pack->id);
    for (const gaps::Load* load : use.loads) out.loads.insert(load->id);
    for (const gaps::TurnStep& step : use.pack->turn) {
      if (step.record->kind->name == "soaked") out.solutions.emplace(step.record->text("solution"));
    }
  }
  return out;
}

std::string Material::stamp(Instant at) const { return minute_here(facts.zone.local(at)); }

std::string Material::day(Instant at) const { return day_here(facts.zone.civil(at).date); }

Result<std::string> Material::readable(std::string_view stand_in) const {
  if (stand_in.empty()) return std::string();
  const auto parsed = json::parse(stand_in);
  Digest digest;
  if (!parsed.ok() || !from_hex(parsed.value().text_at("sha256").value_or(""), digest)) return std::string(stand_in);
  TRY_LET(auto text, ledger.text(digest));
  return text ? std::move(*text) : say("review.text-removed");
}

std::string joined(const std::vector<std::string>& items, std::string_view separator) {
  std::string out;
  std::vector<std::string_view> seen;
  for (const std::string& one : items) {
    if (one.empty() || std::find(seen.begin(), seen.end(), one) != seen.end()) continue;
    seen.push_back(one);
    if (!out.empty()) out += separator;
    out += one;
  }
  return out;
}

std::string shown(const Material& material, const json::Value& value) {
  if (value.is_number()) return number_here(value.number(), 2);
  if (value.is_bool()) return say(value.boolean() ? "workbook.word-yes" : "workbook.word-no");
  if (value.is_text()) {
    const auto time = parse_date_time(value.text());
    return time ? material.stamp(time->instant) : written_here(spelled_here(value.text()));
  }
  return {};
}

std::vector<std::string> rules_of(std::vector<const gaps::Finding*> findings, std::string_view subject) {
  std::stable_sort(findings.begin(), findings.end(),
                   [](const gaps::Finding* a, const gaps::Finding* b) { return a->severity < b->severity; });
  std::vector<std::string> out;
  for (const gaps::Finding* one : findings) {
    std::string name(one->rule->id);
    if (one->subject_id != subject) name += " " + one->subject_id;
    if (std::find(out.begin(), out.end(), name) == out.end()) out.push_back(std::move(name));
  }
  return out;
}

}  // namespace trayproof::review
