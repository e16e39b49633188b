#include "report/review/review.h"

#include <algorithm>

#include "ledger/sop/tried.h"
#include "ledger/version.h"
#include "ledger/words/words.h"
#include "report/gaps/recall_changes.h"
#include "report/gaps/recall_work.h"
#include "report/gaps/what_if_curves.h"
#include "report/review/material.h"

namespace trayproof::review {
namespace {

Result<JudgingEdition> adopted_edition(const Ledger& ledger, const sop::Edition& edition) {
  TRY_LET(const auto entry, ledger.entry(edition.seq));
  TRY_LET(const auto event, json::parse(entry.bytes));
  JudgingEdition judging{edition.seq, &edition, edition.sop, {}};
  TRY_LET(judging.stated, sop::stated(event.text_at("toml").value_or("")));
  return judging;
}

Result<std::vector<JudgingEdition>> judging_editions(const Ledger& ledger, const gaps::Facts& facts,
                                                     const gaps::Findings& findings, const Asked& asked) {
  std::vector<JudgingEdition> out;
  if (asked.what_if) {
    JudgingEdition judging{0, nullptr, *facts.what_if, {}};
    TRY_LET(judging.stated, sop::stated(*asked.what_if));
    out.push_back(std::move(judging));
    return out;
  }
  for (const sop::Edition& edition : facts.editions.all()) {
    const bool judges =
        std::find(findings.editions.begin(), findings.editions.end(), edition.seq) != findings.editions.end();
    if (!judges) continue;
    TRY_LET(auto judging, adopted_edition(ledger, edition));
    out.push_back(std::move(judging));
  }
  return out;
}

// `recorded` of the last entry that the tables know.
Result<Instant> data_as_of(const Ledger& ledger, std::int64_t seq) {
  TRY_LET(const auto entry, ledger.entry(seq));
  TRY_LET(const auto event, json::parse(entry.bytes));
  const auto recorded = parse_date_time(event.text_at("recorded").value_or(""));
  if (!recorded) return Error(ErrorCode::corrupt, say("review.no-recorded", {{"seq", std::to_string(seq)}}));
  return recorded->instant;
}

std::string what_if_of(const gaps::Facts& facts) {
  const std::string note = gaps::as_recorded_note(facts.as_recorded);
  return say("workbook.what-if") + (note.empty() ? "" : " " + note);
}

Result<workbook::Facts> lay_out(const Material& material) {
  workbook::Facts out;
  const auto& described = material.facts.of("facility-described");
  if (!described.empty()) out.facility = described.back().text("title");
  out.zone = material.facts.zone;
  out.from = material.period.from;
  out.until = material.period.until;
  // A spreadsheet rounds the last millisecond of a day up to the next day.
  if (out.until) out.until->ms -= out.until->ms % second_ms;
  TRY_LET(out.data_as_of, data_as_of(material.ledger, material.tables.known_at()));
  out.program = program_name();
  if (material.facts.what_if) out.what_if = what_if_of(material.facts);
  out.editions = edition_rows(material);
  out.measures = measure_rows(material);
  out.cases = case_rows(material);
  out.loads = load_rows(material);
  out.gaps = gap_rows(material);
  out.solutions = solution_rows(material);
  TRY_LET(out.recalls, recall_rows(material));
  out.indicators = indicator_rows(material);
  out.people = person_rows(material);
  out.equipment = equipment_rows(material);
  out.machine_days = machine_days(material);
  out.holds = hold_points(material);
  out.weeks = week_rows(material);
  TRY(exposure_rows(material, out));
  TRY_LET(out.proof, proof_of(material));
  out.limits = limit_rows(material);
  TRY_LET(out.not_checked, not_checked_rows(material));
  return out;
}

}  // namespace

gaps::RecallAnswers kept_answers(const Ledger& ledger) {
  return [&ledger](std::string_view sha256) -> std::optional<json::Value> {
    Digest digest;
    if (!from_hex(sha256, digest)) return std::nullopt;
    const auto bytes = ledger.attachment(digest);
    if (!bytes.ok()) return std::nullopt;  // removed on request: rules say then that they cannot tell
    auto answer = json::parse(as_text(bytes.value()));
    if (!answer.ok()) return std::nullopt;
    return std::move(answer).value();
  };
}

Result<sop::Editions> editions_asked(const Ledger& ledger, const links::Links& tables, const Asked& asked) {
  if (!asked.what_if) return ledger.editions(tables.known_at());
  TRY_LET(auto sop, sop::read(*asked.what_if));
  return sop::tried(std::move(sop));
}

Result<Review> gather(const Ledger& ledger, links::Links& tables, Instant now, const Asked& asked) {
  TRY_LET(auto editions, ledger.editions(tables.known_at()));
  if (editions.empty()) return Error(ErrorCode::missing, say("review.no-edition"));
  gaps::Surroundings around{.editions = std::move(editions),
                            .what_if = {},
                            .now = now,
                            .from = asked.from,
                            .until = asked.until,
                            .recall_answers = kept_answers(ledger),
                            .recall_again = gaps::recall_again(ledger, tables),
                            .recall_work = gaps::recall_work(ledger, tables)};
  if (asked.what_if) {
    TRY_LET(around.what_if, sop::read(*asked.what_if));
    around.curve_judge = gaps::curve_judge(ledger, tables, *around.what_if);
  }
  TRY_LET(gaps::Facts facts, gaps::read_facts(tables.database(), std::move(around)));
  // As for the facts: each page is read once.
  TRY(tables.database().run("PRAGMA main.cache_size = -2048"));
  const gaps::FoundEver found = gaps::find_gaps_ever(
      facts, {.from = asked.from, .until = asked.until, .rule = {}, .severity = {}, .what_if = {}});
  const FindingIndex index(found.ever);
  // What only rules look at gives its memory to the sheets.
  std::vector<gaps::Entered>().swap(facts.entered);
  std::vector<gaps::Mention>().swap(facts.first_mentions);
  TRY_LET(const auto negatives, ValidNegatives::read(tables.database(), facts));
  TRY_LET(const auto judging, judging_editions(ledger, facts, found.in_period, asked));
  const Material material{.ledger = ledger,
                          .tables = tables,
                          .facts = facts,
                          .in_period = found.in_period,
                          .ever = index,
                          .negatives = negatives,
                          .editions = judging,
                          .period = {asked.from, asked.until}};
  Review review;
  TRY_LET(review.facts, lay_out(material));
  review.gaps = static_cast<std::int64_t>(found.in_period.gaps.size());
  for (const gaps::Count& one : found.in_period.looked_at) review.cannot_tell += one.cannot_tell;
  TRY(tables.database().run("PRAGMA main.cache_size = -65536"));
  return review;
}

}  // namespace trayproof::review
