#include "tests/reference/world.h"

#include <algorithm>
#include <utility>

#include "tests/reference/dice.h"
#include "tests/reference/ward.h"
#include "tests/reference/world_requests.h"

namespace trayproof::reference {
namespace {

std::string sop_text(Dice& dice) {
  std::string toml = "[sop]\ntitle = \"Invented\"\nedition = \"" + std::to_string(dice.between(1, 99)) + "\"\n";
  if (dice.chance(50)) toml += "[indicators]\nbiological_hours = " + std::to_string(dice.chance(50) ? 24 : 48) + "\n";
  if (dice.chance(60))
    toml += std::string("[recall]\npolicy = \"") + (dice.chance(60) ? "repeat-first" : "at-once") + "\"\n";
  return toml;
}

// Puts the lines in the order in which they were written down: some much later than they happened.
void shuffle_lines(Dice& dice, std::vector<json::Value>& lines) {
  const std::int64_t disorder = dice.pick(std::vector<std::int64_t>{0, 10, 25, 100});
  for (std::size_t i = 0; i + 1 < lines.size(); ++i) {
    if (!dice.chance(static_cast<int>(disorder))) continue;
    const auto other = static_cast<std::size_t>(
        dice.between(static_cast<std::int64_t>(i), static_cast<std::int64_t>(lines.size()) - 1));
    std::swap(lines[i], lines[other]);
  }
}

// A line that can be corrected, and its latest correction.
struct Original {
  std::int64_t seq = 0;
  std::int64_t latest = 0;
  json::Value event;
  bool gone = false;
};

class Corrector {
 public:
  Corrector(Dice& dice, Ward& ward) : dice_(dice), ward_(ward) {}

  // What a recorder would write in place of that event: the same one with something changed, or null.
  json::Value replacement(const json::Value& event) {
    // A curve's placing can be taken back; a new one is another `curve-placed`.
    if (dice_.chance(20) || event.text_at("kind") == "curve-placed") return nullptr;
    json::Value changed = event;
    changed.erase("paper");
    change_body(changed);
    if (dice_.chance(25)) shift(changed);
    if (dice_.chance(8)) changed.set("precision", dice_.chance(50) ? "hour" : "minute");
    return changed;
  }

 private:
  void change_body(json::Value& event) {
    const std::string kind = std::string(*event.text_at("kind"));
    if (kind == "load-ended" && event.find("complete") != nullptr) {
      event.set("complete", !event.bool_at("complete").value_or(false));
    } else if (kind == "biological-read" && event.find("result") != nullptr) {
      event.set("result", event.text_at("result") == "negative" ? "positive" : "negative");
    } else if (kind == "load-released" && dice_.chance(60)) {
      event.set("kind", "load-rejected");
      event.set("why", "released by mistake");
    } else if (kind == "load-started") {
      change_load(event);
    } else if (kind == "packed" && event.find("set") != nullptr) {
      event.set("set", dice_.pick(ward_.sets));
    } else if (kind == "procedure-done") {
      if (dice_.chance(50)) event.erase("patient");
      if (event.find("packs") != nullptr && dice_.chance(50)) event.set("packs", json::List{dice_.pick(ward_.packs)});
    } else if (kind == "indicator-read" && event.find("result") != nullptr) {
      event.set("result", event.text_at("result") == "pass" ? "fail" : "pass");
    }
  }

  void change_load(json::Value& event) {
    json::Value* packs = event.find("packs");
    if (packs != nullptr && !packs->items().empty() && dice_.chance(40)) packs->items().pop_back();
    if (packs != nullptr && packs->items().empty() && dice_.chance(60)) packs->push(dice_.pick(ward_.packs));
    if (event.find("equipment") != nullptr && dice_.chance(30)) event.set("equipment", dice_.pick(ward_.equipment));
    if (!dice_.chance(10)) return;
    ward_.loads.push_back(ward_.fresh("load"));
    event.set("load", ward_.loads.back());
  }

  void shift(json::Value& event) {
    const auto at = parse_date_time(*event.text_at("at"));
    event.set("at", ward_.stamp(Instant{at->instant.ms + dice_.between(-240, 240) * minute_ms}));
    // The end was written for the old beginning.
    if (event.text_at("kind") == "soaked" || event.text_at("kind") == "procedure-done") event.erase("until");
  }

  Dice& dice_;
  Ward& ward_;
};

bool may_be_corrected(const json::Value& event) {
  static const std::vector<std::string> kinds = {
      "load-started",   "load-changed",      "load-ended",        "load-released",  "load-rejected",
      "indicator-read", "biological-read",   "biological-placed", "packed",         "pack-received",
      "pack-stored",    "pack-issued",       "pack-opened",       "pack-returned",  "procedure-done",
      "soaked",         "equipment-checked", "curve-placed",      "supply-received"};
  return std::find(kinds.begin(), kinds.end(), *event.text_at("kind")) != kinds.end();
}

json::Value envelope(Ward& ward, const std::string& kind) {
  json::Value event = json::Value::object();
  event.set("kind", kind).set("at", ward.stamp(ward.now())).set("by", "person-1");
  event.set("paper", ward.fresh("line"));
  return event;
}

// Adds corrections at the end of what is written so far, some of them of earlier corrections.
void correct(Dice& dice, Ward& ward, World& world, std::vector<Original>& originals, std::int64_t count) {
  Corrector corrector(dice, ward);
  for (std::int64_t i = 0; i < count && !originals.empty(); ++i) {
    auto& original =
        originals[static_cast<std::size_t>(dice.between(0, static_cast<std::int64_t>(originals.size()) - 1))];
    if (original.gone) continue;
    json::Value event = envelope(ward, "corrected");
    const json::Value replacement = corrector.replacement(original.event);
    event.set("of", dice.chance(50) ? original.seq : original.latest).set("replacement", replacement);
    event.set("why", "written down wrongly");
    original.latest = world.first_seq + static_cast<std::int64_t>(world.events.size());
    world.events.push_back(event);
    if (!replacement.is_null()) {
      original.event = replacement;
      continue;
    }
    original.gone = true;
    // What never happened under this id may be written again.
    if (!dice.chance(30)) continue;
    json::Value again = original.event;
    again.set("paper", ward.fresh("line"));
    world.events.push_back(again);
  }
}

void place_curves(Dice& dice, Ward& ward, World& world, std::vector<Original>& originals) {
  const std::vector<json::Value> so_far = world.events;
  for (std::size_t i = 0; i < so_far.size(); ++i) {
    if (so_far[i].text_at("kind") != "curve-measured") continue;
    const std::int64_t placings = dice.chance(20) ? 2 : 1;
    for (std::int64_t n = 0; n < placings; ++n) {
      json::Value event = envelope(ward, "curve-placed");
      event.set("at", *so_far[i].text_at("at")).set("curve", world.first_seq + static_cast<std::int64_t>(i));
      event.set("load", ward.loads.empty() || dice.chance(10) ? json::Value() : json::Value(dice.pick(ward.loads)));
      const std::int64_t seq = world.first_seq + static_cast<std::int64_t>(world.events.size());
      world.events.push_back(event);
      originals.push_back({seq, seq, event, false});
    }
  }
}

void redescribe(Dice& dice, Ward& ward, std::vector<json::Value>& lines) {
  if (dice.chance(10)) {
    json::Value event = envelope(ward, "facility-described");
    event.set("title", "Invented facility").set("zone", "Asia/Kathmandu").set("altitude_m", 100);
    lines.push_back(event);
  }
  if (dice.chance(15)) {
    json::Value event = envelope(ward, "sop-adopted");
    event.set("title", "Invented").set("toml", sop_text(dice)).set("in_force", ward.stamp(ward.now()));
    lines.push_back(event);
  }
}

}  // namespace

World make_world(std::uint64_t seed, std::int64_t first_seq, Curves curves) {
  Dice dice(seed);
  World world;
  world.seed = seed;
  world.first_seq = first_seq;
  world.zone = dice.pick(std::vector<std::string>{"UTC", "Africa/Nairobi", "Asia/Kolkata", "Europe/Berlin"});
  world.sop_toml = sop_text(dice);
  auto zone = Zone::find(world.zone);
  CHECK(zone.ok());
  // The nights in which Europe/Berlin changes its clocks lie in the first days of two of these.
  const std::string opens =
      dice.pick(std::vector<std::string>{"2024-03-29T06:00Z", "2024-10-25T06:00Z", "2024-06-01T06:00Z"});
  Ward ward(dice, zone.value(), parse_date_time(opens)->instant);
  ward.work(static_cast<std::size_t>(dice.between(35, 125)));
  if (curves == Curves::written) ward.measure_curves();
  world.opened = parse_date_time("2024-03-01T12:00Z")->instant;
  world.now = parse_date_time("2025-06-01T12:00Z")->instant;

  std::vector<json::Value> lines = ward.events;
  redescribe(dice, ward, lines);
  shuffle_lines(dice, lines);
  // Four fifths of the lines, corrections of them, the rest, corrections of everything.
  std::vector<Original> originals;
  const std::size_t first_part = lines.size() * 4 / 5;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (i == first_part) correct(dice, ward, world, originals, dice.between(0, 5));
    const std::int64_t seq = first_seq + static_cast<std::int64_t>(world.events.size());
    if (may_be_corrected(lines[i])) originals.push_back({seq, seq, lines[i], false});
    world.events.push_back(lines[i]);
  }
  place_curves(dice, ward, world, originals);
  correct(dice, ward, world, originals, dice.between(0, 5));
  world.requests = make_requests(dice, ward, world);
  return world;
}

std::string lines_of(const World& world) {
  std::string lines;
  for (const json::Value& event : world.events) lines += json::plain(event) + "\n";
  return lines;
}

std::vector<Entry> entries_of(const World& world) {
  std::vector<Entry> entries;
  const auto add = [&](json::Value event, Instant recorded) {
    const std::int64_t seq = world.first_seq - 2 + static_cast<std::int64_t>(entries.size());
    event.set("v", 1).set("seq", seq).set("recorded", format_recorded(recorded)).set("station", "station-1");
    entries.push_back({seq, std::move(event)});
  };
  const std::string opened = format_date_time({world.opened, 0});
  json::Value facility = json::Value::object();
  facility.set("kind", "facility-described").set("at", opened).set("by", "station-1");
  facility.set("title", "Invented facility").set("zone", world.zone).set("altitude_m", 100);
  add(facility, world.opened);
  json::Value sop = json::Value::object();
  sop.set("kind", "sop-adopted").set("at", opened).set("by", "station-1");
  sop.set("title", "Invented").set("toml", world.sop_toml).set("in_force", opened);
  add(sop, world.opened);
  for (const json::Value& event : world.events) add(event, world.now);
  return entries;
}

}  // namespace trayproof::reference
