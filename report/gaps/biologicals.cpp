#include "report/gaps/biologicals.h"

#include <algorithm>

#include "ledger/base/number.h"
#include "report/gaps/looking.h"

namespace trayproof::gaps {
namespace {

// For how long a reading was incubated at most: since it was placed, as the reading says or the placing that it names.
struct SincePlaced {
  Elapsed time;
  std::optional<std::int64_t> seq;  // of the placing
};
std::optional<SincePlaced> since_placed(const Biological& reading) {
  const Record& read = *reading.record;
  if (const auto placed = read.time("placed")) return SincePlaced{elapsed(*placed, read.at), std::nullopt};
  const Record* first = nullptr;
  for (const Record* one : reading.load->placed) {
    const bool named = read.text("biological").empty() || one->text("biological") == read.text("biological");
    if (named && (first == nullptr || one->at.at < first->at.at)) first = one;
  }
  if (first == nullptr) return std::nullopt;
  return SincePlaced{elapsed(first->at, read.at), first->seq};
}

}  // namespace

Void void_of(const Facts& facts, const Biological& reading) {
  const Record& read = *reading.record;
  Void out;
  const Seqs lot = reading.lot_seq ? Seqs{*reading.lot_seq} : Seqs{};
  const auto fault = [&](Told here, std::string_view what, const Seqs& needs) {
    if (here == Told::yes && out.is != Told::yes) {
      out.found = what;
      out.rests_on = needs;
    }
    out.is = out.is || here;
  };
  if (read.text("result").empty()) fault(absent(read, "result"), "not-done", {});
  const std::string_view control = read.text("control");
  const Told no_control = !control.empty()                         ? told(control != "growth")
                          : read.mark("control") == Mark::not_done ? Told::yes
                                                                   : Told::open;
  fault(no_control, control.empty() ? "not-run" : control, {});
  if (const auto expires = parse_date(reading.lot_expires)) {
    fault(later(read.at, When::exactly(facts.end_of(*expires))), reading.lot_expires, lot);
  }
  if (const auto wanted = hours_wanted(facts, reading)) {
    const Seqs hours_of = reading.hours_wanted_by_lot ? lot : Seqs{};
    const auto hours = read.number("hours");
    if (hours) {
      fault(told(*hours < *wanted), json::plain(*hours), hours_of);
    } else if (read.mark("hours") == Mark::not_done) {
      fault(Told::yes, "not-done", hours_of);
    } else {
      // It cannot have been incubated for longer than since it was placed; for how long it was is not recorded.
      const auto since = since_placed(reading);
      const bool early = since && shorter(since->time, *wanted, hour_ms) == Told::yes;
      Seqs needs = hours_of;
      if (early && since->seq) needs.push_back(*since->seq);
      const std::int64_t most_ms = since ? since->time.most_ms : 0;
      fault(early ? Told::yes : Told::open, rounded(static_cast<double>(most_ms) / hour_ms, 2), needs);
    }
  }
  return out;
}

Told valid_negative(const Facts& facts, const Biological& reading) {
  const Load& load = *reading.load;
  const bool grew = std::any_of(load.biologicals.begin(), load.biologicals.end(),
                                [](const Biological* one) { return one->record->text("result") == "positive"; });
  return told(!grew) && !void_of(facts, reading).is && load.complete() && !load.rejected();
}

namespace {

// A load with a biological that counts as a test: not void, whatever its result.
Told has_valid_biological(const Facts& facts, const Load& load) {
  Told answer = Told::no;
  for (const Biological* reading : load.biologicals) answer = answer || !void_of(facts, *reading).is;
  return answer;
}

// Placed, and its reading is not overdue yet.
bool is_pending(const Facts& facts, const Load& load) {
  for (const Record* placed : load.placed) {
    if (!load.biologicals.empty()) return false;
    const Record* lot = facts.lot(placed->text("lot"), placed->at.at);
    std::optional<double> hours = lot == nullptr ? std::nullopt : lot->number("read_hours");
    if (!hours) hours = facts.sop_at(placed->at).biological_hours;
    if (!hours || later(When::exactly(facts.now), after(placed->at, *hours + 24, hour_ms)) != Told::yes) return true;
  }
  return false;
}

}  // namespace

Told within_days(const BiologicalStretch& stretch, const BiologicalStretch::Of& load) {
  return stretch.tested ? !load.late : !load.late && Told::open;
}

std::vector<BiologicalStretch> biological_stretches(const Facts& facts, const Equipment& equipment) {
  std::vector<BiologicalStretch> out;
  bool unsure = false;  // a load of the stretch so far may yet turn out to have a valid one
  for (const Run* run : equipment.runs) {
    const sop::Sop& sop = facts.sop_at(run->start);
    if (!sop.biological_days || !sop.biological_methods) continue;
    if (!holds_text(*sop.biological_methods, run->method)) continue;
    // A load that is not at hand has none, or lies outside the stretches of the period.
    const Load* load = facts.load(run->load);
    const Told valid = load == nullptr ? Told::no : has_valid_biological(facts, *load);
    if (valid == Told::yes || out.empty()) {
      out.push_back({.base = run, .tested = valid == Told::yes, .loads = {}});
      unsure = false;
    }
    unsure = unsure || valid == Told::open || (valid == Told::no && load != nullptr && is_pending(facts, *load));
    const Told late = longer(elapsed(out.back().base->start, run->start), *sop.biological_days, day_ms);
    out.back().loads.push_back({run, *sop.biological_days, unsure ? late && Told::open : late});
  }
  return out;
}

}  // namespace trayproof::gaps
