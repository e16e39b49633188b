#include <utility>

#include "tests/reference/ward.h"

namespace trayproof::reference {
namespace {

json::Value list_of(const std::vector<std::string>& texts) {
  json::Value list = json::Value::list();
  for (const std::string& text : texts) list.push(text);
  return list;
}

}  // namespace

void Ward::turn_and_pack() {
  const std::string set = dice_.pick(sets);
  if (!procedures.empty() && dice_.chance(25)) {
    json::Value made = event("set-returned");
    made.set("set", set);
    if (dice_.chance(50)) made.set("procedure", dice_.pick(procedures));
    emit(made, now_);
  }
  if (!soaks_.empty() && dice_.chance(50)) {
    json::Value made = event("soaked");
    made.set("set", set);
    put(made, "solution", dice_.pick(soaks_), 4);
    const Instant from = after(now_, 0, 15);
    if (dice_.chance(50)) made.set("until", stamp(after(from, 5, 20)));
    emit(made, from);
  }
  if (dice_.chance(15)) {
    json::Value made = event("cleaned");
    made.set("set", set).set("method", "manual");
    emit(made, after(now_, 10, 30));
  }
  now_ = after(now_, 10, 90);
  // Like sets under one id are often packed at the same moment.
  const std::int64_t count = dice_.chance(20) ? 2 : 1;
  for (std::int64_t i = 0; i < count; ++i) {
    const std::string pack = fresh("pack");
    json::Value made = event("packed");
    made.set("pack", pack);
    put(made, "set", set, 2);
    put(made, "wrap", dice_.pick(std::vector<std::string>{"wrapped", "drum", "pouch", "unwrapped"}), 2);
    if (dice_.chance(45)) made.set("indicator_lot", dice_.pick(indicator_lots_));
    if (dice_.chance(30)) made.set("wrap_lot", dice_.pick(wrap_lots_));
    emit(made, now_);
    packs.push_back(pack);
    waiting_.push_back(pack);
  }
}

void Ward::receive_pack() {
  const std::string pack = fresh("pack");
  json::Value made = event("pack-received");
  made.set("pack", pack).set("from", "an invented maker");
  if (dice_.chance(70)) made.set("lot", other_lots_.back());
  emit(made, now_);
  packs.push_back(pack);
  (dice_.chance(50) ? waiting_ : processed_).push_back(pack);
}

std::vector<std::string> Ward::some_packs(std::int64_t most) {
  std::vector<std::string> chosen;
  const std::int64_t wanted = dice_.between(0, most);
  for (std::int64_t i = 0; i < wanted; ++i) {
    std::string pack = "pack-unheard-of";
    if (!processed_.empty() && dice_.chance(92)) {
      // The later ones more often.
      pack = dice_.chance(60)
                 ? processed_[processed_.size() - 1 -
                              static_cast<std::size_t>(dice_.between(
                                  0, std::min<std::int64_t>(3, static_cast<std::int64_t>(processed_.size()) - 1)))]
                 : dice_.pick(processed_);
    } else if (!waiting_.empty() && dice_.chance(85)) {
      pack = dice_.pick(waiting_);
    }
    bool already = false;
    for (const std::string& other : chosen) already = already || other == pack;
    if (!already) chosen.push_back(pack);
  }
  return chosen;
}

json::Value Ward::load_of(const Device& device, const std::string& load) {
  const std::string& method = dice_.pick(device.methods);
  const bool chemical = method.starts_with("chemical");
  json::Value made = event("load-started");
  made.set("load", load).set("method", method);
  if (!chemical || dice_.chance(40)) put(made, "equipment", device.id, chemical ? 0 : 4);
  if (chemical) put(made, "solution", baths_.empty() ? "SOL-unheard-of" : dice_.pick(baths_), 5);
  if (dice_.chance(30)) made.set("temperature_c", 121);
  return made;
}

void Ward::run_load() {
  std::vector<std::string> held;
  // Most of what waits goes in, and now and then a pack that was in a load before.
  std::vector<std::string> left;
  for (const std::string& pack : waiting_) (dice_.chance(75) ? held : left).push_back(pack);
  waiting_ = left;
  if (!processed_.empty() && dice_.chance(35)) {
    const std::string again = dice_.pick(processed_);
    bool already = false;
    for (const std::string& pack : held) already = already || pack == again;
    if (!already) held.push_back(again);
  }
  const std::string load = fresh("load");
  loads.push_back(load);
  const Span span{now_, after(now_, dice_.chance(2) ? -30 : 15, 60)};
  load_spans_.push_back(span);
  json::Value made = load_of(dice_.chance(50) ? devices_.front() : dice_.pick(devices_), load);
  put(made, "packs", list_of(held), 2);
  emit(made, span.from);
  for (const std::string& pack : held) processed_.push_back(pack);
  if (dice_.chance(15)) change_load(load, span);
  if (dice_.chance(88)) end_load(load, span);
  read_indicators(load, held, span.until);
  if (dice_.chance(60)) read_biological(load, span.until);
  if (dice_.chance(85)) decide(load, span.until);
  if (dice_.chance(75)) now_ = span.until.ms > now_.ms ? span.until : now_;
}

void Ward::change_load(const std::string& load, const Span& span) {
  json::Value made = event("load-changed");
  made.set("load", load);
  const std::vector<std::string> added = {waiting_.empty() || dice_.chance(30) ? dice_.pick(packs)
                                                                               : dice_.pick(waiting_)};
  if (dice_.chance(50)) {
    made.set("added", list_of(added)).set("removed", json::Value::list());
  } else {
    const std::string removed = dice_.pick(packs);
    if (removed == added.front()) return;
    made.set("removed", list_of({removed}));
    if (dice_.chance(40)) made.set("added", list_of(added));
  }
  emit(made, after(span.from, 0, dice_.chance(20) ? 90 : 10));
}

void Ward::end_load(const std::string& load, const Span& span) {
  json::Value made = event("load-ended");
  made.set("load", load);
  if (dice_.chance(50)) put(made, "temperature_c", 121, 8);
  if (dice_.chance(30)) made.set("hold_min", 20);
  if (dice_.chance(10)) made.set("pressure_kpa_gauge", 104);
  put(made, "complete", dice_.chance(90), 4);
  emit(made, span.until);
}

void Ward::read_indicators(const std::string& load, const std::vector<std::string>& held, Instant from) {
  const auto read = [&](bool by_pack) {
    json::Value made = event("indicator-read");
    if (by_pack) made.set("pack", dice_.pick(held));
    if (!by_pack || dice_.chance(20)) made.set("load", load);
    if (dice_.chance(40)) made.set("lot", dice_.pick(indicator_lots_));
    put(made, "result", dice_.chance(85) ? "pass" : dice_.chance(70) ? "fail" : "unreadable", 2);
    emit(made, after(from, 0, by_pack ? 900 : 60));
  };
  if (dice_.chance(50)) read(false);
  if (!held.empty() && dice_.chance(25)) read(true);
}

void Ward::read_biological(const std::string& load, Instant from) {
  const std::string biological = fresh("bio");
  const std::string& lot = dice_.pick(biological_lots_);
  if (dice_.chance(70)) {
    json::Value made = event("biological-placed");
    made.set("biological", biological).set("load", load);
    if (dice_.chance(70)) made.set("lot", lot);
    emit(made, from);
  }
  const std::int64_t readings = dice_.chance(90) ? (dice_.chance(12) ? 2 : 1) : 0;
  for (std::int64_t i = 0; i < readings; ++i) {
    json::Value made = event("biological-read");
    made.set("load", load);
    if (dice_.chance(70)) made.set("biological", biological);
    if (dice_.chance(50)) made.set("lot", lot);
    const std::int64_t hours = dice_.pick(std::vector<std::int64_t>{1, 24, 24, 48, 48});
    if (dice_.chance(80)) made.set("hours", hours);
    put(made, "result", dice_.chance(82) ? "negative" : "positive", 3);
    put(made, "control", dice_.chance(88) ? "growth" : dice_.chance(50) ? "no-growth" : "not-run", 3);
    emit(made, after(from, hours * 60, hours * 60 + 300));
  }
}

void Ward::decide(const std::string& load, Instant from) {
  const std::int64_t decisions = dice_.chance(15) ? 2 : 1;
  for (std::int64_t i = 0; i < decisions; ++i) {
    const bool released = dice_.chance(85);
    json::Value made = event(released ? "load-released" : "load-rejected");
    made.set("load", load);
    if (!released) made.set("why", "the strip did not turn");
    emit(made, after(from, 0, 200));
  }
}

void Ward::measure_curves() {
  for (std::size_t i = 0; i < loads.size() && i < load_spans_.size(); ++i) {
    if (!dice_.chance(45)) continue;
    json::Value made = event("curve-measured");
    made.set("equipment", dice_.pick(devices_).id);
    if (dice_.chance(85)) made.set("logger", dice_.pick(loggers));
    made.set("file", std::string(64, 'a')).set("part", static_cast<std::int64_t>(i));
    made.set("from", stamp(load_spans_[i].from)).set("until", stamp(Instant{load_spans_[i].from.ms + 40 * minute_ms}));
    made.set("interval_s", 10).set("reading", json::Value::object());
    emit(made, load_spans_[i].from);
    events.back().erase("precision");
  }
}

void Ward::move_pack() {
  if (processed_.empty()) return;
  const std::string pack = some_packs(1).empty() ? dice_.pick(packs) : dice_.pick(processed_);
  json::Value made;
  switch (dice_.between(0, 9)) {
    case 0:
    case 1:
    case 2:
      made = event("pack-stored");
      break;
    case 3:
    case 4:
    case 5:
      made = event("pack-issued");
      break;
    case 6:
    case 7:
      made = event("pack-opened");
      break;
    case 8:
      made = event("pack-returned");
      break;
    default:
      made = event("pack-withdrawn");
  }
  const std::string kind = std::string(*made.text_at("kind"));
  made.set("pack", pack);
  const std::string place = "shelf " + std::to_string(dice_.between(1, 5));
  if (kind == "pack-stored" || kind == "pack-issued") put(made, "place", place, 5);
  if (kind == "pack-opened" && dice_.chance(50)) made.set("place", place);
  if (kind == "pack-returned") put(made, "state", dice_.chance(60) ? "closed" : "opened", 8);
  if (kind == "pack-withdrawn") made.set("why_withdrawn", "torn");
  emit(made, now_);
}

void Ward::do_procedure() {
  const std::string procedure = fresh("proc");
  json::Value made = event("procedure-done");
  made.set("procedure", procedure);
  if (dice_.chance(80)) put(made, "patient", patient(), 6);
  if (dice_.chance(30)) {
    json::Value newborns = json::Value::list();
    newborns.push("NB" + std::to_string(200000 + ++number_));
    if (dice_.chance(20)) newborns.push("NB" + std::to_string(200000 + ++number_));
    made.set("newborns", newborns);
  }
  if (dice_.chance(12)) made.set("newborns_without_number", dice_.between(0, 2));
  put(made, "sort", dice_.chance(70) ? "delivery" : "caesarean", 3);
  put(made, "place", "room " + std::to_string(dice_.between(1, 3)), 3);
  put(made, "packs", list_of(some_packs(3)), 2);
  if (dice_.chance(30)) made.set("until", stamp(after(now_, 5, 120)));
  if (dice_.chance(15)) made.set("disposable", true).set("disposable_lot", dice_.pick(other_lots_));
  if (dice_.chance(10)) made.set("implant", true);
  emit(made, now_);
  procedures.push_back(procedure);
}

}  // namespace trayproof::reference
