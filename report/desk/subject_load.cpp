// A load's page: its curves drawn again from the kept files with what was judged and by how much, its strips and its
// biological tests.
#include <algorithm>
#include <span>

#include "ledger/base/desk_limits.h"
#include "ledger/text/locale.h"
#include "ledger/words/words.h"
#include "report/desk/parts.h"
#include "report/desk/subject.h"
#include "report/picture/draw.h"
#include "report/picture/kept_curve.h"

namespace trayproof::desk {
namespace {

using markup::Element;
using markup::Markup;
using store::Statement;

Markup checks_of(const importer::Cycle& cycle) {
  Table table({{say("desk.column-check")},
               {say("desk.column-asked"), true},
               {say("desk.column-found"), true},
               {say("desk.column-margin"), true}});
  for (const importer::Check& one : cycle.checks) {
    const std::string margin = (one.margin > 0 ? "+" : "") + number_here(one.margin, 2);
    table.row({Markup::text(say("desk.check-" + one.what)), Markup::text(number_here(one.limit, 2)),
               Markup::text(number_here(one.found, 2)),
               one.margin < 0 ? mark("critical", margin) : Markup::text(margin)});
  }
  return table.empty() ? Markup() : table.markup();
}

std::string phases_of(const importer::Cycle& cycle) {
  std::string text;
  for (const auto& one : cycle.phases) {
    text += (text.empty() ? "" : ", ") + say("curves.phase", {{"what", say("curves.phase-" + std::string(one.what))},
                                                              {"minutes", number_here(one.minutes, 1)}});
  }
  return text;
}

Markup curve_part(const picture::KeptCurve& kept, std::int64_t seq) {
  Element figure("figure");
  figure.with("class", "measured");
  const std::string verdict(kept.judged.text_at("verdict").value_or(""));
  Element says("p");
  says.with("class", "verdict");
  if (verdict.empty()) {
    says.inside(mark("major", say("desk.not-judged")));
  } else {
    says.inside(mark(verdict == "reached"       ? "plain"
                     : verdict == "not-reached" ? "critical"
                                                : "major",
                     spelled(verdict)));
    says.text(" " + say("picture.verdict", {{"verdict", say("picture.verdict-" + verdict)}}));
  }
  figure.inside(says);
  if (kept.removed) figure.inside(alert(*kept.removed));
  if (!kept.removed && !kept.curve) figure.inside(alert(say("desk.curve-not-read")));
  if (kept.curve) figure.inside(picture::draw(*kept.curve));
  if (kept.cycle) {
    figure.inside(checks_of(*kept.cycle));
    const std::string phases = phases_of(*kept.cycle);
    if (!phases.empty()) figure.inside(paragraph(phases, "quiet"));
    if (kept.cycle->verdict != verdict && !verdict.empty())
      figure.inside(alert(say("desk.judged-otherwise", {{"verdict", spelled(kept.cycle->verdict)}})));
  }
  Element caption("figcaption");
  caption.inside(entry_links({seq})).text(" " + say("desk.curve-file", {{"file", kept.file}}));
  return figure.inside(caption).markup();
}

Result<Markup> curves_part(const Subject& subject) {
  std::vector<std::int64_t> curves;
  TRY_LET(auto* rows,
          subject.tables.statements().at("SELECT curve FROM curves WHERE load = ?1 ORDER BY from_ms, curve"));
  rows->bind(1, subject.id);
  TRY(links::each_row(*rows, [&](Statement& row) { curves.push_back(row.integer(0)); }));
  Markup out = heading(say("desk.curves-title"));
  if (curves.empty()) {
    out.add(paragraph(say("desk.no-curve")));
    return out;
  }
  const auto shown = std::span<const std::int64_t>(curves).first(std::min(curves.size(), limits::desk_curves_shown));
  TRY_LET(const auto kept, picture::kept_curves(subject.ledger, subject.tables, subject.editions, shown));
  for (std::size_t i = 0; i < kept.size(); ++i) out.add(curve_part(kept[i], shown[i]));
  if (curves.size() > limits::desk_curves_shown) out.add(paragraph(say("desk.curves-cut"), "quiet"));
  return out;
}

Result<Markup> strips_part(const Subject& subject) {
  Table table = Table::of({"desk.column-result", "desk.column-where", "desk.column-pack", "desk.column-lot",
                           "desk.column-at", "desk.column-entries"});
  TRY_LET(auto* rows, subject.tables.statements().at(
                          R"(SELECT result, "where", pack, lot, at_ms, seq FROM indicators WHERE load = ?1
                             ORDER BY result = 'pass', at_ms, seq)"));
  rows->bind(1, subject.id);
  TRY(links::each_row(*rows, [&](Statement& row) {
    const std::string result(row.maybe_text(0).value_or(""));
    const auto pack = row.maybe_text(2);
    const auto lot = row.maybe_text(3);
    table.row({mark(result == "pass" ? "plain" : "critical", spelled(result)),
               Markup::text(spelled(row.maybe_text(1).value_or(""))), pack ? thing("pack", *pack) : Markup(),
               lot ? thing("lot", *lot) : Markup(), time_of(subject.tables.zone(), {row.integer(4)}),
               entry_links({row.integer(5)})});
  }));
  Markup out = heading(say("desk.strips-title"));
  return out.add(table.empty() ? paragraph(say("desk.no-strip")) : table.markup());
}

Result<Markup> biologicals_part(const Subject& subject) {
  Table table = Table::of({"desk.column-result", "desk.column-control", "desk.column-hours", "desk.column-lot",
                           "desk.column-at", "desk.column-entries"});
  TRY_LET(auto* rows,
          subject.tables.statements().at(
              "SELECT result, control, hours, lot, at_ms, seq FROM biologicals WHERE load = ?1 ORDER BY at_ms"));
  rows->bind(1, subject.id);
  TRY(links::each_row(*rows, [&](Statement& row) {
    const std::string result(row.maybe_text(0).value_or(""));
    const auto hours = row.maybe_real(2);
    const auto lot = row.maybe_text(3);
    table.row({mark(result == "positive" ? "critical" : "plain", spelled(result)),
               Markup::text(spelled(row.maybe_text(1).value_or(""))), Markup::text(hours ? number_here(*hours, 1) : ""),
               lot ? thing("lot", *lot) : Markup(), time_of(subject.tables.zone(), {row.integer(4)}),
               entry_links({row.integer(5)})});
  }));
  Markup out = heading(say("desk.biologicals-title"));
  return out.add(table.empty() ? paragraph(say("desk.no-biological")) : table.markup());
}

}  // namespace

Result<Markup> load_parts(const Subject& subject) {
  TRY_LET(auto out, curves_part(subject));
  TRY_LET(const auto strips, strips_part(subject));
  TRY_LET(const auto biologicals, biologicals_part(subject));
  return out.add(strips).add(biologicals);
}

}  // namespace trayproof::desk
