// Who did what in the period, and on which days the competence for it was in date: judged for each day by itself, not
// by what holds today.
#include <algorithm>

#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/gaps/looking.h"
#include "report/review/material.h"

namespace trayproof::review {
namespace {

using Work = std::map<std::pair<std::string, std::string>, gaps::Records>;  // person and skill

// What asks for a skill: running a load for its method, the rest for the skill of that name.
Work work_of(const Material& material) {
  Work work;
  const auto add = [&](std::string_view kind, std::string_view skill) {
    for (const gaps::Record& one : material.facts.of(kind)) {
      if (!material.period.holds(one.at.at)) continue;
      work[{std::string(one.by), std::string(skill.empty() ? one.text("method") : skill)}].push_back(&one);
    }
  };
  add("load-started", "");
  add("packed", "packing");
  add("cleaned", "cleaning");
  add("solution-prepared", "solutions");
  return work;
}

class Competence {
 public:
  explicit Competence(const Material& material) : material_(material) {
    for (const gaps::Record& one : material.facts.of("competence-recorded"))
      by_[{std::string(one.text("person")), std::string(one.text("skill"))}].push_back(&one);
  }

  // The record that holds then, or null.
  const gaps::Record* in_date(const std::pair<std::string, std::string>& of, const gaps::When& at) const {
    const auto found = by_.find(of);
    if (found == by_.end()) return nullptr;
    const gaps::Record* best = nullptr;
    for (const gaps::Record* one : found->second) {
      const auto until = parse_date(one->text("until"));
      if (!until || one->at.at > at.at || at.at > material_.facts.end_of(*until)) continue;
      best = one;
    }
    return best;
  }

 private:
  const Material& material_;
  std::map<std::pair<std::string, std::string>, gaps::Records> by_;
};

std::string roles_of(const Material& material, const std::string& person, Instant at) {
  const gaps::Record* enrolled = nullptr;
  for (const gaps::Record& one : material.facts.of("person-enrolled")) {
    if (one.text("person") == person && (enrolled == nullptr || one.at.at <= at)) enrolled = &one;
  }
  if (enrolled == nullptr) return say("review.not-enrolled");
  std::vector<std::string> roles;
  for (const std::string_view role : enrolled->texts("roles")) roles.emplace_back(spelled_here(role));
  return joined(roles, ", ");
}

}  // namespace

std::vector<workbook::PersonRow> person_rows(const Material& material) {
  const Competence competence(material);
  std::vector<workbook::PersonRow> rows;
  for (auto& [who, records] : work_of(material)) {
    workbook::PersonRow row;
    row.person = who.first;
    row.skill = who.second;
    row.times = static_cast<std::int64_t>(records.size());
    row.first = records.front()->at.at;
    row.last = records.back()->at.at;
    row.roles = roles_of(material, who.first, *row.last);
    for (const gaps::Record& left : material.facts.of("person-left")) {
      if (left.text("person") == who.first) row.left = left.at.at;
    }
    std::map<std::int64_t, bool> days;  // whether all that was done on it was done in date
    for (const gaps::Record* one : records) {
      const bool good = competence.in_date(who, one->at) != nullptr;
      const auto [day, added] = days.emplace(days_since_epoch(material.facts.day(one->at.at)), good);
      day->second = day->second && good;
    }
    row.days = static_cast<std::int64_t>(days.size());
    for (const auto& [day, good] : days) {
      if (!good) row.without_on.push_back(day_here(date_of_days(day)));
    }
    row.days_without = static_cast<std::int64_t>(row.without_on.size());
    if (const gaps::Record* holds = competence.in_date(who, records.back()->at))
      row.in_date = say("review.from-until",
                        {{"from", material.day(holds->at.at)}, {"until", written_here(holds->text("until"))}});
    rows.push_back(std::move(row));
  }
  return rows;
}

}  // namespace trayproof::review
