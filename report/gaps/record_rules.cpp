// Rules about the record itself: when it was entered, in what order, and what was changed in it.
#include <deque>
#include <set>
#include <span>

#include "report/gaps/families.h"
#include "report/gaps/late.h"
#include "report/gaps/looking.h"

namespace trayproof::gaps {
namespace {

// entered-late: an event was entered (`entered`, else `recorded`) later than it happened, by more than the SOP allows;
// minor over the one limit, major over the other. Why: what is written from memory is written well. Example: Friday's
// loads typed on Monday. Limits: records.late_hours, records.very_late_hours. Back records older than 30 days before
// the ledger's creation are not looked at but counted. Source: common practice, no source.
void entered_late(const Facts& facts, Looked& looked) {
  for (const auto& [kind, records] : facts.records) {
    for (const Record& one : records) {
      if (!can_be_late(*one.kind)) break;
      const Told old = is_old_back_record(facts, one);
      if (old == Told::yes) continue;
      const sop::Sop& sop = facts.sop_at(one.at);
      const auto late = sop.records_late_hours;
      const auto very = sop.records_very_late_hours;
      if (!late && !very) {
        looked.not_stated(one.at.at);
        continue;
      }
      const Elapsed time = elapsed(one.at, When::exactly(entered_at(one)));
      const Told is_very = very ? longer(time, *very, hour_ms) : Told::no;
      Told gap = late ? longer(time, *late, hour_ms) || is_very : is_very;
      if (gap == Told::yes && (old == Told::open || (is_very == Told::open))) gap = Told::open;
      looked.say(gap, one.at.at, std::to_string(one.origin), [&] {
        const bool major = is_very == Told::yes;
        const double found = between(one.at, When::exactly(entered_at(one)), hour_ms);
        return Gap{.at = one.at.at,
                   .found = found,
                   .limit = major ? *very : *late,
                   .rests_on = {one.seq},
                   .severity = major ? Severity::major : Severity::minor};
      });
    }
  }
}

// burst-entry: so many events of one person were entered within so few minutes, and happened over so many hours. What a
// person entered on one day is one thing looked at; it is decided by the day's last entry.
// Why: a shift written down at its end, or before a visit. Example: thirty entries in four minutes for the whole night.
// Limits: records.burst_count, burst_minutes, burst_span_hours. Source: common practice, no source.
class Bursts {
 public:
  Bursts(const Facts& facts, Looked& looked) : facts_(facts), looked_(looked) {}

  // In the order in which that person entered them.
  void look(std::span<const Entered> events) {
    window_.clear();
    earliest_.clear();
    latest_.clear();
    inside_ = false;
    for (const Entered& one : events) {
      const CivilDate day = facts_.day(one.entered);
      if (last_ != nullptr && day != day_) close();
      day_ = day;
      const sop::Sop& sop = facts_.sop_at(one.entered);
      if (!sop.records_burst_count || !sop.records_burst_minutes || !sop.records_burst_span_hours) {
        looked_.not_stated(one.entered);
        continue;
      }
      last_ = &one;
      add(one, *sop.records_burst_minutes);
      // Surely this far apart: from the latest that the first could mean to the earliest that the last could.
      const std::int64_t span = earliest_.rbegin()->ms - latest_.begin()->ms;
      const bool burst = static_cast<double>(window_.size()) >= *sop.records_burst_count &&
                         longer({span, span}, *sop.records_burst_span_hours, hour_ms) == Told::yes;
      if (burst && !inside_) say(one, *sop.records_burst_count);
      inside_ = burst;
    }
    if (last_ != nullptr) close();
  }

 private:
  void add(const Entered& one, double minutes) {
    const auto is_past = [&](const Entered& other) {
      const std::int64_t time = one.entered.ms - other.entered.ms;
      return longer({time, time}, minutes, minute_ms) != Told::no;
    };
    while (!window_.empty() && is_past(*window_.front())) {
      earliest_.erase(earliest_.find(window_.front()->earliest));
      latest_.erase(latest_.find(window_.front()->latest));
      window_.pop_front();
    }
    window_.push_back(&one);
    earliest_.insert(one.earliest);
    latest_.insert(one.latest);
  }

  void say(const Entered& full, double limit) {
    any_ = true;
    Gap out{
        .id = std::string(full.by), .at = full.entered, .found = static_cast<double>(window_.size()), .limit = limit};
    for (const Entered* one : window_) out.rests_on.push_back(one->seq);
    looked_.gap(std::move(out));
  }

  void close() {
    if (!any_) looked_.holds(last_->entered);
    last_ = nullptr;
    any_ = false;
  }

  const Facts& facts_;
  Looked& looked_;
  std::deque<const Entered*> window_;
  std::multiset<Instant> earliest_;
  std::multiset<Instant> latest_;
  const Entered* last_ = nullptr;  // of the day
  CivilDate day_;
  bool any_ = false;  // a burst began on that day
  bool inside_ = false;
};

void burst_entry(const Facts& facts, Looked& looked) {
  Bursts bursts(facts, looked);
  for (auto from = facts.entered.begin(); from != facts.entered.end();) {
    const auto until = std::find_if(from, facts.entered.end(), [&](const Entered& one) { return one.by != from->by; });
    bursts.look({from, until});
    from = until;
  }
}

// What of one thing cannot have happened when it is said to have: each event by itself, those of one moment together.
class Order {
 public:
  // `second` is said to have happened before what has to come first.
  void check(const Record& first, const Record& second, const When& second_at, std::string found) {
    note(later(first.at, second_at), second_at.at, {first.seq, second.seq}, std::move(found));
  }
  void note(Told impossible, Instant at, Seqs seqs, std::string found) {
    any_ = any_ || impossible;
    if (impossible != Told::yes) return;
    Occasion& one = occasions_[at];
    if (one.grounds.empty()) one.found = std::move(found);
    one.grounds.push_back(std::move(seqs));
  }

  void tell(Looked& looked, std::string_view kind, const std::string& id, Instant otherwise) const {
    if (any_ == Told::no) return looked.holds(otherwise);
    if (any_ == Told::open) return looked.cannot_tell(otherwise, id, kind);
    for (const auto& [at, one] : occasions_) {
      Gap out{.id = id, .at = at, .found = one.found, .rests_on = earliest_ground(one.grounds), .kind = kind};
      for (const Seqs& seqs : one.grounds) add(out.beside, seqs);
      looked.gap(std::move(out));
    }
  }

 private:
  struct Occasion {
    std::string found;
    std::vector<Seqs> grounds;
  };
  std::map<Instant, Occasion> occasions_;
  Told any_ = Told::no;
};

void look_at_pack(const Pack& pack, Looked& looked) {
  const Record* made = pack.made();
  const Record* stored = nullptr;  // the first time
  bool opened = false;
  for (const Move& move : pack.moves) {
    if (move.is("pack-stored") && stored == nullptr) stored = move.record;
    opened = opened || move.is("pack-opened");
  }
  if (made == nullptr && (stored == nullptr || !opened)) return;
  Order order;
  if (made != nullptr) {
    for (const Load* load : pack.loads) {
      if (load->started != nullptr) order.check(*made, *load->started, load->start(), "loaded before packed");
    }
    for (const Use* use : pack.uses) order.check(*made, *use->procedure, use->time, "used before packed");
    for (const Move& move : pack.moves)
      order.check(*made, *move.record, move.record->at, std::string(move.record->kind->name) + " before packed");
  }
  for (const Move& move : pack.moves) {
    if (stored != nullptr && move.is("pack-opened"))
      order.check(*stored, *move.record, move.record->at, "opened before stored");
  }
  order.tell(looked, "pack", pack.id, (made != nullptr ? made : stored)->at.at);
}

void look_at_load(const Load& load, Looked& looked) {
  if (load.started == nullptr) return;
  Order order;
  const Record* prepared = load.solution == nullptr ? nullptr : load.solution->prepared;
  if (prepared != nullptr) order.check(*prepared, *load.started, load.start(), "run before its solution was prepared");
  if (load.ended != nullptr) order.check(*load.started, *load.ended, load.ended->at, "ended before started");
  for (const Record* decision : load.decisions)
    order.check(*load.started, *decision, decision->at, "decided before started");
  for (const Biological* one : load.biologicals)
    order.check(*load.started, *one->record, one->record->at, "read before loaded");
  for (const Indicator* one : load.indicators) {
    if (one->loads.size() == 1) order.check(*load.started, *one->record, one->record->at, "read before loaded");
  }
  // `load-changed` is dated after the end.
  for (const Record* change : load.changes) {
    if (load.ended == nullptr) continue;
    order.note(later(change->at, load.ended->at), change->at.at, {load.ended->seq, change->seq},
               "changed after its end");
  }
  order.tell(looked, "load", load.id, load.start().at);
}

// order-impossible: things are said to have happened in an order that cannot be; each such event is an occasion.
// Why: a wrong time makes every deadline wrong. Example: used at 10:00, packed at 10:30.
// Limits: none. Source: common practice, no source.
void order_impossible(const Facts& facts, Looked& looked) {
  for (const auto& [id, pack] : facts.packs) look_at_pack(pack, looked);
  for (const Load* load : facts.loads_by_start) look_at_load(*load, looked);
}

// corrected-alone: a correction that no second person countersigned in time.
// Why: a record that one person can change alone proves little. Example: load time changed the evening before a visit.
// Limits: records.correct_alone_hours. Source: EU GMP annex 11, from memory.
void corrected_alone(const Facts& facts, Looked& looked) {
  for (const Record& correction : facts.of("corrected")) {
    const auto limit = facts.sop_at(correction.at).records_correct_alone_hours;
    if (!limit) {
      looked.not_stated(correction.at.at);
      continue;
    }
    const When deadline = after(correction.at, *limit, hour_ms);
    Told seconded = Told::no;
    for (const Record* one : facts.seconds.of(correction.seq)) seconded = seconded || !later(one->at, deadline);
    looked.say(!seconded && later(When::exactly(facts.now), deadline), correction.at.at, std::to_string(correction.seq),
               [&] { return Gap{.at = deadline.at, .limit = *limit, .rests_on = {correction.seq}}; });
  }
}

constexpr Rule rules[] = {
    {"entered-late", Severity::minor, "event", entered_late},
    {"burst-entry", Severity::major, "person", burst_entry},
    {"order-impossible", Severity::major, "pack", order_impossible},
    {"corrected-alone", Severity::major, "event", corrected_alone},
};

}  // namespace

std::span<const Rule> record_rules() { return rules; }

}  // namespace trayproof::gaps
