#include "tests/report/workbook/invented.h"

#include "ledger/base/bytes.h"

namespace trayproof::workbook {
namespace {

Instant at(const char* text) {
  const auto time = parse_date_time(text);
  CHECK(time.has_value());
  return time->instant;
}

CaseRow delivery() {
  CaseRow row;
  row.procedure = "D-2025-0117";
  row.at = at("2025-03-04T14:05:00+05:30");
  row.sort = "delivery";
  row.place = "labour room 1";
  row.patient = "9f1c66a0b5d24e4f8a3bb0c1d2e3f405";
  row.newborns = {"0b7d1c22aa904f35b6cc7f1e0d9a8b76"};
  CasePack first;
  first.pack = "P-0412";
  first.set = "DEL-03";
  first.load = "L-0088";
  first.verdict = "reached";
  first.hold = "31.5 min (curve)";
  first.indicator = "inside pass, outside pass";
  first.biological = "negative, read 2025-03-05";
  first.release = "released 2025-03-04 11:40 by p-2";
  first.solution = "S-0301";
  first.load_ids = {"L-0088"};
  first.solution_ids = {"S-0301"};
  CasePack second = first;
  second.pack = "P-0413";
  second.set = "EPI-01";
  second.load = "L-0089";
  second.load_ids = {"L-0089"};
  second.verdict = "not-reached";
  second.hold = "17.0 min (curve)";
  second.indicator = "outside pass";
  second.biological = "";
  row.packs = {first, second};
  row.gaps = {"used-from-failed-load P-0413", "indicator-unread P-0413"};
  return row;
}

CaseRow bare_procedure() {
  CaseRow row;
  row.procedure = "0042";
  row.sort = "=SUM(A1:A9)";
  row.place = "+labour room";
  row.newborns_without_number = 2;
  return row;
}

std::vector<LoadRow> loads() {
  LoadRow good;
  good.load = "L-0088";
  good.method = "steam-gravity";
  good.equipment = "AC-1";
  good.cycle = "1207";
  good.started = at("2025-03-04T09:10:00+05:30");
  good.ended = at("2025-03-04T10:25:00+05:30");
  good.complete = "yes";
  good.packs = 6;
  good.temperature_c = 121.4;
  good.pressure_kpa_gauge = 106;
  good.hold_min = 31;
  good.verdict = "reached";
  good.curve_hold_min = 31.5;
  good.f0_low = 29.41;
  good.indicators = "6 pass";
  good.biological = "negative, read 2025-03-05";
  good.decision = "released";
  good.decided = at("2025-03-04T11:40:00+05:30");
  good.decided_by = "p-2";
  LoadRow bad = good;
  bad.load = "L-0089";
  bad.cycle = "";
  bad.verdict = "not-reached";
  bad.curve_hold_min = 17;
  bad.f0_low = 12.2;
  bad.biological = "";
  bad.decision = "";
  bad.decided.reset();
  bad.decided_by = "";
  bad.gaps = {"hold-too-short", "load-undecided"};
  return {good, bad};
}

GapRow failed_load_gap() {
  GapRow row;
  row.rule = "used-from-failed-load";
  row.severity = "critical";
  row.subject_kind = "pack";
  row.subject = "P-0413";
  row.at = at("2025-03-04T14:05:00+05:30");
  row.found = "hold 17.0 min at 121 °C";
  row.limit = "hold of 30 min or more (wrapped)";
  row.says = "The pack was used, and the load that its use rests on did not reach its programme.";
  row.closes = "A recall for the load that answers for this pack, or a correction with its evidence.";
  row.seqs = {118, 131, 140};
  row.first_seen = 140;
  row.days_open = 27;
  row.state = "open";
  return row;
}

GapRow late_gap() {
  GapRow row = failed_load_gap();
  row.rule = "entered-late";
  row.severity = "minor";
  row.subject_kind = "event";
  row.subject = "77";
  row.found = "30 h";
  row.limit = "24 h";
  row.says = "The event was entered later than the SOP allows.";
  row.closes = "A remark that explains it.";
  row.seqs = {77};
  row.state = "explained";
  return row;
}

SolutionRow chlorine() {
  SolutionRow row;
  row.solution = "S-0301";
  row.agent = "sodium-hypochlorite";
  row.use = "decontamination";
  row.prepared = at("2025-03-04T07:30:00+05:30");
  row.by = "p-5";
  row.percent = 0.5;
  row.recipe = "stock 5 %: 1,000 ml, water 9,000 ml";
  row.worked_out_percent = 0.5;
  row.lot = "CL-7";
  row.tests = "strip pass, 2025-03-04 07:40";
  row.uses = 4;
  row.first_use = at("2025-03-04T08:00:00+05:30");
  row.last_use = at("2025-03-04T19:10:00+05:30");
  row.end_of_life = at("2025-03-05T07:30:00+05:30");
  return row;
}

RecallRow recall(const char* id, bool drill) {
  RecallRow row;
  row.recall = id;
  row.drill = drill;
  row.because = "load-failed";
  row.subject = "load L-0089";
  row.opened = at("2025-03-05T10:00:00+05:30");
  row.as_of = row.opened;
  row.known_at = 151;
  row.loads = 1;
  row.packs = 6;
  row.to_fetch = drill ? 0 : 3;
  row.procedures = 2;
  row.patients = 1;
  row.patients_unknown = 1;
  row.answer_sha256 = "5f70bf18a086007016e948b04aed3b82103a36bea41755b6cddfaf10ace3c6ef";
  if (drill) {
    row.closed = at("2025-03-05T12:30:00+05:30");
    row.conclusion = "All packs found within two hours.";
  }
  return row;
}

Proof proof() {
  Proof proof;
  proof.origin = "trayproof/0123456789abcdef0123456789abcdef";
  proof.size = 162;
  proof.root = "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328";
  proof.head = "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c";
  proof.checkpoint =
      "trayproof/0123456789abcdef0123456789abcdef\n162\nXcnaeacGWamtVZy3Ad7Zoqudgjqtj0lgz+Nw7/RgQyg=\n\n"
      "— trayproof/0123456789abcdef0123456789abcdef bm90IGEgc2lnbmF0dXJl\n";
  proof.ledger_key = "trayproof/0123456789abcdef0123456789abcdef+00000000+bm90IGEga2V5";
  proof.keys = {{"aa11", "station-1", "station", ""}, {"bb22", "p-2", "person", "retired 2025-02-01"}};
  return proof;
}

IndicatorRow strip(const char* pack, const char* load, const char* result) {
  IndicatorRow row;
  row.seq = 121;
  row.at = at("2025-03-04T10:40:00+05:30");
  row.pack = pack;
  row.load = load;
  row.load_ids = {load};
  row.where = "inside";
  row.type = "5";
  row.lot = "CI-9";
  row.result = result;
  row.by = "p-2";
  return row;
}

PersonRow attendant() {
  PersonRow row;
  row.person = "p-5";
  row.roles = "attendant";
  row.skill = "steam-gravity";
  row.times = 12;
  row.days = 9;
  row.first = at("2025-03-01T08:00:00+05:30");
  row.last = at("2025-03-30T08:00:00+05:30");
  row.days_without = 2;
  row.without_on = {"2025-03-01", "2025-03-02"};
  row.in_date = "2025-03-03 to 2026-03-02";
  return row;
}

EquipmentRow autoclave() {
  EquipmentRow row;
  row.equipment = "AC-1";
  row.sort = "steam-sterilizer";
  row.serial = "SN-1";
  row.check = "calibration";
  row.passed = at("2024-03-10T10:00:00+05:30");
  row.until = at("2025-03-10T10:00:00+05:30");
  row.result = "pass";
  row.as_found = "0.4 K";
  row.runs = 40;
  row.runs_past = 27;
  return row;
}

// A picture of one black pixel: the smallest PNG that there is, as bytes of RFC 2083.
Bytes one_pixel() {
  static constexpr std::string_view all =
      "89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b550000000a49444154789c63600000000200014873a46f"
      "0000000049454e44ae426082";
  Bytes out(all.size() / 2);
  CHECK(from_hex(all, out));
  return out;
}

void put_charts(Facts& facts) {
  facts.machine_days = {{"AC-1", at("2025-03-04T00:00:00+05:30"), 3, 1, 0, 0, 0, 0.0, 7.0},
                        {"AC-1", at("2025-03-12T00:00:00+05:30"), 2, 0, 1, 1, 1, 8.5, 7.0, MachineDay::Late::yes}};
  facts.holds = {{"AC-1", "L-0088", at("2025-03-04T09:10:00+05:30"), 31.5, 30.0, 121.2, 121.0, 124.0},
                 {"AC-1", "L-0089", at("2025-03-04T12:10:00+05:30"), 17.0, 30.0, 120.1, 121.0, 124.0}};
  facts.weeks = {{at("2025-03-03T00:00:00+05:30"), 1, 0, 1}, {at("2025-03-10T00:00:00+05:30"), 0, 0, 0}};
  facts.exposure = {{"AC-1", "L-0088", at("2025-03-04T09:10:00+05:30"), 2, 12, 5, 4}};
  facts.pictures = {{"L-0088", "reached", "A curve in words.", one_pixel(), 1}};
}

}  // namespace

Facts invented_facts() {
  Facts facts;
  facts.facility = "Invented Hospital & Maternity Home";
  auto zone = Zone::find("Asia/Kolkata");
  CHECK(zone.ok());
  facts.zone = zone.value();
  facts.from = at("2025-03-01T00:00:00+05:30");
  facts.until = at("2025-03-31T23:59:59+05:30");
  facts.data_as_of = at("2025-04-02T09:00:00+05:30");
  facts.program = "trayproof 0.1.0";
  facts.editions = {{4, "Labour room, soak first", "1", std::nullopt, false}};
  facts.measures = {
      {"Procedures with a pack", 118, 120, 0, "A procedure with a disposable kit counts as having one."},
      {"Packs used from a load that reached its limits", 230, 241, 9, "By the curve, or the operator's reading."},
      {"Soaks shorter than the SOP's least time", 3, 96, 12, "decontamination.soak_minutes_min = 10 min"},
      {"Air-removal tests missing", 0, 0, 0, "No prevacuum load in the period."}};
  facts.cases = {delivery(), bare_procedure()};
  facts.loads = loads();
  facts.gaps = {failed_load_gap(), late_gap()};
  facts.solutions = {chlorine()};
  facts.recalls = {recall("R-2", false), recall("R-1", true)};
  facts.indicators = {strip("P-0412", "L-0088", "pass"), strip("P-0413", "L-0089", "fail")};
  facts.people = {attendant()};
  facts.equipment = {autoclave()};
  put_charts(facts);
  facts.proof = proof();
  facts.limits = {
      {"Labour room, soak first · 1", "decontamination.soak_minutes_min", "10", "min", "soak-too-short"},
      {"Labour room, soak first · 1", "shelf.days.wrapped", "7", "d", "used-after-use-by, expired-on-shelf"}};
  facts.not_checked = {{"biological-void, hours of incubation", "The SOP states none (indicators.biological_hours)."},
                       {"Curves of 3 loads", "No logger export was imported for L-0090, L-0091 and L-0092."}};
  return facts;
}

}  // namespace trayproof::workbook
