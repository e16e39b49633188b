// Rules about cleaning, packing and the lots that were used.
#include <set>

#include "report/gaps/families.h"
#include "report/gaps/looking.h"

namespace trayproof::gaps {
namespace {

// cleaning-missing: the turn of a pack that went into a load has no cleaning.
// Why: nothing is sterilized through dirt. Example: soaked, rinsed and packed, no cleaning written down.
// Limits: cleaning.exempt_sets (beginnings of set ids). Source: WHO/PAHO 2016, from memory.
void cleaning_missing(const Facts& facts, Looked& looked) {
  for (const auto& [id, pack] : facts.packs) {
    if (pack.loads.empty() || pack.received != nullptr) continue;
    const Load& load = first_load(pack);
    const auto& exempt = facts.sop_at(load.start()).cleaning_exempt_sets;
    const bool is_exempt = std::any_of(
        exempt.begin(), exempt.end(), [&set = pack.set](const std::string& prefix) { return set.starts_with(prefix); });
    if (is_exempt) continue;
    looked.say(!turn_has(pack, "cleaned"), load.start().at, id, [&, &one = pack] {
      Gap out{.at = load.start().at, .rests_on = held_seqs(load, one), .beside = load.seqs()};
      out.rests_on.push_back(one.packed->seq);
      return out;
    });
  }
}

// cleaned-late: a set was cleaned later than its return and the SOP's hours.
// Why: dried blood does not come off. Example: returned at 22:00, cleaned after breakfast.
// Limits: cleaning.hours_max. Source: AS/NZS 4187 asks for a limit, seen in secondary pages; the value: common
// practice, no source.
void cleaned_late(const Facts& facts, Looked& looked) {
  ById<Records> cleanings;
  ById<Records> packings;
  for (const Record& one : facts.of("cleaned")) cleanings[std::string(one.text("set"))].push_back(&one);
  for (const Record& one : facts.of("packed")) packings[std::string(one.text("set"))].push_back(&one);
  for (const Record& returned : facts.of("set-returned")) {
    const auto limit = facts.sop_at(returned.at).cleaning_hours_max;
    if (!limit) {
      looked.not_stated(returned.at.at);
      continue;
    }
    const std::string set(returned.text("set"));
    const auto next = [&](const Records& all) {
      const auto found = std::find_if(all.begin(), all.end(),
                                      [&](const Record* one) { return later(returned.at, one->at) != Told::yes; });
      return found == all.end() ? nullptr : *found;
    };
    const Record* cleaned = next(cleanings[set]);
    const Record* packed = next(packings[set]);
    const bool before_packing =
        cleaned != nullptr && (packed == nullptr || later(cleaned->at, packed->at) != Told::yes);
    const When deadline = after(returned.at, *limit, hour_ms);
    Told gap = later(When::exactly(facts.now), deadline) == Told::no ? Told::no : Told::open;
    if (before_packing) gap = later(cleaned->at, deadline);
    looked.say(gap, (before_packing ? cleaned->at : returned.at).at, set, [&] {
      return Gap{.at = cleaned->at.at,
                 .found = between(returned.at, cleaned->at, hour_ms),
                 .limit = *limit,
                 .rests_on = {returned.seq, cleaned->seq}};
    });
  }
}

// inspection-missing: the turn of a pack has no inspection.
// Why: nobody looked whether it was clean and complete. Example: packed straight from the drying rack.
// Limits: none. Source: WHO/PAHO 2016, from memory.
void inspection_missing(const Facts& facts, Looked& looked) {
  for (const auto& [id, pack] : facts.packs) {
    if (pack.packed == nullptr) continue;
    looked.say(!turn_has(pack, "inspected"), pack.packed->at.at, id,
               [&, &one = pack] { return Gap{.at = one.packed->at.at, .rests_on = {one.packed->seq}}; });
  }
}

// no-inside-indicator: packed without an indicator inside where the SOP wants one for that wrap.
// Why: nothing will show whether the steam got in. Example: the box of strips was empty.
// Limits: packing.inside_indicator. Source: common practice, no source.
void no_inside_indicator(const Facts& facts, Looked& looked) {
  for (const Record& packed : facts.of("packed")) {
    const auto& wraps = facts.sop_at(packed.at).inside_indicator;
    if (!wraps) looked.not_stated(packed.at.at);
    const std::string_view wrap = packed.text("wrap").empty() ? std::string_view("wrapped") : packed.text("wrap");
    if (!wraps || !holds_text(*wraps, wrap)) continue;
    looked.say(absent(packed, "indicator_lot"), packed.at.at, packed.text("pack"),
               [&] { return Gap{.at = packed.at.at, .found = std::string(wrap), .rests_on = {packed.seq}}; });
  }
}

// A lot as an event names it.
struct LotUse {
  std::string_view lot;
  const Record* event = nullptr;
  When at;
};

// Every naming of a lot that is received here. Lots of packs made elsewhere and of disposable kits are their makers'.
template <typename Visit>
void each_lot(const Facts& facts, Visit visit) {
  static constexpr std::pair<std::string_view, std::string_view> fields[] = {
      {"packed", "indicator_lot"},  {"packed", "wrap_lot"},       {"solution-prepared", "lot"},
      {"solution-tested", "lot"},   {"cleaned", "detergent_lot"}, {"indicator-read", "lot"},
      {"biological-placed", "lot"}, {"biological-read", "lot"},   {"equipment-checked", "lot"},
  };
  for (const auto& [kind, field] : fields) {
    for (const Record& event : facts.of(kind)) {
      if (!event.text(field).empty()) visit(LotUse{event.text(field), &event, event.at}, kind);
    }
  }
}

// When a strip that was read out of a pack went through its load: it was put in at the packing; else its load tells.
struct StripUse {
  When at;
  bool certain = true;
  std::optional<std::int64_t> seq;
};
StripUse strip_used(const Facts& facts, const Record& reading) {
  const Pack* pack = facts.pack(reading.text("pack"));
  if (pack != nullptr && pack->packed != nullptr) return {pack->packed->at, true, pack->packed->seq};
  const Load* load = facts.load(reading.text("load"));
  if (load != nullptr && load->has_time()) return {load->start(), true, begun_seq(*load)};
  return {reading.at, false, std::nullopt};
}

// lot-expired: an indicator, strip, disinfectant or wrap lot was used after its last day.
// Why: an expired strip shows nothing. Example: last year's strips from the back of the drawer.
// Limits: the lot's own `expires`, in the facility's zone. A strip inside a pack is used when it is packed, whenever it
// is read: where the packing names its lot, the reading is no second use. Of a biological both the placing and the
// reading are uses. Source: the label.
void lot_expired(const Facts& facts, Looked& looked) {
  each_lot(facts, [&](const LotUse& use, std::string_view kind) {
    if (kind == "cleaned") return;
    StripUse used{use.at, true, std::nullopt};
    if (kind == "indicator-read" && !use.event->text("pack").empty()) {
      const Pack* pack = facts.pack(use.event->text("pack"));
      if (pack != nullptr && pack->packed != nullptr && pack->packed->text("indicator_lot") == use.lot) return;
      used = strip_used(facts, *use.event);
    }
    const Record* lot = facts.lot(use.lot, used.at.at);
    const auto expires = lot == nullptr ? std::nullopt : parse_date(lot->text("expires"));
    if (lot != nullptr && !expires && lot->mark("expires") == Mark::none) return;
    Told gap = Told::open;
    if (expires) gap = later(used.at, When::exactly(facts.end_of(*expires)));
    // Read after that day, it may have gone through its load before.
    if (gap == Told::yes && !used.certain) gap = Told::open;
    looked.say(gap, use.at.at, use.lot, [&] {
      Gap out{.at = use.at.at,
              .found = local(facts, used.at.at),
              .limit = format_date(*expires),
              .rests_on = {use.event->seq, lot->seq}};
      if (used.seq) out.rests_on.push_back(*used.seq);
      return out;
    });
  });
}

// lot-unknown: a lot is named that was never received.
// Why: its expiry and its recall cannot be looked up; often it is a slip of the pen. Example: CI-2O26 for CI-2026.
// Limits: none. Source: common practice, no source.
void lot_unknown(const Facts& facts, Looked& looked) {
  ById<LotUse> first;
  each_lot(facts, [&](const LotUse& use, std::string_view) {
    const auto [place, added] = first.emplace(std::string(use.lot), use);
    if (!added && use.at.at < place->second.at.at) place->second = use;
  });
  for (const auto& [lot, use] : first) {
    looked.say(told(!facts.by_lot_received.contains(lot)), use.at.at, lot,
               [&, &named = use] { return Gap{.at = named.at.at, .rests_on = {named.event->seq}}; });
  }
}

constexpr Rule rules[] = {
    {"cleaning-missing", Severity::major, "pack", cleaning_missing},
    {"cleaned-late", Severity::major, "set", cleaned_late},
    {"inspection-missing", Severity::minor, "pack", inspection_missing},
    {"no-inside-indicator", Severity::major, "pack", no_inside_indicator},
    {"lot-expired", Severity::major, "lot", lot_expired},
    {"lot-unknown", Severity::minor, "lot", lot_unknown},
};

}  // namespace

std::span<const Rule> cleaning_rules() { return rules; }

}  // namespace trayproof::gaps
