#include "ledger/events/kinds.h"

#include <algorithm>
#include <array>
#include <unordered_map>
#include <vector>

namespace trayproof::events {
namespace {

using Choices = std::string_view;
using enum Type;
using enum Needed;

constexpr Choices precisions[] = {"second", "minute", "hour", "day"};
constexpr Choices key_sorts[] = {"person", "station", "ledger"};
constexpr Choices key_ends[] = {"rotated", "left", "pin-forgotten", "lost", "stolen"};
constexpr Choices roles[] = {"attendant",         "processor", "nurse",    "clerk",    "laboratory",
                             "infection-control", "quality",   "engineer", "assessor", "steward"};
constexpr Choices methods[] = {"steam-gravity",          "steam-prevacuum",       "dry-heat", "thermal-disinfection",
                               "chemical-sterilization", "chemical-disinfection", "boiling",  "steaming"};
constexpr Choices skills[] = {"steam-gravity",
                              "steam-prevacuum",
                              "dry-heat",
                              "thermal-disinfection",
                              "chemical-sterilization",
                              "chemical-disinfection",
                              "boiling",
                              "steaming",
                              "packing",
                              "cleaning",
                              "solutions"};
constexpr Choices equipment_sorts[] = {"steam-sterilizer", "dry-heat-sterilizer", "boiler",      "washer-disinfector",
                                       "soak-basin",       "incubator",           "data-logger", "gauge",
                                       "thermometer"};
constexpr Choices checks[] = {"calibration", "service", "qualification", "air-removal", "leak-rate"};
constexpr Choices pass_fail[] = {"pass", "fail"};
constexpr Choices contacts[] = {"critical", "semi-critical", "non-critical"};
constexpr Choices supply_sorts[] = {"chemical-indicator",
                                    "biological-indicator",
                                    "air-removal-test",
                                    "test-strip",
                                    "disinfectant",
                                    "detergent",
                                    "wrap"};
constexpr Choices counted_things[] = {"births", "operations", "strips", "packs-on-shelf", "nothing-done"};
constexpr Choices agents[] = {"sodium-hypochlorite",  "calcium-hypochlorite", "bleaching-powder", "glutaraldehyde",
                              "ortho-phthalaldehyde", "peracetic-acid",       "hydrogen-peroxide"};
constexpr Choices solution_uses[] = {"decontamination", "high-level-disinfection", "chemical-sterilization"};
constexpr Choices cleaning_methods[] = {"manual", "ultrasonic", "washer-disinfector"};
constexpr Choices inspection_findings[] = {"incomplete", "damaged", "soiled", "wet", "not-working"};
constexpr Choices wraps[] = {"wrapped", "unwrapped", "drum", "pouch", "container"};
constexpr Choices verdicts[] = {"reached", "not-reached", "cannot-tell"};
constexpr Choices indicator_places[] = {"inside", "outside", "challenge"};
constexpr Choices indicator_results[] = {"pass", "fail", "unreadable"};
constexpr Choices biological_results[] = {"negative", "positive"};
constexpr Choices controls[] = {"growth", "no-growth", "not-run"};
constexpr Choices bases[] = {"readings", "curve", "indicator", "biological"};
constexpr Choices return_states[] = {"closed", "opened"};
constexpr Choices withdrawals[] = {"wet", "torn", "expired", "recalled", "other"};
constexpr Choices triggers[] = {
    "biological-positive",     "load-failed",   "indicator-failed", "equipment-out-of-tolerance",
    "logger-out-of-tolerance", "solution-weak", "lot-withdrawn",    "air-removal-failed",
    "index-patient",           "chosen"};
constexpr Choices outcomes[] = {"found-held",   "reprocessed",         "destroyed",        "not-found",
                                "patient-told", "patient-not-reached", "no-notice-decided"};
constexpr Choices finding_states[] = {"explained", "accepted", "action"};

constexpr Field envelope_fields[] = {
    {"kind", text, yes},     {"at", date_time, yes},     {"precision", choice, no, precisions},
    {"by", id, yes},         {"entered", date_time, no}, {"slip", id, no},
    {"paper", text, no},     {"files", any, no},         {"unknown", object, no},
    {"as_read", object, no}, {"note", free_text, no},
};

// The record itself
constexpr Field ledger_opened[] = {{"format", seq, yes},     {"ledger", token, yes}, {"origin", text, yes},
                                   {"ledger_key", key, yes}, {"program", text, yes}, {"continues", origin_head, no}};
constexpr Field key_added[] = {{"public", key, yes},
                               {"owner", text, yes},
                               {"sort", choice, yes, key_sorts},
                               {"proof", signature, yes},
                               {"cosigned", signature, no}};
constexpr Field key_retired[] = {{"public", key, yes}, {"since", date_time, yes}, {"cause", choice, yes, key_ends}};
constexpr Field countersigned[] = {{"of", seq, yes}};
constexpr Field checkpoint_kept[] = {{"size", integer, yes}, {"root", sha256, yes}, {"where", text, yes}};
constexpr Field backup_made[] = {{"size", integer, yes}, {"root", sha256, yes}, {"where", text, yes}};
constexpr Field evidence_given[] = {{"subject", subject, yes}, {"size", integer, yes}, {"file", sha256, yes}};
constexpr Field ledger_restored[] = {
    {"size", integer, yes}, {"root", sha256, yes}, {"lost_after", head, no}, {"second", id, yes}};
constexpr Field clock_noted[] = {{"was", date_time, yes}, {"now", date_time, yes}};
constexpr Field numbers_read[] = {{"subject", subject, yes}, {"reason", free_text, yes}};
constexpr Field patient_erased[] = {{"pseudonym", token, yes}, {"second", id, yes}};
constexpr Field text_removed[] = {{"of", seq, yes}, {"field", text, yes}, {"second", id, yes}};
constexpr Field attachment_removed[] = {{"file", sha256, yes}, {"second", id, yes}};

// The place and its rules
constexpr Field facility_described[] = {
    {"title", text, yes}, {"zone", hours_of_zone, yes}, {"altitude_m", number, yes}, {"locality", text, no}};
constexpr Field sop_adopted[] = {{"title", text, yes}, {"toml", toml, yes}, {"in_force", date_time, yes}};
constexpr Field sop_confirmed[] = {{"sop", seq, yes}, {"second", id, no}};
constexpr Field person_enrolled[] = {{"person", id, yes}, {"name", free_text, yes}, {"roles", choice_list, yes, roles}};
constexpr Field person_left[] = {{"person", id, yes}};
constexpr Field competence_recorded[] = {{"person", id, yes}, {"skill", choice, yes, skills}, {"until", date, yes}};
constexpr Field rostered[] = {{"person", id, yes}, {"from", date_time, yes}, {"until", date_time, yes}};
constexpr Field equipment_registered[] = {
    {"equipment", id, yes}, {"sort", choice, yes, equipment_sorts}, {"serial", text, no}, {"accuracy_k", amount, no}};
constexpr Field equipment_stopped[] = {{"equipment", id, yes}, {"why", free_text, no}};
constexpr Field equipment_checked[] = {{"equipment", id, yes},
                                       {"check", choice, yes, checks},
                                       {"result", choice, yes, pass_fail},
                                       {"as_found_k", number, no},
                                       {"as_found_kpa", number, no},
                                       {"accuracy_k", amount, no},
                                       {"until", date_time, no},
                                       {"certificate", text, no},
                                       {"load", id, no},
                                       {"cycle", integer, no},
                                       {"lot", id, no}};
constexpr Field set_defined[] = {{"set", id, yes},           {"title", text, yes},
                                 {"items", items, yes},      {"contact", choice, yes, contacts},
                                 {"implant", boolean, no},   {"methods", choice_list, no, methods},
                                 {"told_apart", boolean, no}};
constexpr Field set_stopped[] = {{"set", id, yes}, {"why", free_text, no}};
constexpr Field supply_received[] = {{"lot", id, yes},
                                     {"sort", choice, yes, supply_sorts},
                                     {"type", indicator_type, no},
                                     {"read_hours", integer, no},
                                     {"count", integer, no},
                                     {"expires", date, no}};
constexpr Field counted[] = {{"what", choice, yes, counted_things},
                             {"from", date_time, yes},
                             {"until", date_time, yes},
                             {"number", integer, yes},
                             {"source", free_text, no}};

// Solutions
constexpr Field solution_prepared[] = {{"solution", id, yes},
                                       {"agent", choice, yes, agents},
                                       {"use", choice, yes, solution_uses},
                                       {"percent", percent, yes},
                                       {"stock_percent", percent, no},
                                       {"stock_ml", amount, no},
                                       {"water_ml", amount, no},
                                       {"available_percent", percent, no},
                                       {"powder_g", amount, no},
                                       {"ready_to_use", boolean, no},
                                       {"lot", id, no},
                                       {"covered", boolean, no},
                                       {"expires", date_time, no}};
constexpr Field solution_tested[] = {
    {"solution", id, yes}, {"percent", percent, no}, {"strip", choice, no, pass_fail}, {"lot", id, no}};
constexpr Field solution_discarded[] = {{"solution", id, yes}, {"why", free_text, no}};

// One turn of a set
constexpr Field set_returned[] = {{"set", id, yes}, {"procedure", id, no}, {"missing", items, no}};
constexpr Field soaked[] = {{"set", id, yes}, {"solution", id, yes}, {"until", date_time, no}};
constexpr Field soak_ended[] = {{"set", id, yes}, {"solution", id, yes}};
constexpr Field cleaned[] = {{"set", id, yes},
                             {"method", choice, yes, cleaning_methods},
                             {"detergent_lot", id, no},
                             {"equipment", id, no},
                             {"rinsed", boolean, no}};
constexpr Field inspected[] = {
    {"set", id, yes}, {"found", choice_list, yes, inspection_findings}, {"missing", items, no}};
constexpr Field packed[] = {
    {"pack", id, yes}, {"set", id, yes}, {"wrap", choice, yes, wraps}, {"indicator_lot", id, no}, {"wrap_lot", id, no}};
constexpr Field pack_received[] = {
    {"pack", id, yes}, {"from", text, yes}, {"contents", text, no}, {"lot", id, no}, {"use_by", date_or_time, no}};

// Cycles
constexpr Field load_started[] = {{"load", id, yes},
                                  {"method", choice, yes, methods},
                                  {"equipment", id, no},
                                  {"cycle", integer, no},
                                  {"solution", id, no},
                                  {"packs", id_list, yes},
                                  {"temperature_c", temperature, no},
                                  {"hold_min", amount, no}};
constexpr Field load_changed[] = {{"load", id, yes}, {"added", id_list, no}, {"removed", id_list, no}};
constexpr Field load_ended[] = {{"load", id, yes},
                                {"temperature_c", temperature, no},
                                {"pressure_kpa_gauge", number, no},
                                {"hold_min", amount, no},
                                {"dry", boolean, no},
                                {"complete", boolean, yes}};
constexpr Field curve_measured[] = {
    {"equipment", id, yes},   {"logger", id, no},        {"file", sha256, yes},       {"part", integer, yes},
    {"from", date_time, yes}, {"until", date_time, yes}, {"interval_s", amount, yes}, {"clock_offset_s", number, no},
    {"reading", object, yes}};
constexpr Field curve_placed[] = {{"curve", seq, yes}, {"load", id_or_null, yes}};
constexpr Field curve_judged[] = {{"curve", seq, yes},
                                  {"sop", seq, yes},
                                  {"program", text, yes},
                                  {"error_k", number, no},
                                  {"method", choice, yes, methods},
                                  {"verdict", choice, yes, verdicts},
                                  {"hold", any, no},
                                  {"temperature_c", any, no},
                                  {"pressure_kpa_abs", any, no},
                                  {"saturation_difference_k", any, no},
                                  {"f0", any, no},
                                  {"f0_low", any, no},
                                  {"fh", any, no},
                                  {"a0", any, no},
                                  {"findings", any, no}};
constexpr Field indicator_read[] = {{"load", id, no},
                                    {"pack", id, no},
                                    {"lot", id, no},
                                    {"type", indicator_type, no},
                                    {"where", choice, no, indicator_places},
                                    {"result", choice, yes, indicator_results}};
constexpr Field biological_placed[] = {
    {"biological", id, yes}, {"load", id, yes}, {"lot", id, no}, {"where", text, no}};
constexpr Field biological_read[] = {{"load", id, yes},
                                     {"biological", id, no},
                                     {"lot", id, no},
                                     {"placed", date_time, no},
                                     {"hours", amount, no},
                                     {"result", choice, yes, biological_results},
                                     {"control", choice, yes, controls}};
constexpr Field load_released[] = {
    {"load", id, yes}, {"basis", choice_list, no, bases}, {"early", free_text, no}, {"second", id, no}};
constexpr Field load_rejected[] = {{"load", id, yes}, {"why", free_text, yes}};

// Shelf and use
constexpr Field pack_stored[] = {{"pack", id, yes}, {"place", text, yes}, {"use_by", date_or_time, no}};
constexpr Field pack_issued[] = {{"pack", id, yes}, {"place", text, yes}};
constexpr Field pack_opened[] = {{"pack", id, yes}, {"place", text, no}};
constexpr Field pack_returned[] = {{"pack", id, yes}, {"state", choice, yes, return_states}};
constexpr Field pack_withdrawn[] = {{"pack", id, yes}, {"why_withdrawn", choice, yes, withdrawals}};
constexpr Field procedure_done[] = {{"procedure", id, yes},
                                    {"patient", patient, no},
                                    {"newborns", patient_list, no},
                                    {"newborns_without_number", integer, no},
                                    {"sort", text, yes},
                                    {"place", text, yes},
                                    {"packs", id_list, yes},
                                    {"until", date_time, no},
                                    {"disposable", boolean, no},
                                    {"disposable_lot", id, no},
                                    {"implant", boolean, no}};

// Recall, findings, correction
constexpr Field recall_opened[] = {{"recall", id, yes},      {"because", choice, yes, triggers},
                                   {"subject", object, yes}, {"as_of", date_time, yes},
                                   {"known_at", seq, yes},   {"counts", object, yes},
                                   {"answer", sha256, yes},  {"drill", boolean, no}};
constexpr Field recall_answered[] = {{"recall", id, yes},
                                     {"procedure", id, no},
                                     {"pack", id, no},
                                     {"outcome", choice, yes, outcomes},
                                     {"outcome_text", free_text, no}};
constexpr Field recall_closed[] = {{"recall", id, yes}, {"conclusion", free_text, yes}, {"second", id, yes}};
constexpr Field finding_answered[] = {{"rule", id, yes},
                                      {"subject", subject, yes},
                                      {"arose", date_time, yes},
                                      {"state", choice, yes, finding_states},
                                      {"text", free_text, yes},
                                      {"due", date_or_time, no},
                                      {"effect_checked", flag_or_date, no},
                                      {"second", id, no}};
constexpr Field corrected[] = {
    {"of", seq, yes}, {"replacement", replacement, yes}, {"why", free_text, yes}, {"second", id, no}};
constexpr Field remarked[] = {{"subject", subject, yes}, {"text", free_text, yes}};

constexpr Kind table[] = {
    {"ledger-opened", Group::record_itself, ledger_opened},
    {"key-added", Group::record_itself, key_added},
    {"key-retired", Group::record_itself, key_retired},
    {"countersigned", Group::record_itself, countersigned},
    {"checkpoint-kept", Group::record_itself, checkpoint_kept},
    {"backup-made", Group::record_itself, backup_made},
    {"evidence-given", Group::record_itself, evidence_given},
    {"ledger-restored", Group::record_itself, ledger_restored},
    {"clock-noted", Group::record_itself, clock_noted},
    {"numbers-read", Group::record_itself, numbers_read},
    {"patient-erased", Group::record_itself, patient_erased},
    {"text-removed", Group::record_itself, text_removed},
    {"attachment-removed", Group::record_itself, attachment_removed},
    {"facility-described", Group::place_and_rules, facility_described},
    {"sop-adopted", Group::place_and_rules, sop_adopted},
    {"sop-confirmed", Group::place_and_rules, sop_confirmed},
    {"person-enrolled", Group::place_and_rules, person_enrolled},
    {"person-left", Group::place_and_rules, person_left},
    {"competence-recorded", Group::place_and_rules, competence_recorded},
    {"rostered", Group::place_and_rules, rostered},
    {"equipment-registered", Group::place_and_rules, equipment_registered},
    {"equipment-stopped", Group::place_and_rules, equipment_stopped},
    {"equipment-resumed", Group::place_and_rules, equipment_stopped},
    {"equipment-checked", Group::place_and_rules, equipment_checked},
    {"set-defined", Group::place_and_rules, set_defined},
    {"set-stopped", Group::place_and_rules, set_stopped},
    {"set-resumed", Group::place_and_rules, set_stopped},
    {"supply-received", Group::place_and_rules, supply_received},
    {"counted", Group::place_and_rules, counted},
    {"solution-prepared", Group::solutions, solution_prepared},
    {"solution-tested", Group::solutions, solution_tested},
    {"solution-discarded", Group::solutions, solution_discarded},
    {"set-returned", Group::turn, set_returned},
    {"soaked", Group::turn, soaked},
    {"soak-ended", Group::turn, soak_ended},
    {"cleaned", Group::turn, cleaned},
    {"inspected", Group::turn, inspected},
    {"packed", Group::turn, packed},
    {"pack-received", Group::turn, pack_received},
    {"load-started", Group::cycles, load_started},
    {"load-changed", Group::cycles, load_changed},
    {"load-ended", Group::cycles, load_ended},
    {"curve-measured", Group::cycles, curve_measured},
    {"curve-placed", Group::cycles, curve_placed},
    {"curve-judged", Group::cycles, curve_judged},
    {"indicator-read", Group::cycles, indicator_read},
    {"biological-placed", Group::cycles, biological_placed},
    {"biological-read", Group::cycles, biological_read},
    {"load-released", Group::cycles, load_released},
    {"load-rejected", Group::cycles, load_rejected},
    {"pack-stored", Group::shelf_and_use, pack_stored},
    {"pack-issued", Group::shelf_and_use, pack_issued},
    {"pack-opened", Group::shelf_and_use, pack_opened},
    {"pack-returned", Group::shelf_and_use, pack_returned},
    {"pack-withdrawn", Group::shelf_and_use, pack_withdrawn},
    {"procedure-done", Group::shelf_and_use, procedure_done},
    {"recall-opened", Group::recall_and_correction, recall_opened},
    {"recall-answered", Group::recall_and_correction, recall_answered},
    {"recall-closed", Group::recall_and_correction, recall_closed},
    {"finding-answered", Group::recall_and_correction, finding_answered},
    {"corrected", Group::recall_and_correction, corrected},
    {"remarked", Group::recall_and_correction, remarked},
};

template <std::size_t size>
bool one_of(std::string_view name, const std::string_view (&names)[size]) {
  return std::find(std::begin(names), std::end(names), name) != std::end(names);
}

}  // namespace

std::span<const Kind> kinds() { return table; }

const Kind* find_kind(std::string_view name) {
  static const auto index = [] {
    std::unordered_map<std::string_view, const Kind*> map;
    for (const Kind& kind : table) map.emplace(kind.name, &kind);
    return map;
  }();
  const auto found = index.find(name);
  return found == index.end() ? nullptr : found->second;
}

const Field* Kind::field(std::string_view wanted) const {
  for (const Field& one : fields) {
    if (one.name == wanted) return &one;
  }
  return nullptr;
}

Kind::Found Kind::find(std::string_view wanted) const {
  using Names = std::unordered_map<std::string_view, Found>;
  static const auto all = [] {
    std::vector<Names> names(std::size(table));
    for (std::size_t i = 0; i < names.size(); ++i) {
      for (const Field& one : table[i].fields) names[i].emplace(one.name, Found{&one, false});
      for (const Field& one : envelope_fields) names[i].insert_or_assign(one.name, Found{&one, true});
    }
    return names;
  }();
  const Names& names = all.at(static_cast<std::size_t>(this - std::data(table)));
  const auto there = names.find(wanted);
  return there == names.end() ? Found{} : there->second;
}

bool Kind::recordable() const {
  return group != Group::record_itself && !name.starts_with("curve-") && name != "recall-opened";
}

bool Kind::takes_unknown() const {
  return group != Group::record_itself && name != "sop-adopted" && name != "corrected" && !name.starts_with("curve-") &&
         !name.starts_with("recall-");
}

bool Kind::correctable() const {
  static constexpr std::string_view fixed[] = {"sop-adopted", "curve-measured", "curve-judged", "recall-opened",
                                               "corrected"};
  return group != Group::record_itself && !one_of(name, fixed);
}

std::span<const Field> envelope() { return envelope_fields; }

bool is_added_by_ledger(std::string_view name) {
  static constexpr std::string_view names[] = {"v", "seq", "recorded", "prev", "station", "key", "signs"};
  return one_of(name, names);
}

bool is_landmark(std::string_view kind) {
  return kind == "sop-adopted" || kind == "facility-described" || kind == "clock-noted" || kind == "key-added" ||
         kind == "key-retired" || kind == "countersigned" || kind == "person-enrolled" || kind == "person-left" ||
         kind == "patient-erased" || kind == "text-removed" || kind == "attachment-removed" || kind == "backup-made" ||
         kind == "ledger-restored";
}

bool is_free_text(std::string_view name) {
  static constexpr std::string_view names[] = {"note",  "text",   "why",          "reason",
                                               "early", "source", "outcome_text", "conclusion"};
  return one_of(name, names);
}

std::string_view thing_of(std::string_view field) {
  static constexpr std::pair<std::string_view, std::string_view> pairs[] = {
      {"by", "person"},
      {"second", "person"},
      {"person", "person"},
      {"equipment", "equipment"},
      {"logger", "equipment"},
      {"set", "set"},
      {"lot", "lot"},
      {"indicator_lot", "lot"},
      {"wrap_lot", "lot"},
      {"detergent_lot", "lot"},
      {"disposable_lot", "lot"},
      {"solution", "solution"},
      {"procedure", "procedure"},
      {"pack", "pack"},
      {"packs", "pack"},
      {"added", "pack"},
      {"removed", "pack"},
      {"load", "load"},
      {"loads", "load"},
      {"biological", "biological"},
      {"recall", "recall"},
  };
  for (const auto& [name, thing] : pairs) {
    if (name == field) return thing;
  }
  return {};
}

bool is_steam(std::string_view method) { return method == "steam-gravity" || method == "steam-prevacuum"; }

bool is_heat(std::string_view method) {
  return is_steam(method) || method == "dry-heat" || method == "thermal-disinfection" || method == "boiling" ||
         method == "steaming";
}

bool is_chemical(std::string_view method) { return method.starts_with("chemical-"); }

bool only_disinfects(std::string_view method) {
  return method == "thermal-disinfection" || method == "chemical-disinfection" || method == "boiling" ||
         method == "steaming";
}

}  // namespace trayproof::events
