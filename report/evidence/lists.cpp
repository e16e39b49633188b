// The parts of the page behind the case: drawings, findings, the SOP, every entry, and the record itself.
#include <algorithm>

#include "ledger/base/limits.h"
#include "importer/refused_row.h"
#include "ledger/links/standing_event.h"
#include "ledger/sop/stated.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/evidence/check/format.h"
#include "report/evidence/parts.h"
#include "report/evidence/telling.h"
#include "report/picture/draw.h"

namespace trayproof::evidence {

using markup::element;
using markup::Element;
using markup::Markup;

namespace {

constexpr std::size_t refused_shown = 20;

// What of an export could not be read stands beside what was read from it.
Markup refused_rows(const importer::KeptRefusals& refusals) {
  Markup out;
  const std::string count = std::to_string(refusals.refused);
  const std::string list = std::string(attachments_folder) + hex(refusals.file);
  out.add(element(
      "p", say(refusals.removed ? "pack.refused-removed" : "pack.refused-rows", {{"count", count}, {"file", list}})));
  Table table({say("pack.refused-line"), say("pack.refused-text"), say("pack.refused-why"), say("pack.refused-mend")});
  for (std::size_t i = 0; i < std::min(refusals.rows.size(), refused_shown); ++i) {
    const reading::RefusedRow& row = refusals.rows[i];
    table.row({std::to_string(row.line), row.text, importer::why_here(row), importer::mend_here(row)});
  }
  if (!refusals.rows.empty()) out.add(table.markup());
  return out;
}

}  // namespace

Markup drawings(const Telling& telling) {
  Markup out;
  if (telling.curves.empty()) return out;
  out.add(element("h2", say("pack.head-curves")));
  for (const DrawnCurve& one : telling.curves) {
    Element figure("figure");
    if (one.curve) figure.inside(picture::draw(*one.curve));
    Element caption("figcaption");
    caption.text(say("pack.curve-of", {{"seq", std::to_string(one.seq)}}) + " ");
    caption.inside(seq_links({one.seq}));
    caption.text(" " + say("pack.curve-file", {{"file", std::string(attachments_folder) + one.file}}));
    if (!one.note.empty()) caption.inside(Element("strong").text(" " + one.note));
    out.add(figure.inside(caption).markup());
    if (one.refusals) out.add(refused_rows(*one.refusals));
  }
  if (telling.curves_left_out > 0)
    out.add(element("p", say("pack.curves-left-out", {{"count", std::to_string(telling.curves_left_out)}})));
  return out;
}

namespace {

std::string state_of(const gaps::Finding& finding) {
  const std::string state = say("workbook.word-" + std::string(gaps::word(finding.state)));
  if (finding.second == people::Second::none_needed) return state;
  return state + ", " + say("workbook.second-" + std::string(people::word(finding.second)));
}

}  // namespace

Markup finding_list(const Telling& telling) {
  Markup out;
  out.add(element("h2", say("pack.head-findings")));
  if (telling.findings.empty()) {
    out.add(element("p", say("pack.no-findings")));
    return out;
  }
  Element list("ul");
  list.with("class", "findings");
  for (const gaps::Finding* one : telling.findings) {
    Element item("li");
    const std::string severity(gaps::word(one->severity));
    item.inside(Element("strong").text(say("workbook.word-" + severity) + ": ")).text(one->says + " ");
    item.inside(seq_links(one->seqs));
    item.inside(Element("br"));
    item.inside(Element("span")
                    .with("class", "quiet")
                    .text(say("pack.finding-state", {{"rule", one->rule->id},
                                                     {"at", telling.stamp(one->at)},
                                                     {"state", state_of(*one)},
                                                     {"closes", one->closes}})));
    list.inside(item);
  }
  out.add(list.markup());
  return out;
}

Markup patient_list(const Telling& telling) {
  Markup out;
  if (telling.numbers.empty()) return out;
  out.add(element("h2", say("pack.head-patients")));
  out.add(element("p", say("pack.numbers-not-proved")));
  Table table({say("pack.column-number"), say("pack.column-pseudonym")});
  for (const auto& [pseudonym, number] : telling.numbers) table.row({number, pseudonym});
  out.add(table.markup());
  return out;
}

namespace {

bool is_about_cycles(std::string_view table) {
  for (const std::string_view one : {"steam", "steam.program", "dry_heat", "dry_heat.pair", "boiling", "washer",
                                     "disinfectant", "decontamination", "indicators", "release", "shelf", "packing"}) {
    if (table == one || table.starts_with(std::string(one) + ".")) return true;
  }
  return false;
}

}  // namespace

Markup rules_used(const Telling& telling) {
  Markup out;
  out.add(element("h2", say("pack.head-rules")));
  for (const sop::Edition& edition : telling.facts().editions.all()) {
    if (!telling.belonging.entries.contains(edition.seq)) continue;
    Element line("p");
    line.text(say("pack.edition", {{"title", edition.sop.title}, {"edition", edition.sop.edition}}) + " ");
    line.inside(seq_links({edition.seq}));
    if (!edition.sop.confirmed) line.text(" " + say("pack.unconfirmed"));
    out.add(line.markup());
    const auto entry = telling.material.ledger.entry(edition.seq);
    const auto event = entry.ok() ? json::parse(entry.value().bytes) : Result<json::Value>(entry.error());
    const auto stated = event.ok() ? sop::stated(event.value().text_at("toml").value_or(""))
                                   : Result<std::vector<sop::Stated>>(event.error());
    if (!stated.ok()) continue;  // the edition judges all the same; its text stands in the entry
    Element list("ul");
    list.with("class", "limits");
    for (const sop::Stated& one : stated.value()) {
      if (is_about_cycles(one.key->table))
        list.inside(element("li", sop::full_name(*one.key, one.element) + " = " + one.value));
    }
    out.add(list.markup());
  }
  return out;
}

Result<Markup> entry_list(const Telling& telling) {
  Markup out;
  out.add(element("h2", say("pack.head-entries")));
  out.add(Element("p").with("class", "quiet").text(say("pack.entries-about")).markup());
  Element list("ol");
  list.with("class", "entries");
  std::size_t shown = 0;
  const Belonging& belonging = telling.belonging;
  for (const auto& [seq, why] : belonging.entries) {
    if (++shown > limits::pack_entries_shown) break;
    TRY_LET(const auto bytes, telling.material.ledger.entry(seq));
    TRY_LET(const auto entry, links::read_entry(seq, bytes.bytes));
    TRY_LET(const auto says, telling.sentence(seq));
    const auto at = parse_date_time(entry.fields.text_at("at").value_or(""));
    Element item("li");
    item.with("id", "e" + std::to_string(seq));
    item.inside(Element("strong").text(std::to_string(seq)));
    item.text(" ").inside(Element("span").with("class", "when").text(at ? telling.stamp(at->instant) : ""));
    item.text(" " + say("pack.by", {{"by", entry.fields.text_at("by").value_or("")}}));
    item.inside(Element("br")).text(says);
    TRY_LET(const auto origin, telling.material.ledger.file().origin_of(seq));
    TRY_LET(const auto corrections, telling.material.ledger.file().corrections_of(origin.value_or(seq)));
    if (!corrections.empty() && corrections.back() > seq)
      item.inside(Element("strong").text(" " + say("trace.replaced", {{"seq", std::to_string(corrections.back())}})));
    item.inside(Element("br"));
    item.inside(Element("code").text(hex(bytes.hash)));
    list.inside(item);
  }
  out.add(list.markup());
  if (belonging.entries.size() > limits::pack_entries_shown) {
    const std::string rest = std::to_string(belonging.entries.size() - limits::pack_entries_shown);
    out.add(element("p", say("pack.entries-more", {{"count", rest}, {"file", entries_member}})));
  }
  return out;
}

Markup record_part(const Telling& telling) {
  Markup out;
  out.add(element("h2", say("pack.head-record")));
  Element list("dl");
  const auto fact = [&](std::string_view key, std::string_view value) {
    list.inside(element("dt", say(key))).inside(Element("dd").inside(element("code", value)));
  };
  fact("pack.fact-origin", telling.origin);
  fact("pack.fact-size", std::to_string(telling.belonging.size));
  fact("pack.fact-root", telling.root);
  fact("pack.fact-vkey", telling.vkey);
  out.add(list.markup());
  const auto& kept = telling.facts().of("checkpoint-kept");
  if (!kept.empty()) {
    out.add(element("p", say("pack.kept-elsewhere")));
    Element places("ul");
    for (const gaps::Record& one : kept) {
      if (!telling.belonging.entries.contains(one.seq)) continue;
      Element item("li");
      item.text(say("pack.kept", {{"size", number_here(one.number("size").value_or(0), 0)},
                                  {"where", one.text("where")},
                                  {"root", one.text("root")}}) +
                " ");
      places.inside(item.inside(seq_links({one.seq})));
    }
    out.add(places.markup());
  } else {
    out.add(element("p", say("pack.kept-nowhere")));
  }
  if (telling.absent_texts + telling.absent_files > 0) {
    out.add(element("p", say("pack.absent", {{"texts", std::to_string(telling.absent_texts)},
                                             {"files", std::to_string(telling.absent_files)}})));
  }
  return out;
}

}  // namespace trayproof::evidence
