// What the records were judged by, and what was not judged: limits that an edition states and leaves out, rules without
// an occasion, and records that stand outside the rules.
#include <algorithm>

#include "ledger/words/words.h"
#include "report/asking/procedure_sorts.h"
#include "report/review/material.h"
#include "report/review/readers.h"

namespace trayproof::review {
namespace {

std::string label_of(const JudgingEdition& edition) {
  const std::string label = edition.sop.title + " · " + edition.sop.edition;
  return edition.seq == 0 ? label + say("review.what-if-mark") : label;
}

// Signs of the SI as they are.
std::string unit_of(const sop::Key& key) {
  constexpr std::pair<std::string_view, std::string_view> words[] = {{"% of percent; below 1: the fraction",
                                                                      "review.unit-tolerance"},
                                                                     {"months", "review.unit-months"},
                                                                     {"loads", "review.unit-loads"},
                                                                     {"events", "review.unit-events"}};
  for (const auto& [unit, word] : words) {
    if (unit == key.unit) return say(word);
  }
  return std::string(key.unit);
}

bool is_of_list(std::string_view table) {
  const auto tables = sop::tables();
  const auto found =
      std::find_if(tables.begin(), tables.end(), [&](const sop::Table& one) { return one.name == table; });
  return found != tables.end() && found->add != nullptr;
}

std::size_t elements_of(const JudgingEdition& edition, std::string_view table) {
  std::size_t most = 0;
  for (const sop::Stated& one : edition.stated) {
    if (one.key->table == table) most = std::max(most, one.element);
  }
  return most;
}

const sop::Stated* stated_in(const JudgingEdition& edition, const sop::Key& key, std::size_t element) {
  const auto found = std::find_if(edition.stated.begin(), edition.stated.end(),
                                  [&](const sop::Stated& one) { return one.key == &key && one.element == element; });
  return found == edition.stated.end() ? nullptr : &*found;
}

// Keys that name the edition, or whose absence exempts nothing: nothing is left unchecked without them.
bool leaves_nothing_out(const sop::Key& key) {
  return key.table == "sop" || (key.table == "cleaning" && key.name == "exempt_sets");
}

// Calls `visit(key, element, stated or null)` for every place where an edition could state something.
template <typename Visit>
void each_place(const JudgingEdition& edition, Visit visit) {
  for (const sop::Table& table : sop::tables()) {
    const bool list = is_of_list(table.name);
    const std::size_t elements = list ? elements_of(edition, table.name) : 1;
    for (std::size_t i = 0; i < std::max<std::size_t>(elements, 1); ++i) {
      const std::size_t element = list && elements > 0 ? i + 1 : 0;
      for (const sop::Key& key : sop::keys()) {
        if (key.table == table.name) visit(key, element, stated_in(edition, key, element));
      }
    }
  }
}

void limits_not_stated(const JudgingEdition& edition, std::vector<workbook::NotCheckedRow>& rows) {
  each_place(edition, [&](const sop::Key& key, std::size_t element, const sop::Stated* stated) {
    if (stated != nullptr || leaves_nothing_out(key) || sop::default_of(key)) return;
    const std::string name = sop::full_name(key, element);
    const std::string why = name == "indicators.biological_hours" ? "review.limit-hours" : "review.limit-not-stated";
    rows.push_back({say("review.limit", {{"key", name}}),
                    say(why, {{"edition", label_of(edition)}, {"readers", readers_of(sop::full_name(key))}})});
  });
}

void rules_left_out(const Material& material, std::vector<workbook::NotCheckedRow>& rows) {
  std::vector<std::string> without_limit;
  std::vector<std::string> without_occasion;
  for (const gaps::Count& one : material.in_period.looked_at) {
    const std::string id(one.rule->id);
    if (one.limit_not_stated) without_limit.push_back(id);
    if (one.subjects == 0 && !one.limit_not_stated) without_occasion.push_back(id);
    if (one.cannot_tell == 0) continue;
    rows.push_back({say("review.rule", {{"rule", id}}),
                    say("review.rule-cannot-tell",
                        {{"count", std::to_string(one.cannot_tell)}, {"subjects", std::to_string(one.subjects)}})});
  }
  if (!without_limit.empty()) rows.push_back({say("review.rules-without-limit"), joined(without_limit, ", ")});
  if (!without_occasion.empty()) rows.push_back({say("review.rules-without-occasion"), joined(without_occasion, ", ")});
}

Result<std::int64_t> counted_by(links::Links& tables, std::string_view sql, const Period& period) {
  TRY_LET(auto rows, tables.database().prepare(sql));
  rows.bind(1, period.from ? period.from->ms : INT64_MIN).bind(2, period.until ? period.until->ms : INT64_MAX);
  TRY_LET(const bool there, rows.step());
  return there ? rows.integer(0) : 0;
}

// What was counted elsewhere beside what stands here: the record cannot tell by itself what was never entered.
Result<void> counts_from_elsewhere(const Material& material, std::vector<workbook::NotCheckedRow>& rows) {
  for (const gaps::Record& counted : material.facts.of("counted")) {
    const auto from = counted.time("from");
    const auto until = counted.time("until");
    const std::string_view what = counted.text("what");
    if (!from || !until || (what != "births" && what != "operations")) continue;
    const Period span{from->at, until->at};
    const bool touches = (!material.period.until || *span.from <= *material.period.until) &&
                         (!material.period.from || *span.until >= *material.period.from);
    if (!touches) continue;
    const std::string told = "(" + std::string(procedure_sorts_sql()) + ") WHERE at_ms BETWEEN ? AND ?";
    TRY_LET(const auto all, counted_by(material.tables, "SELECT count(*) FROM " + told, span));
    const std::string_view is_one = what == "births" ? " AND birth" : " AND operation";
    TRY_LET(const auto here, counted_by(material.tables, "SELECT count(*) FROM " + told + std::string(is_one), span));
    const auto number = static_cast<std::int64_t>(counted.number("number").value_or(0));
    rows.push_back(
        {say("review.counted",
             {{"what", spelled_here(what)}, {"from", material.day(*span.from)}, {"until", material.day(*span.until)}}),
         say("review.counted-why", {{"number", std::to_string(number)},
                                    {"here", std::to_string(here)},
                                    {"all", std::to_string(all)},
                                    {"seq", std::to_string(counted.seq)}})});
  }
  return {};
}

// How much of the record the newest checkpoint covers.
Result<void> checkpoint_cover(const Material& material, std::vector<workbook::NotCheckedRow>& rows) {
  std::int64_t covered = 0;
  TRY_LET(const auto notes, material.ledger.checkpoints());
  for (const std::string& note : notes) {
    const auto parsed = log::parse_note(note);
    if (!parsed.ok()) continue;
    const auto checkpoint = log::parse_checkpoint(parsed.value());
    const auto size = checkpoint.ok() ? static_cast<std::int64_t>(checkpoint.value().head.size) : 0;
    if (size <= material.tables.known_at()) covered = std::max(covered, size);
  }
  if (covered < material.tables.known_at()) {
    rows.push_back({say("review.uncovered"),
                    say("review.uncovered-why",
                        {{"covered", std::to_string(covered)}, {"size", std::to_string(material.tables.known_at())}})});
  }
  return {};
}

}  // namespace

std::vector<workbook::EditionRow> edition_rows(const Material& material) {
  std::vector<workbook::EditionRow> rows;
  for (const JudgingEdition& edition : material.editions) {
    workbook::EditionRow row{edition.seq, edition.sop.title, edition.sop.edition, std::nullopt, edition.sop.confirmed};
    for (const gaps::Record& confirmed : material.facts.of("sop-confirmed")) {
      row.confirmed = row.confirmed || static_cast<std::int64_t>(confirmed.number("sop").value_or(0)) == edition.seq;
    }
    const bool is_first = edition.adopted == &material.facts.editions.all().front();
    if (edition.adopted != nullptr && !is_first) row.judges_from = edition.adopted->judges_from;
    rows.push_back(std::move(row));
  }
  return rows;
}

std::vector<workbook::LimitRow> limit_rows(const Material& material) {
  std::vector<workbook::LimitRow> rows;
  for (const JudgingEdition& edition : material.editions) {
    each_place(edition, [&](const sop::Key& key, std::size_t element, const sop::Stated* stated) {
      std::string value = stated != nullptr ? stated->value : std::string();
      if (stated != nullptr && value.empty()) value = say("review.empty-list");
      if (const auto fallback = sop::default_of(key); stated == nullptr && fallback) {
        value = say("review.by-default", {{"value", *fallback}});
      }
      if (value.empty()) return;
      rows.push_back({label_of(edition), sop::full_name(key, element), value, unit_of(key),
                      readers_of(sop::full_name(key))});
    });
  }
  return rows;
}

Result<std::vector<workbook::NotCheckedRow>> not_checked_rows(const Material& material) {
  std::vector<workbook::NotCheckedRow> rows;
  rules_left_out(material, rows);
  for (const JudgingEdition& edition : material.editions) limits_not_stated(edition, rows);
  TRY_LET(const auto curves,
          counted_by(material.tables, "SELECT count(*) FROM curves WHERE load IS NULL AND from_ms BETWEEN ? AND ?",
                     material.period));
  if (curves > 0)
    rows.push_back(
        {say("review.curves-waiting", {{"count", std::to_string(curves)}}), say("review.curves-waiting-why")});
  TRY_LET(
      const auto unknown,
      counted_by(material.tables, "SELECT count(*) FROM unknown_events WHERE at_ms IS NULL OR at_ms BETWEEN ? AND ?",
                 material.period));
  if (unknown > 0)
    rows.push_back(
        {say("review.unknown-events", {{"count", std::to_string(unknown)}}), say("review.unknown-events-why")});
  if (material.in_period.back_records > 0) {
    rows.push_back({say("review.back-records", {{"count", std::to_string(material.in_period.back_records)}}),
                    say("review.back-records-why")});
  }
  TRY(counts_from_elsewhere(material, rows));
  TRY(checkpoint_cover(material, rows));
  rows.push_back({say("review.never-entered"), say("review.never-entered-why")});
  return rows;
}

}  // namespace trayproof::review
