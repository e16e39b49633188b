// Recalls and drills that were opened in the period or were still open in it. What was reached is what the opening
// itself counts; what is still to fetch and whether it is closed are as the work on it stands now (docs/recall.md, "As
// work"): a late entry opens a closed recall again.
#include <algorithm>
#include <set>

#include "ledger/recall/work.h"
#include "ledger/words/words.h"
#include "report/review/material.h"

namespace trayproof::review {
namespace {

std::int64_t counted(const json::Value& counts, std::string_view name) {
  return static_cast<std::int64_t>(counts.number_at(name).value_or(0));
}

std::string subject_text(const json::Value& subject) {
  std::string out;
  for (const json::Member& member : subject.members()) {
    std::string value = member.value.is_text() ? member.value.text() : std::string();
    if (member.value.is_list()) {
      for (const json::Value& one : member.value.items())
        value += (value.empty() ? "" : ", ") + (one.is_text() ? one.text() : json::plain(one));
    }
    out += (out.empty() ? "" : ", ") + std::string(spelled_here(member.name)) + " " + value;
  }
  return out;
}

// Where its list is gone, the counts and the number of answers are what is left.
std::int64_t to_fetch(const Material& material, const json::Value& counts, std::string_view recall) {
  std::set<std::string, std::less<>> answered;
  for (const gaps::Record& answer : material.facts.of("recall-answered")) {
    if (answer.text("recall") == recall && !answer.text("pack").empty()) answered.emplace(answer.text("pack"));
  }
  std::int64_t wanted = 0;
  for (const std::string_view standing : {"issued", "shelf", "held"}) wanted += counted(counts, standing);
  return std::max<std::int64_t>(0, wanted - static_cast<std::int64_t>(answered.size()));
}

Result<workbook::RecallRow> row_of(const Material& material, const std::string& id, const gaps::Recall& recall) {
  const gaps::Record& opened = *recall.opened;
  const json::Value* subject = opened.value("subject");
  const json::Value* stored = opened.value("counts");
  const json::Value counts = stored != nullptr && stored->is_object() ? *stored : json::Value::object();
  workbook::RecallRow row;
  row.recall = id;
  row.drill = recall.drill;
  row.because = opened.text("because");
  if (subject != nullptr && subject->is_object()) row.subject = subject_text(*subject);
  row.opened = opened.at.at;
  if (const auto as_of = opened.time("as_of")) row.as_of = as_of->at;
  row.known_at = static_cast<std::int64_t>(opened.number("known_at").value_or(0));
  row.loads = counted(counts, "loads");
  row.packs = counted(counts, "packs");
  row.procedures = counted(counts, "procedures");
  row.patients = counted(counts, "patients");
  row.patients_unknown = counted(counts, "patients_unknown");
  row.answer_sha256 = opened.text("answer");
  if (recall.answer_read) {
    TRY_LET(const auto work, recall::work_of(id, material.ledger, material.tables, material.facts.editions));
    row.to_fetch = work.packs_to_find() - work.packs_found();
    row.state = recall::word(work.state);
    row.second = work.second;
  } else {
    row.to_fetch = to_fetch(material, counts, id);
  }
  if (recall.closed != nullptr) {
    row.closed = recall.closed->at.at;
    TRY_LET(row.conclusion, material.readable(recall.closed->text("conclusion")));
  }
  return row;
}

}  // namespace

Result<std::vector<workbook::RecallRow>> recall_rows(const Material& material) {
  std::vector<workbook::RecallRow> rows;
  for (const auto& [id, recall] : material.facts.recalls) {
    if (recall.opened == nullptr) continue;
    const Instant opened = recall.opened->at.at;
    const bool after_it = material.period.until && opened > *material.period.until;
    const bool over_before =
        material.period.from && recall.closed != nullptr && recall.closed->at.at < *material.period.from;
    if (after_it || over_before) continue;
    TRY_LET(auto row, row_of(material, id, recall));
    rows.push_back(std::move(row));
  }
  std::stable_sort(rows.begin(), rows.end(),
                   [](const workbook::RecallRow& a, const workbook::RecallRow& b) { return a.opened < b.opened; });
  return rows;
}

}  // namespace trayproof::review
