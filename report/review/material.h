// What every part of the review is made from, and how it spells times, lengths and texts.
#pragma once

#include <map>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "ledger/links/links.h"
#include "ledger/sop/stated.h"
#include "report/gaps/find.h"
#include "report/workbook/facts.h"

namespace trayproof::review {

struct Period {
  std::optional<Instant> from;
  std::optional<Instant> until;  // included
  bool holds(Instant at) const { return (!from || at >= *from) && (!until || at <= *until); }
};

// An edition that judges in the period, with what its text says.
struct JudgingEdition {
  std::int64_t seq = 0;  // 0: not adopted, asked for as a what-if
  const sop::Edition* adopted = nullptr;
  sop::Sop sop;
  std::vector<sop::Stated> stated;
};

// Findings by what they are about.
class FindingIndex {
 public:
  // The findings must outlive it.
  explicit FindingIndex(const std::vector<gaps::Finding>& findings);
  const std::vector<const gaps::Finding*>& about(std::string_view kind, std::string_view id) const;

 private:
  std::map<std::pair<std::string, std::string>, std::vector<const gaps::Finding*>, std::less<>> by_subject_;
};

// Loads with a valid negative biological in the whole record, by machine and method, in order of their start.
class ValidNegatives {
 public:
  static Result<ValidNegatives> read(store::Database& tables, const gaps::Facts& facts);
  struct Negative {
    std::string load;
    gaps::When start;
  };
  struct Around {
    const Negative* before = nullptr;  // the last one that did not start later, the load itself included
    const Negative* after = nullptr;   // the first one that started later
  };
  Around around(const gaps::Load& load) const;

 private:
  std::map<std::pair<std::string, std::string>, std::vector<Negative>> by_machine_;
};

struct Material {
  const Ledger& ledger;
  links::Links& tables;
  const gaps::Facts& facts;
  const gaps::Findings& in_period;  // what arose in the period, and what was looked at
  const FindingIndex& ever;         // whatever the period, of what its cases rest on: a load of last week
  const ValidNegatives& negatives;
  const std::vector<JudgingEdition>& editions;
  Period period;

  const gaps::Count* count_of(std::string_view rule) const;
  // Loads and solutions that the cases of the period rest on, whenever they ran or were made.
  struct RestsOn {
    std::set<std::string, std::less<>> loads;
    std::set<std::string, std::less<>> solutions;
    std::set<std::string, std::less<>> packs;
  };
  RestsOn rests_on() const;
  // "2026-10-14 08:10", in the facility's zone.
  std::string stamp(Instant at) const;
  std::string day(Instant at) const;
  // The text behind a stand-in; says so where it was removed.
  Result<std::string> readable(std::string_view stand_in) const;
};

// Each once, in the order in which they came.
std::string joined(const std::vector<std::string>& items, std::string_view separator);
// A machine word or a value as a finding carries it, for people.
std::string shown(const Material& material, const json::Value& value);
// Rule ids, gravest first; those about something other than `subject` with its id behind them.
std::vector<std::string> rules_of(std::vector<const gaps::Finding*> findings, std::string_view subject);

// One function a sheet.
std::vector<workbook::MeasureRow> measure_rows(const Material& material);
std::vector<workbook::CaseRow> case_rows(const Material& material);
std::vector<workbook::LoadRow> load_rows(const Material& material);
std::vector<workbook::GapRow> gap_rows(const Material& material);
std::vector<workbook::SolutionRow> solution_rows(const Material& material);
std::vector<workbook::IndicatorRow> indicator_rows(const Material& material);
std::vector<workbook::PersonRow> person_rows(const Material& material);
std::vector<workbook::EquipmentRow> equipment_rows(const Material& material);
// What the charts show.
std::vector<workbook::MachineDay> machine_days(const Material& material);
std::vector<workbook::HoldPoint> hold_points(const Material& material);
std::vector<workbook::WeekRow> week_rows(const Material& material);
Result<void> exposure_rows(const Material& material, workbook::Facts& out);
Result<std::vector<workbook::RecallRow>> recall_rows(const Material& material);
Result<workbook::Proof> proof_of(const Material& material);
std::vector<workbook::EditionRow> edition_rows(const Material& material);
std::vector<workbook::LimitRow> limit_rows(const Material& material);
Result<std::vector<workbook::NotCheckedRow>> not_checked_rows(const Material& material);

}  // namespace trayproof::review
