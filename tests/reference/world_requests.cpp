#include "tests/reference/world_requests.h"

#include <algorithm>

namespace trayproof::reference {
namespace {

std::string some(Dice& dice, const std::vector<std::string>& ids) {
  // Now and then something that the ledger does not hold.
  if (ids.empty() || dice.chance(2)) return "never-heard-of";
  // The middle ones have something before and after them.
  const auto last = static_cast<std::int64_t>(ids.size()) - 1;
  return dice.chance(50) ? dice.pick(ids) : ids[static_cast<std::size_t>(dice.between(last / 3, last - last / 3))];
}

std::vector<std::string> several(Dice& dice, const std::vector<std::string>& ids) {
  std::vector<std::string> chosen;
  const std::int64_t wanted = dice.between(1, 3);
  for (std::int64_t i = 0; i < wanted; ++i) {
    const std::string id = some(dice, ids);
    if (std::find(chosen.begin(), chosen.end(), id) == chosen.end()) chosen.push_back(id);
  }
  return chosen;
}

// The time of an event, or one near it: where rules about `before` and `not later` decide.
Instant some_time(Dice& dice, const Ward& ward) {
  if (!ward.checked.empty() && dice.chance(30)) return dice.pick(ward.checked);
  const Instant at = parse_date_time(*dice.pick(ward.events).text_at("at"))->instant;
  return dice.chance(60) ? at : Instant{at.ms + dice.between(-300, 300) * minute_ms};
}

// The pack of a load that holds some, where there is one: chosen from the lines, since nothing is derived here.
void name_load_and_pack(Dice& dice, const Ward& ward, RecallRequest& request) {
  for (int tries = 0; tries < 20; ++tries) {
    const json::Value& event = dice.pick(ward.events);
    const json::Value* packs = event.find("packs");
    if (event.text_at("kind") != "load-started" || packs == nullptr || packs->items().empty()) continue;
    request.load = std::string(*event.text_at("load"));
    request.pack = dice.pick(packs->items()).text();
    return;
  }
  request.load = some(dice, ward.loads);
  request.pack = some(dice, ward.packs);
}

void name_subject(Dice& dice, const Ward& ward, RecallRequest& request) {
  const std::string& because = request.because;
  if (because == "biological-positive" || because == "load-failed") request.load = some(dice, ward.loads);
  if (because == "indicator-failed") {
    name_load_and_pack(dice, ward, request);
    if (dice.chance(35)) request.pack.reset();
  }
  if (because == "equipment-out-of-tolerance") {
    request.equipment = some(dice, ward.equipment);
    request.at = some_time(dice, ward);
    if (dice.chance(30)) request.check = dice.chance(50) ? "service" : "calibration";
  }
  if (because == "logger-out-of-tolerance") {
    request.equipment = some(dice, ward.loggers);
    request.at = some_time(dice, ward);
  }
  if (because == "air-removal-failed") {
    request.equipment = some(dice, ward.prevacuum.empty() ? ward.equipment : ward.prevacuum);
    request.at = some_time(dice, ward);
  }
  if (because == "solution-weak") request.solution = some(dice, ward.solutions);
  if (because == "lot-withdrawn") request.lot = some(dice, ward.lots);
  if (because == "index-patient") request.procedure = some(dice, ward.procedures);
  if (because == "chosen") {
    if (dice.chance(50))
      request.loads = several(dice, ward.loads);
    else
      request.packs = several(dice, ward.packs);
    request.why = "found soiled";
  }
}

void add_member(json::Value& value, const char* name, const std::optional<std::string>& text) {
  if (text) value.set(name, *text);
}

void add_list(json::Value& value, const char* name, const std::vector<std::string>& texts) {
  if (texts.empty()) return;
  json::Value list = json::Value::list();
  for (const std::string& text : texts) list.push(text);
  value.set(name, list);
}

}  // namespace

std::vector<RecallRequest> make_requests(Dice& dice, const Ward& ward, const World& world) {
  const std::vector<std::string> triggers = {"biological-positive",
                                             "load-failed",
                                             "indicator-failed",
                                             "equipment-out-of-tolerance",
                                             "logger-out-of-tolerance",
                                             "solution-weak",
                                             "air-removal-failed",
                                             "index-patient",
                                             "chosen",
                                             "lot-withdrawn",
                                             "biological-positive",
                                             "lot-withdrawn",
                                             "chosen",
                                             "solution-weak",
                                             "index-patient",
                                             "biological-positive"};
  std::vector<RecallRequest> requests;
  for (const std::string& because : triggers) {
    RecallRequest request;
    request.because = because;
    request.now = world.now;
    name_subject(dice, ward, request);
    // The later of two, so that most subjects are there already.
    if (dice.chance(20)) request.as_of = std::max(some_time(dice, ward), some_time(dice, ward));
    if (dice.chance(15)) {
      const std::int64_t last = world.first_seq + static_cast<std::int64_t>(world.events.size()) - 1;
      // Mostly late enough to hold something.
      const std::int64_t middle = (world.first_seq + last) / 2;
      request.known_at = dice.between(dice.chance(80) ? middle : world.first_seq, last);
    }
    requests.push_back(request);
  }
  return requests;
}

std::string shown(const RecallRequest& request) {
  json::Value value = json::Value::object();
  value.set("because", request.because);
  add_member(value, "load", request.load);
  add_member(value, "pack", request.pack);
  add_member(value, "equipment", request.equipment);
  add_member(value, "check", request.check);
  add_member(value, "solution", request.solution);
  add_member(value, "lot", request.lot);
  add_member(value, "procedure", request.procedure);
  add_list(value, "loads", request.loads);
  add_list(value, "packs", request.packs);
  if (request.at) value.set("at", format_recorded(*request.at));
  if (request.as_of) value.set("as_of", format_recorded(*request.as_of));
  if (request.known_at) value.set("known_at", *request.known_at);
  return json::plain(value);
}

}  // namespace trayproof::reference
