#include "tests/report/review/october.h"

#include <algorithm>
#include <fstream>
#include <iterator>

namespace trayproof::tests {
namespace {

std::string file_text(const std::string& name) {
  std::ifstream in(std::string(TRAYPROOF_SOURCE_DIR) + "/" + name, std::ios::binary);
  CHECK(in.good());
  return {std::istreambuf_iterator<char>(in), {}};
}

Instant time_of(const json::Value& event, std::string_view field) { return moment(*event.text_at(field)); }

std::vector<std::string> texts(const json::Value& event, std::string_view field) {
  std::vector<std::string> out;
  if (const json::Value* list = event.find(field)) {
    for (const json::Value& one : list->items()) out.push_back(one.text());
  }
  return out;
}

}  // namespace

Instant moment(std::string_view text) {
  const auto time = parse_date_time(text);
  CHECK(time.has_value());
  return time->instant;
}

October::October() : clock_(moment("2026-10-04T05:00:00+05:00")) {
  Creation creation;
  creation.title = "Oraveth Maternity Unit";
  creation.zone = "Etc/GMT-5";
  creation.altitude_m = 1180;
  creation.sop_toml = file_text("samples/sop/labour-room.toml");
  auto made = Ledger::create(path(), creation, clock_);
  CHECK(made.ok());
  ledger_ = std::make_unique<Ledger>(std::move(made).value());
  clock_.set(moment("2026-11-10T12:00:00+05:00"));
  const auto taken = ledger_->append_lines(file_text("samples/facility/events.jsonl"), {});
  CHECK(taken.ok());
  CHECK(taken.value().refusals.empty());
  CHECK(taken.value().first == 6);
}

links::Links October::tables() const {
  auto tables = links::Links::open(*ledger_);
  CHECK(tables.ok());
  CHECK(tables.value().catch_up().ok());
  return std::move(tables).value();
}

std::vector<json::Value> standing_events() {
  // A new ledger writes five entries before the first line.
  constexpr std::size_t before = 5;
  std::vector<json::Value> events;
  std::vector<bool> stands;
  const std::string all = file_text("samples/facility/events.jsonl");
  for (std::size_t at = 0; at < all.size();) {
    const std::size_t end = all.find('\n', at);
    auto event = json::parse(std::string_view(all).substr(at, end - at));
    CHECK(event.ok());
    events.push_back(std::move(event).value());
    stands.push_back(true);
    at = end + 1;
  }
  for (std::size_t i = 0; i < events.size(); ++i) {
    if (events[i].text_at("kind") != "corrected") continue;
    const auto of = static_cast<std::size_t>(*events[i].number_at("of")) - before - 1;
    const json::Value replacement = *events[i].find("replacement");
    stands[i] = false;
    if (replacement.is_null()) {
      stands[of] = false;
    } else {
      events[of] = replacement;
    }
  }
  std::vector<json::Value> out;
  for (std::size_t i = 0; i < events.size(); ++i) {
    if (stands[i]) out.push_back(std::move(events[i]));
  }
  return out;
}

std::vector<const json::Value*> Slow::of(std::string_view kind) const {
  std::vector<const json::Value*> out;
  for (const json::Value& event : events) {
    if (event.text_at("kind") == kind) out.push_back(&event);
  }
  return out;
}

std::string Slow::decision(const std::string& load, Instant at) const {
  std::string last;
  Instant last_at{INT64_MIN};
  for (const json::Value& event : events) {
    const auto kind = event.text_at("kind");
    if ((kind != "load-released" && kind != "load-rejected") || event.text_at("load") != load) continue;
    const Instant when = time_of(event, "at");
    if (when > at || when < last_at) continue;
    last_at = when;
    last = kind == "load-released" ? "released" : "rejected";
  }
  return last;
}

Slow slow_reading(Instant from, Instant until) {
  Slow slow;
  slow.events = standing_events();
  for (const json::Value* event : slow.of("load-started")) {
    const Instant at = time_of(*event, "at");
    slow.loads[std::string(*event->text_at("load"))] = {std::string(*event->text_at("method")), at, at, true,
                                                        texts(*event, "packs")};
  }
  for (const json::Value* event : slow.of("load-ended")) {
    SlowLoad& load = slow.loads[std::string(*event->text_at("load"))];
    load.ended = time_of(*event, "at");
    load.complete = event->bool_at("complete").value_or(false);
  }
  for (const json::Value* event : slow.of("procedure-done")) {
    const Instant at = time_of(*event, "at");
    if (at < from || at > until) continue;
    const Instant use = event->find("until") != nullptr ? time_of(*event, "until") : at;
    for (const std::string& pack : texts(*event, "packs")) {
      SlowUse one{std::string(*event->text_at("procedure")), pack, use, {}};
      Instant latest{INT64_MIN};
      for (const auto& [id, load] : slow.loads) {
        const bool holds = std::find(load.packs.begin(), load.packs.end(), pack) != load.packs.end();
        if (!holds || load.ended > use || load.ended < latest) continue;
        latest = load.ended;
        one.load = id;
      }
      slow.uses.push_back(one);
    }
  }
  return slow;
}

}  // namespace trayproof::tests
