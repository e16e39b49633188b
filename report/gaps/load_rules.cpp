// Rules about loads as a row in the book: cut short, overlapping, counted, empty, decided, released.
#include <set>

#include "ledger/events/kinds.h"
#include "report/gaps/families.h"
#include "report/gaps/looking.h"

namespace trayproof::gaps {
namespace {

// cycle-cut-short: a load was not complete, and some pack of it is neither in a later load nor withdrawn.
// Why: that pack looks like the others on the shelf. Example: power cut in the tenth minute, drums put away.
// Limits: none. Source: common practice, no source.
void cycle_cut_short(const Facts& facts, Looked& looked) {
  for (const Load* load : facts.loads_by_start) {
    if (load->ended == nullptr) continue;
    Told left = load->packs_unknown() ? Told::open : Told::no;
    Seqs packs;
    std::string first;
    for (const Pack* pack : load->packs) {
      Told settled = Told::no;
      for (const Load* other : pack->loads) {
        if (other != load) settled = settled || later(other->start(), load->start());
      }
      for (const Move& move : pack->moves) {
        if (move.is("pack-withdrawn")) settled = settled || !later(load->start(), move.record->at);
      }
      left = left || !settled;
      if (settled == Told::no && first.empty()) first = pack->id;
      if (settled == Told::no && pack->made() != nullptr) packs.push_back(pack->made()->seq);
    }
    looked.say(!load->complete() && left, load->end().at, load->id,
               [&] { return Gap{.at = load->end().at, .found = first, .rests_on = load->seqs(), .beside = packs}; });
  }
}

// loads-overlap: a load started on a sterilizer while another one was running on it.
// Why: one of the two times, or one of the two loads, is not true. Example: 10:00 to 11:00 and 10:30 to 11:30.
// Limits: none. Source: common practice, no source.
void loads_overlap(const Facts& facts, Looked& looked) {
  for (const auto& [id, equipment] : facts.equipment) {
    if (equipment.sort == "soak-basin") continue;
    const Run* longest = nullptr;  // of the loads before, the one that ended last
    const Run* previous = nullptr;
    for (const Run* run : equipment.runs) {
      Told gap = longest == nullptr ? Told::no : later(longest->end, run->start);
      // Nobody knows how long a load without an end was running.
      if (gap == Told::no && previous != nullptr && !previous->end_seq) gap = Told::open;
      looked.say(gap, run->start.at, run->load, [&] {
        Gap out{.at = run->start.at,
                .found = longest->load,
                .limit = local(facts, longest->end.at),
                .rests_on = longest->seqs()};
        out.rests_on.push_back(run->start_seq);
        return out;
      });
      if (longest == nullptr || run->end.at > longest->end.at) longest = run;
      previous = run;
    }
  }
}

// One number of a machine's counter.
struct CounterStep {
  When at;
  std::int64_t cycle = 0;
  std::string_view kind;  // of the subject
  std::string id;
  std::int64_t seq = 0;
  bool unknown = false;  // the number was marked as not known
};

// The loads whose number is recorded at their start.
std::set<std::string_view> counted_loads(const Facts& facts) {
  std::set<std::string_view> out;
  for (const Run& run : facts.runs) {
    if (run.cycle) out.insert(run.load);
  }
  return out;
}

std::vector<CounterStep> counter_of(const Equipment& equipment, const std::set<std::string_view>& counted) {
  std::vector<CounterStep> out;
  for (const Run* run : equipment.runs) {
    if (run->cycle || run->cycle_unknown)
      out.push_back({run->start, run->cycle.value_or(0), "load", run->load, run->start_seq, run->cycle_unknown});
  }
  for (const Record* check : equipment.checks) {
    const auto cycle = check->number("cycle");
    if (!cycle) continue;
    // A test that names its load is the same cycle.
    if (counted.contains(check->text("load"))) continue;
    CounterStep step{check->at, static_cast<std::int64_t>(*cycle), "event", std::to_string(check->origin), check->seq,
                     false};
    if (!check->text("load").empty()) {
      step.kind = "load";
      step.id = check->text("load");
    }
    out.push_back(step);
  }
  std::stable_sort(out.begin(), out.end(), [](const CounterStep& a, const CounterStep& b) {
    return a.at.at != b.at.at ? a.at.at < b.at.at : a.cycle < b.cycle;
  });
  return out;
}

template <typename IsGap>
void look_at_counters(const Facts& facts, Looked& looked, IsGap is_gap) {
  const auto counted = counted_loads(facts);
  for (const auto& [id, equipment] : facts.equipment) {
    const CounterStep* before = nullptr;
    bool blind = false;
    const auto steps = counter_of(equipment, counted);
    for (const CounterStep& step : steps) {
      if (step.unknown) {
        blind = true;
        continue;
      }
      if (before != nullptr) {
        Told gap = told(is_gap(before->cycle, step.cycle));
        const bool unsure = blind || (later(step.at, before->at) != Told::yes && step.at.earliest != step.at.latest);
        if (gap == Told::yes && unsure) gap = Told::open;
        looked.say(gap, step.at.at, step.id, [&] {
          return Gap{.at = step.at.at,
                     .found = step.cycle,
                     .limit = before->cycle,
                     .rests_on = {before->seq, step.seq},
                     .kind = step.kind};
        });
      }
      before = &step;
      blind = false;
    }
  }
}

// counter-skipped: the machine's counter jumps by more than one from one recorded cycle to the next.
// Why: a cycle ran that the record does not know. Example: 4510, then 4512.
// Limits: none. Source: common practice, no source.
void counter_skipped(const Facts& facts, Looked& looked) {
  look_at_counters(facts, looked, [](std::int64_t before, std::int64_t now) { return now - before > 1; });
}

// counter-backward: the machine's counter runs backward from one recorded cycle to the next.
// Why: a changed board, a mistyped number, or two loads in the wrong order. Example: 4510, then 4501.
// Limits: none. Source: common practice, no source.
void counter_backward(const Facts& facts, Looked& looked) {
  look_at_counters(facts, looked, [](std::int64_t before, std::int64_t now) { return now < before; });
}

// pack-in-two-loads: loads that overlap in time share a pack; each that started while another one ran is an occasion.
// Why: a pack is in one place; one of the two lists is wrong. Example: the same label scanned for both autoclaves.
// Limits: none. Source: common practice, no source.
void pack_in_two_loads(const Facts& facts, Looked& looked) {
  for (const auto& [id, pack] : facts.packs) {
    if (pack.loads.empty()) continue;
    auto loads = pack.loads;
    std::stable_sort(loads.begin(), loads.end(), [](const Load* a, const Load* b) {
      return a->start().at != b->start().at ? a->start().at < b->start().at : a->id < b->id;
    });
    Told any = Told::no;
    std::set<Instant> told_at;
    for (auto second = loads.begin(); second != loads.end(); ++second) {
      const auto overlaps = [&](const Load* one) {
        return later(one->end(), (*second)->start()) && !later(one->start(), (*second)->end());
      };
      for (auto one = loads.begin(); one != second; ++one) any = any || overlaps(*one);
      const auto first =
          std::find_if(loads.begin(), second, [&](const Load* one) { return overlaps(one) == Told::yes; });
      if (first == second || !told_at.insert((*second)->start().at).second) continue;
      Gap out{.id = id, .at = (*second)->start().at, .found = (*first)->id, .limit = (*second)->id};
      for (const Load* load : {*first, *second}) {
        add(out.rests_on, held_seqs(*load, pack));
        add(out.beside, load->seqs());
      }
      add(out.rests_on, (*first)->seqs());
      looked.gap(std::move(out));
    }
    if (any == Told::no) looked.holds(loads.front()->start().at);
    if (any == Told::open) looked.cannot_tell(loads.front()->start().at, id);
  }
}

// load-empty: a load with no packs and no biological or air-removal test.
// Why: either its list is missing, or nobody knows why it ran. Example: the packs were never scanned.
// Limits: none. Source: common practice, no source.
void load_empty(const Facts& facts, Looked& looked) {
  std::set<std::string_view> tested_loads;
  std::set<std::pair<std::string_view, double>> tested_cycles;  // of a machine
  for (const Record& check : facts.of("equipment-checked")) {
    if (check.text("check") != "air-removal") continue;
    const auto cycle = check.number("cycle");
    if (check.has("load")) tested_loads.insert(check.text("load"));
    if (!check.has("load") && cycle) tested_cycles.emplace(check.text("equipment"), *cycle);
  }
  for (const Load* load : facts.loads_by_start) {
    if (load->started == nullptr) continue;
    const auto cycle = load->started->number("cycle");
    const bool tested = !load->placed.empty() || !load->biologicals.empty() || tested_loads.contains(load->id) ||
                        (cycle && tested_cycles.contains({load->equipment, *cycle}));
    Told gap = told(load->packs.empty() && !tested);
    if (gap == Told::yes && load->packs_unknown()) gap = Told::open;
    looked.say(gap, load->start().at, load->id, [&] {
      Gap out{.at = load->start().at, .rests_on = {load->started->seq}};
      for (const Record* change : load->changes) {
        if (change->count("removed") != 0) out.rests_on.push_back(change->seq);
      }
      return out;
    });
  }
}

// load-undecided: neither released nor rejected within the hours after its end.
// Why: packs that nobody decided on go on the shelf by themselves. Example: night load, no release in the morning.
// Limits: release.hours_max, release.methods. Source: common practice, no source.
void load_undecided(const Facts& facts, Looked& looked) {
  for (const Load* load : facts.loads_by_start) {
    const sop::Sop& sop = facts.sop_at(load->end());
    if (!load->method.empty() && !holds_text(sop.release_methods, load->method)) continue;
    if (!sop.release_hours_max) {
      looked.not_stated(load->end().at);
      continue;
    }
    if (load->method.empty()) {
      looked.cannot_tell(load->end().at, load->id);
      continue;
    }
    const When deadline = after(load->end(), *sop.release_hours_max, hour_ms);
    Told settled = Told::no;
    Seqs decisions;
    for (const Record* decision : load->decisions) {
      settled = settled || !later(decision->at, deadline);
      decisions.push_back(decision->seq);
    }
    looked.say(!settled && later(When::exactly(facts.now), deadline), load->end().at, load->id, [&] {
      return Gap{.at = deadline.at, .limit = *sop.release_hours_max, .rests_on = load->seqs(), .beside = decisions};
    });
  }
}

bool is_released_here(const Facts& facts, const Load& load, const When& at) {
  return holds_text(facts.sop_at(at).release_methods, load.method);
}

template <typename Look>
void each_release(const Facts& facts, Look look) {
  for (const Load* load : facts.loads_by_start) {
    for (const Record* decision : load->decisions) {
      if (decision->kind->name == "load-released" && is_released_here(facts, *load, decision->at))
        look(*load, *decision);
    }
  }
}

// released-too-early: a steam or dry-heat load was released before its end and the minutes for cooling.
// Why: hot packs draw moisture, and germs with it, through the wrap. Example: released five minutes after the end.
// Limits: release.cooling_minutes, release.methods. Source: common practice, no source.
void released_too_early(const Facts& facts, Looked& looked) {
  each_release(facts, [&](const Load& load, const Record& release) {
    if (!events::is_steam(load.method) && load.method != "dry-heat") return;
    const auto limit = facts.sop_at(release.at).release_cooling_minutes;
    if (!limit) return looked.not_stated(release.at.at);
    // No load ends before it starts: where no end is recorded, too early after the start is too early.
    const Told since_start = shorter(elapsed(load.start(), release.at), *limit, minute_ms);
    Told gap = shorter(elapsed(load.end(), release.at), *limit, minute_ms);
    if (load.ended == nullptr && gap == Told::no) gap = Told::open;
    looked.say(gap, release.at.at, load.id, [&] {
      Gap out{.at = release.at.at,
              .found = between(load.end(), release.at, minute_ms),
              .limit = *limit,
              .rests_on = {begun_seq(load), release.seq},
              .beside = load.seqs()};
      if (since_start != Told::yes) add(out.rests_on, load.seqs());
      return out;
    });
  });
}

// The last leaving of a person before that time, and whether it still held then: nobody enrolled them again in between.
struct Gone {
  Told is = Told::no;
  std::optional<std::int64_t> seq;
};
Gone gone_at(const Facts& facts, std::string_view person, const When& time) {
  Gone out;
  for (const Record& left : facts.of("person-left")) {
    if (left.text("person") != person) continue;
    Told here = later(time, left.at);
    for (const Record& one : facts.of("person-enrolled")) {
      if (one.text("person") == person) here = here && !(later(one.at, left.at) && !later(one.at, time));
    }
    if (here == Told::yes) out.seq = left.seq;
    out.is = out.is || here;
  }
  return out;
}

// released-by-wrong-role: the person who released has no role that the SOP allows, or had left.
// Why: a release asks for somebody who can read the evidence. Example: the attendant of the night.
// Limits: release.roles. Source: common practice, no source.
void released_by_wrong_role(const Facts& facts, Looked& looked) {
  each_release(facts, [&](const Load& load, const Record& release) {
    const auto& allowed = facts.sop_at(release.at).release_roles;
    if (!allowed) return looked.not_stated(release.at.at);
    const Record* enrolled = nullptr;
    for (const Record& one : facts.of("person-enrolled")) {
      if (one.text("person") == release.by && (enrolled == nullptr || one.at.at <= release.at.at)) enrolled = &one;
    }
    Told gap = enrolled == nullptr || enrolled->mark("roles") == Mark::not_known ? Told::open : Told::yes;
    if (enrolled != nullptr) {
      for (const std::string_view role : enrolled->texts("roles")) {
        if (holds_text(*allowed, role)) gap = Told::no;
      }
    }
    const Gone gone = gone_at(facts, release.by, release.at);
    looked.say(gap || gone.is, release.at.at, load.id, [&] {
      Gap out{.at = release.at.at, .found = release.by, .rests_on = {release.seq}};
      // The roles alone are enough, and so is the leaving; the roles are cited all the same.
      if (gap != Told::yes && gone.seq) out.rests_on.push_back(*gone.seq);
      if (gap == Told::yes) out.rests_on.push_back(enrolled->seq);
      if (enrolled != nullptr) out.beside.push_back(enrolled->seq);
      if (gone.seq) out.beside.push_back(*gone.seq);
      presuppose(out, begun_seq(load));
      return out;
    });
  });
}

// Whether somebody else stood by the release. One who is named and has not countersigned is only claimed.
Told has_second(const Facts& facts, const Record& release) {
  if (facts.seconds.state(release) == people::Second::confirmed) return Told::yes;
  const std::string_view second = release.text("second");
  return second.empty() || second == release.by ? Told::no : Told::open;
}

// released-by-packer: the SOP wants two people, and who packed or ran the load released it alone.
// Why: nobody sees their own slips. Example: one nurse packed, ran and released.
// Limits: release.second_person. Source: common practice, no source.
void released_by_packer(const Facts& facts, Looked& looked) {
  each_release(facts, [&](const Load& load, const Record& release) {
    const auto& wanted = facts.sop_at(release.at).release_second_person;
    if (!wanted) return looked.not_stated(release.at.at);
    if (!*wanted) return;
    Seqs own;
    for (const Record* one : {load.started, load.ended}) {
      if (one != nullptr && one->by == release.by) own.push_back(one->seq);
    }
    for (const Pack* pack : load.packs) {
      if (pack->packed != nullptr && pack->packed->by == release.by) own.push_back(pack->packed->seq);
    }
    looked.say(told(!own.empty()) && !has_second(facts, release), release.at.at, load.id, [&] {
      Gap out{.at = release.at.at, .found = release.by, .rests_on = own};
      out.rests_on.push_back(release.seq);
      return out;
    });
  });
}

constexpr Rule rules[] = {
    {"cycle-cut-short", Severity::critical, "load", cycle_cut_short},
    {"loads-overlap", Severity::major, "load", loads_overlap},
    {"counter-skipped", Severity::major, "load", counter_skipped},
    {"counter-backward", Severity::major, "load", counter_backward},
    {"pack-in-two-loads", Severity::major, "pack", pack_in_two_loads},
    {"load-empty", Severity::minor, "load", load_empty},
    {"load-undecided", Severity::major, "load", load_undecided},
    {"released-too-early", Severity::major, "load", released_too_early},
    {"released-by-wrong-role", Severity::major, "load", released_by_wrong_role},
    {"released-by-packer", Severity::minor, "load", released_by_packer},
};

}  // namespace

std::span<const Rule> load_rules() { return rules; }

}  // namespace trayproof::gaps
