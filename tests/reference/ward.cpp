#include "tests/reference/ward.h"

#include <utility>

namespace trayproof::reference {

Ward::Ward(Dice& dice, const Zone& zone, Instant opens) : dice_(dice), zone_(zone), now_(opens) {}

std::string Ward::fresh(const std::string& thing) {
  // The letter in front keeps the order of ids apart from the order of time.
  const char letter = static_cast<char>('A' + dice_.between(0, 5));
  return thing + "-" + std::string(1, letter) + std::to_string(++number_);
}

std::string Ward::stamp(Instant at) {
  DateTime time = zone_.local(at);
  if (dice_.chance(8)) time.offset_minutes = 0;
  if (dice_.chance(4)) time.offset_minutes = 330;
  return format_date_time(time);
}

Instant Ward::after(Instant from, std::int64_t low_minutes, std::int64_t high_minutes) {
  Instant at{from.ms + dice_.between(low_minutes, high_minutes) * minute_ms};
  if (dice_.chance(8)) at.ms += dice_.between(1, 59) * second_ms;
  if (dice_.chance(2)) at.ms += dice_.between(1, 999);
  return at;
}

void Ward::wait() {
  if (dice_.chance(15)) return;
  if (dice_.chance(60)) {
    now_ = after(now_, 1, 40);
  } else if (dice_.chance(85)) {
    now_ = after(now_, 60, 600);
  } else {
    now_ = after(now_, 1440, 2880);
  }
}

json::Value Ward::event(const std::string& kind) {
  json::Value made = json::Value::object();
  made.set("kind", kind);
  return made;
}

void Ward::put(json::Value& made, const std::string& field, json::Value value, int unknown_percent) {
  if (!dice_.chance(unknown_percent)) {
    made.set(field, std::move(value));
    return;
  }
  if (made.find("unknown") == nullptr) made.set("unknown", json::Value::object());
  made.find("unknown")->set(field, dice_.chance(80) ? "not-recorded" : "not-readable");
}

void Ward::emit(json::Value made, Instant at) {
  made.set("at", stamp(at));
  made.set("by", "person-" + std::to_string(dice_.between(1, 4)));
  const bool definition = made.find("title") != nullptr || made.find("expires") != nullptr;
  if (!definition && dice_.chance(7)) {
    const std::vector<std::string> precisions = {"minute", "minute", "hour", "hour", "day"};
    made.set("precision", dice_.pick(precisions));
  }
  made.set("paper", "line " + std::to_string(++number_));
  events.push_back(std::move(made));
}

void Ward::own_equipment() {
  const auto add = [&](const std::string& sort, std::vector<std::string> methods) {
    Device device{fresh(sort), sort, std::move(methods)};
    json::Value made = event("equipment-registered");
    made.set("equipment", device.id).set("sort", sort);
    if (dice_.chance(90)) emit(made, after(now_, -3000, 0));
    equipment.push_back(device.id);
    if (!device.methods.empty()) devices_.push_back(device);
    if (sort == "data-logger") loggers.push_back(device.id);
    if (!device.methods.empty() && device.methods.front() == "steam-prevacuum") prevacuum.push_back(device.id);
  };
  const std::int64_t sterilizers = dice_.between(1, 3);
  for (std::int64_t i = 0; i < sterilizers; ++i) {
    switch (dice_.between(0, 4)) {
      case 0:
      case 1:
        add("steam-sterilizer", {"steam-gravity"});
        break;
      case 2:
      case 3:
        add("steam-sterilizer", {"steam-prevacuum", "steam-prevacuum", "steam-gravity"});
        break;
      default:
        add("dry-heat-sterilizer", {"dry-heat"});
        break;
    }
  }
  if (dice_.chance(40)) add("boiler", {"boiling", "boiling", "steaming"});
  if (dice_.chance(20)) add("washer-disinfector", {"thermal-disinfection"});
  if (dice_.chance(35)) add("soak-basin", {"chemical-disinfection", "chemical-sterilization"});
  add("data-logger", {});
  if (dice_.chance(30)) add("data-logger", {});
}

void Ward::own_supplies() {
  const auto lot = [&](const std::string& prefix, const std::string& sort, std::vector<std::string>& kept) {
    const std::string id = fresh(prefix);
    kept.push_back(id);
    lots.push_back(id);
    json::Value made = event("supply-received");
    made.set("lot", id).set("sort", sort);
    if (sort == "chemical-indicator") made.set("type", static_cast<int>(dice_.between(1, 6)));
    if (sort == "biological-indicator" && dice_.chance(65))
      made.set("read_hours", static_cast<int>(dice_.pick(std::vector<int>{3, 24, 48})));
    const Instant expiry = after(now_, -2000, 60000);
    if (dice_.chance(70)) made.set("expires", format_date(zone_.civil(expiry).date));
    // Some lots are never written down, some only after they are in use.
    if (dice_.chance(85)) emit(made, after(now_, -5000, dice_.chance(15) ? 4000 : 0));
    if (dice_.chance(8)) {
      made.set("expires", format_date(zone_.civil(after(now_, 0, 20000)).date));
      emit(made, after(now_, 500, 6000));
    }
  };
  for (int i = 0; i < 2; ++i) lot("CI", "chemical-indicator", indicator_lots_);
  for (int i = 0; i < 2; ++i) lot("BI", "biological-indicator", biological_lots_);
  lot("WR", "wrap", wrap_lots_);
  lot("DI", "disinfectant", disinfectant_lots_);
  other_lots_ = {fresh("KIT"), fresh("OUT")};
  lots.insert(lots.end(), other_lots_.begin(), other_lots_.end());
}

void Ward::define_set(const std::string& set) {
  json::Value item = json::Value::object();
  item.set("item", "forceps").set("count", 2);
  json::Value made = event("set-defined");
  made.set("set", set).set("title", "An invented set").set("items", json::List{item}).set("contact", "critical");
  if (dice_.chance(20)) made.set("implant", true);
  if (dice_.chance(25)) made.set("told_apart", false);
  if (dice_.chance(90)) emit(made, after(now_, -3000, dice_.chance(20) ? 3000 : 0));
}

void Ward::prepare_solution() {
  const bool soak = soaks_.empty() || dice_.chance(55);
  const std::string id = fresh("SOL");
  json::Value made = event("solution-prepared");
  made.set("solution", id).set("agent", soak ? "sodium-hypochlorite" : "glutaraldehyde");
  const int unknown_use = 10;
  put(made, "use",
      soak               ? "decontamination"
      : dice_.chance(50) ? "high-level-disinfection"
                         : "chemical-sterilization",
      unknown_use);
  made.set("percent", soak ? 0.5 : 2.0).set("ready_to_use", true);
  if (dice_.chance(50)) made.set("lot", dice_.pick(disinfectant_lots_));
  emit(made, now_);
  solutions.push_back(id);
  // A solution of unknown use may serve as either.
  const bool either = made.find("use") == nullptr;
  if (soak || either) soaks_.push_back(id);
  if (!soak || either) baths_.push_back(id);
  if (!dice_.chance(40)) return;
  json::Value test = event("solution-tested");
  test.set("solution", id).set("percent", 0.4);
  emit(test, after(now_, 1, 600));
}

void Ward::check_equipment() {
  json::Value made = event("equipment-checked");
  // Sterilizers and loggers more often than the rest.
  const std::string& device = dice_.chance(40) ? dice_.pick(loggers) : dice_.pick(equipment);
  std::string check = dice_.chance(75) ? "calibration" : "service";
  if (!prevacuum.empty() && dice_.chance(50)) check = "air-removal";
  made.set("equipment", check == "air-removal" ? dice_.pick(prevacuum) : device).set("check", check);
  put(made, "result", dice_.chance(70) ? "pass" : "fail", 4);
  emit(made, now_);
  checked.push_back(now_);
}

std::string Ward::patient() {
  if (patients_.empty() || dice_.chance(70)) patients_.push_back("MRN" + std::to_string(100000 + ++number_));
  return dice_.pick(patients_);
}

void Ward::remark() {
  json::Value subject = json::Value::object();
  subject.set("kind", "load").set("id", loads.empty() ? "load-unheard-of" : dice_.pick(loads));
  json::Value made = event("remarked");
  made.set("subject", subject).set("text", "looked at by the matron");
  emit(made, now_);
}

void Ward::work(std::size_t events_wanted) {
  own_equipment();
  own_supplies();
  const std::int64_t set_count = dice_.between(2, 5);
  for (std::int64_t i = 0; i < set_count; ++i) {
    sets.push_back(fresh("set"));
    define_set(sets.back());
  }
  prepare_solution();
  turn_and_pack();
  while (events.size() < events_wanted) {
    wait();
    switch (dice_.between(0, 23)) {
      case 0:
      case 1:
      case 2:
      case 3:
        turn_and_pack();
        break;
      case 4:
      case 5:
      case 6:
      case 7:
      case 8:
      case 9:
      case 10:
        run_load();
        break;
      case 11:
      case 12:
      case 13:
      case 14:
        move_pack();
        break;
      case 15:
      case 16:
      case 17:
      case 18:
        do_procedure();
        break;
      case 19:
      case 20:
        check_equipment();
        break;
      case 21:
        prepare_solution();
        break;
      case 22:
        receive_pack();
        break;
      default:
        if (dice_.chance(50))
          remark();
        else
          define_set(dice_.pick(sets));
    }
  }
  if (!dice_.chance(10)) return;
  // An end and a reading of a load that nobody ever started.
  loads.push_back(fresh("load"));
  load_spans_.push_back({now_, now_});
  end_load(loads.back(), {now_, after(now_, 5, 50)});
}

}  // namespace trayproof::reference
