#include "importer/judge_again.h"

#include <algorithm>

#include "importer/attached_source.h"
#include "importer/judging/placement.h"
#include "importer/judging/verdict.h"
#include "importer/physics/atmosphere.h"
#include "ledger/kept_curves.h"
#include "ledger/words/words.h"

namespace trayproof::importer {
namespace {

using json::Value;

constexpr std::string_view columns =
    "SELECT c.curve, c.equipment, c.logger, m.file, m.part, c.from_ms, c.until_ms, c.load, c.judged_seq, c.verdict "
    "FROM curves c JOIN curve_measured m ON m.origin = c.curve ";

StandingCurve curve_at(const store::Statement& row) {
  StandingCurve curve{.seq = row.integer(0),
                      .equipment = std::string(row.text(1)),
                      .logger = row.maybe_text(2),
                      .file = {},
                      .part = row.integer(4),
                      .from = {row.integer(5)},
                      .until = {row.integer(6)},
                      .load = row.maybe_text(7),
                      .judged = row.maybe_integer(8),
                      .verdict = row.maybe_text(9)};
  from_hex(row.text(3), curve.file);
  return curve;
}

Result<std::vector<StandingCurve>> all_of(store::Statement rows) {
  std::vector<StandingCurve> out;
  while (true) {
    TRY_LET(const bool row, rows.step());
    if (!row) return out;
    out.push_back(curve_at(rows));
  }
}

// The entry of a curve-measured or curve-judged.
Result<Value> entry_of(const Ledger& ledger, std::int64_t seq) {
  TRY_LET(const auto entry, ledger.entry(seq));
  return json::parse(entry.bytes);
}

// Everything that a judgement says, apart from when and by whom.
bool says_the_same(const Value& standing, const Value& fresh) {
  for (const json::Member& member : fresh.members()) {
    if (member.name == "at" || member.name == "by") continue;
    const Value* found = standing.find(member.name);
    if (found == nullptr || json::canonical(*found) != json::canonical(member.value)) return false;
  }
  return (standing.find("error_k") == nullptr) == (fresh.find("error_k") == nullptr);
}

// What a judgement found by comparing with other curves holds for the next one too, unless the twin is of the same
// load.
void carry_over(const Value& standing, const KnownLoad* load, Cycle& cycle) {
  const Value* findings = standing.find("findings");
  if (findings == nullptr || !findings->is_list()) return;
  for (const Value& one : findings->items()) {
    const Value* found = one.find("found");
    if (one.text_at("what") != "curve-repeated" || found == nullptr) continue;
    if (load == nullptr || found->text_at("load") != load->load)
      cycle.findings.push_back({"curve-repeated", {}, *found});
  }
}

AppendOptions by_program() {
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  return options;
}

Result<Kept> append_all(Ledger& ledger, std::vector<GivenEvent> events) {
  const auto curves = static_cast<std::int64_t>(events.size());
  if (events.empty()) return Kept{};
  TRY_LET(const auto done, ledger.append(std::move(events), by_program()));
  return Kept{.first = done.first, .last = done.last, .curves = curves, .refusals = done.refusals};
}

}  // namespace

Result<StandingCurve> standing_curve(links::Links& tables, std::int64_t seq) {
  TRY_LET(auto rows, tables.database().prepare(std::string(columns) + "WHERE c.curve = ?"));
  rows.bind(1, seq);
  TRY_LET(const bool row, rows.step());
  if (!row) return Error(ErrorCode::missing, say("importer.not-a-curve", {{"seq", std::to_string(seq)}}));
  return curve_at(rows);
}

Result<std::vector<StandingCurve>> curves_of_logger(links::Links& tables, const std::string& logger,
                                                    const Period& period) {
  TRY_LET(auto rows,
          tables.database().prepare(std::string(columns) + "WHERE c.logger = ?1 AND m.part > 0 AND c.from_ms >= ?2 AND "
                                                           "c.from_ms <= ?3 ORDER BY c.from_ms, c.curve"));
  rows.bind(1, logger).bind(2, period.from ? period.from->ms : INT64_MIN);
  rows.bind(3, period.until ? period.until->ms : INT64_MAX);
  return all_of(std::move(rows));
}

Result<std::vector<StandingCurve>> all_curves(links::Links& tables) {
  TRY_LET(auto rows, tables.database().prepare(std::string(columns) + "WHERE m.part > 0 ORDER BY c.curve"));
  return all_of(std::move(rows));
}

Result<std::vector<StandingCurve>> waiting_curves(links::Links& tables) {
  TRY_LET(auto rows, tables.database().prepare(std::string(columns) +
                                               "WHERE c.load IS NULL AND m.part > 0 ORDER BY c.from_ms, c.curve"));
  return all_of(std::move(rows));
}

Result<const Surroundings*> Rejudge::around(const StandingCurve& curve) {
  const auto key = std::pair(curve.equipment, curve.logger.value_or(""));
  auto found = around_.find(key);
  if (found == around_.end()) {
    TRY_LET(auto around, surroundings(ledger_, tables_, editions_,
                                      {.equipment = curve.equipment, .logger = curve.logger, .load = {}}));
    found = around_.emplace(key, std::move(around)).first;
  }
  return &found->second;
}

Result<const KnownLoad*> Rejudge::load_of(const StandingCurve& curve, const std::string& load) {
  TRY_LET(const Surroundings* around, this->around(curve));
  const auto found =
      std::find_if(around->loads.begin(), around->loads.end(), [&](const KnownLoad& one) { return one.load == load; });
  if (found != around->loads.end()) return &*found;
  const auto [other, is_new] = elsewhere_.try_emplace(load);
  if (is_new) {
    TRY_LET(other->second, known_load(tables_, load));
  }
  return other->second ? &*other->second : nullptr;
}

Result<std::optional<judging::Measured>> Rejudge::measured(const StandingCurve& curve, double error_k) {
  TRY_LET(const Surroundings* around, this->around(curve));
  const auto room = around->altitude_m ? physics::standard_pressure(*around->altitude_m) : std::nullopt;
  const judging::Around with{.ambient_kpa = room ? std::optional(room->value) : std::nullopt, .error_k = error_k};
  TRY_LET(const auto kept, kept_curve(ledger_, curve.file, curve.part));
  if (kept) {
    if (auto read = judging::decode(*kept, with)) return read;
  }
  return from_export(curve, with);
}

Result<CodedCurves> parts_of_export(const Ledger& ledger, links::Links& tables, const StandingCurve& curve) {
  CodedCurves parts(ledger.path());
  TRY_LET(const bool there, ledger.has_attachment(curve.file));
  if (!there) return parts;
  TRY_LET(const auto entry, entry_of(ledger, curve.seq));
  const Value* reading = entry.find("reading");
  if (reading == nullptr) return parts;
  TRY_LET(auto bytes, AttachedSource::open(ledger, curve.file));
  Surroundings bare;
  bare.zone = tables.zone();
  TRY_LET(const Import import, read_and_judge(bytes, choices_of(*reading), bare, {}, parts));
  return parts;
}

Result<std::optional<judging::Measured>> Rejudge::from_export(const StandingCurve& curve, const judging::Around& with) {
  if (export_ != curve.file) {
    TRY_LET(parts_, parts_of_export(ledger_, tables_, curve));
    export_ = curve.file;
    ++exports_read_;
    if (keeps_in_ != nullptr && keeps_in_->may_write().ok()) TRY(keep_parts());
  }
  if (curve.part < 1 || static_cast<std::size_t>(curve.part) > parts_.size()) return std::optional<judging::Measured>();
  TRY_LET(const auto coded, parts_.at(static_cast<std::size_t>(curve.part - 1)));
  return judging::decode(coded.bytes, with);
}

Result<void> Rejudge::keep_parts() {
  return keeps_in_->in_one_step([&]() -> Result<void> {
    for (std::size_t i = 0; i < parts_.size(); ++i) {
      TRY_LET(auto one, parts_.at(i));
      TRY(keep_curve(*keeps_in_, export_, static_cast<std::int64_t>(i + 1), std::move(one.bytes),
                     std::move(one.sketch)));
    }
    return {};
  });
}

Result<std::optional<Cycle>> Rejudge::judge(const StandingCurve& curve, const KnownLoad* load,
                                            std::optional<double> error_k) {
  TRY_LET(const auto found, measured(curve, error_k.value_or(0)));
  if (!found) return std::optional<Cycle>();
  // An engine that cuts cycles otherwise may find another one there.
  const auto& at = found->series.samples.front().at;
  if (!at || at->ms / second_ms != curve.from.ms / second_ms) return std::optional<Cycle>();
  TRY_LET(const Surroundings* around, this->around(curve));
  return std::optional(judging::judge(found->series, found->stretch, load, *around));
}

Result<std::optional<Value>> Rejudge::judgement(const StandingCurve& curve) {
  const KnownLoad* load = nullptr;
  if (curve.load) {
    TRY_LET(load, load_of(curve, *curve.load));
  }
  Value before = Value::object();
  if (curve.judged) {
    TRY_LET(before, entry_of(ledger_, *curve.judged));
  }
  const std::optional<double> error_k = before.number_at("error_k");
  TRY_LET(auto cycle, judge(curve, load, error_k));
  if (!cycle) return std::optional<Value>();
  carry_over(before, load, *cycle);
  const DateTime now = tables_.zone().local(ledger_.clock().now());
  return std::optional(judged_event(*cycle, curve.seq, now, "", error_k));
}

Result<PlacedByHand> place_by_hand(Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                                   std::int64_t curve, const std::string& load,
                                   const std::optional<std::string>& equipment) {
  TRY_LET(const auto standing, standing_curve(tables, curve));
  Rejudge rejudge(ledger, tables, editions, Rejudge::Keep::no);
  TRY_LET(const KnownLoad* known, rejudge.load_of(standing, load));
  const std::string& measured_on = equipment.value_or(standing.equipment);
  if (known == nullptr || known->equipment != measured_on) {
    std::string why = say("importer.no-such-load", {{"load", load}, {"equipment", measured_on}});
    if (known != nullptr && !known->equipment.empty() && !equipment)
      why += ". " + say("importer.load-elsewhere", {{"load", load}, {"equipment", known->equipment}});
    return Error(ErrorCode::missing, why);
  }
  Value before = Value::object();
  if (standing.judged) {
    TRY_LET(before, entry_of(ledger, *standing.judged));
  }
  const std::optional<double> error_k = before.number_at("error_k");
  PlacedByHand placed;
  TRY_LET(placed.cycle, rejudge.judge(standing, known, error_k));
  if (placed.cycle) carry_over(before, known, *placed.cycle);
  const DateTime now = tables.zone().local(ledger.clock().now());
  std::vector<GivenEvent> events;
  events.push_back({0, Value::object()
                           .set("kind", "curve-placed")
                           .set("at", format_date_time(now))
                           .set("by", ledger.actor())
                           .set("curve", curve)
                           .set("load", load)});
  if (placed.cycle && placed.cycle->sop_seq != 0) {
    events.push_back({0, judged_event(*placed.cycle, curve, now, ledger.station(), error_k)});
  }
  TRY_LET(placed.kept, append_all(ledger, std::move(events)));
  placed.kept.curves = 1;
  return placed;
}

namespace {

Result<bool> reached_before(links::Links& tables, std::int64_t curve) {
  TRY_LET(auto rows,
          tables.database().prepare("SELECT 1 FROM curve_judged WHERE curve = ? AND verdict = 'reached' LIMIT 1"));
  rows.bind(1, curve);
  return rows.step();
}

}  // namespace

Result<Rejudgement> judge_again(Ledger& ledger, links::Links& tables, const sop::Editions& editions,
                                const std::string& logger, const Period& period, double error_k, bool write) {
  TRY_LET(auto standing, curves_of_logger(tables, logger, period));
  Rejudge rejudge(ledger, tables, editions, write ? Rejudge::Keep::yes : Rejudge::Keep::no);
  const DateTime now = tables.zone().local(ledger.clock().now());
  const std::optional<double> error = error_k == 0 ? std::nullopt : std::optional(error_k);
  Rejudgement out;
  std::vector<GivenEvent> events;
  for (StandingCurve& curve : standing) {
    const KnownLoad* load = nullptr;
    if (curve.load) {
      TRY_LET(load, rejudge.load_of(curve, *curve.load));
    }
    JudgedAgain one{.curve = std::move(curve), .cycle = {}, .reached_before = false, .fresh = false};
    TRY_LET(one.reached_before, reached_before(tables, one.curve.seq));
    TRY_LET(one.cycle, rejudge.judge(one.curve, load, error));
    if (one.cycle && one.cycle->sop_seq != 0) {
      Value before = Value::object();
      if (one.curve.judged) {
        TRY_LET(before, entry_of(ledger, *one.curve.judged));
      }
      carry_over(before, load, *one.cycle);
      Value event = judged_event(*one.cycle, one.curve.seq, now, ledger.station(), error);
      one.fresh = !says_the_same(before, event);
      if (one.fresh && write) events.push_back({0, std::move(event)});
    }
    out.curves.push_back(std::move(one));
  }
  out.exports_read = rejudge.exports_read();
  TRY_LET(out.kept, append_all(ledger, std::move(events)));
  return out;
}

}  // namespace trayproof::importer
