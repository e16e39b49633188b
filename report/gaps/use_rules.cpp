// Rules about use: procedures, and whether what was used had been through a released load and was still good.
#include "report/gaps/families.h"
#include "report/gaps/use_by.h"

namespace trayproof::gaps {
namespace {

// procedure-without-pack: a procedure lists no pack and is not served by a disposable kit.
// Why: without the pack nothing leads from the patient to the load. Example: a night delivery with `packs: []`.
// Limits: none. Source: common practice, no source.
void procedure_without_pack(const Facts& facts, Looked& looked) {
  for (const Record& done : facts.of("procedure-done")) {
    const bool disposable = done.flag("disposable").value_or(false);
    Told gap = told(!disposable && done.count("packs") == 0);
    if (gap == Told::yes && (done.mark("packs") == Mark::not_known || done.mark("disposable") == Mark::not_known))
      gap = Told::open;
    looked.say(gap, done.at.at, done.text("procedure"), [&] { return Gap{.at = done.at.at, .rests_on = {done.seq}}; });
  }
}

// patient-not-recorded: a procedure that used packs names no patient.
// Why: a recall finds the procedure and nobody to tell. Example: the number was left out in the night.
// Limits: none. Source: common practice, no source.
void patient_not_recorded(const Facts& facts, Looked& looked) {
  for (const Record& done : facts.of("procedure-done")) {
    const bool packs_open = done.mark("packs") == Mark::not_known;
    if (done.count("packs") == 0 && !packs_open) continue;
    looked.say(absent(done, "patient") && (packs_open ? Told::open : Told::yes), done.at.at, done.text("procedure"),
               [&] { return Gap{.at = done.at.at, .rests_on = {done.seq}}; });
  }
}

// Whether a procedure whose packs are not known could have used a pack between two times.
Told may_be_used_unseen(const Facts& facts, const When& from, const When& until) {
  for (const When& time : facts.blind_procedures) {
    if (later(from, time) != Told::yes && later(time, until) != Told::yes) return Told::open;
  }
  return Told::no;
}

// opened-without-use: a pack was opened, and then neither used in time, nor withdrawn, nor processed again.
// Why: either a use is missing from the record, or an open pack lies about. Example: opened for a delivery that was a
// caesarean after all. Limits: records.unused_hours. Source: common practice, no source.
void opened_without_use(const Facts& facts, Looked& looked) {
  for (const auto& [id, pack] : facts.packs) {
    for (const Move& opened : pack.moves) {
      if (!opened.is("pack-opened")) continue;
      const When& at = opened.record->at;
      const auto limit = facts.sop_at(at).records_unused_hours;
      if (!limit) {
        looked.not_stated(at.at);
        continue;
      }
      const When deadline = after(at, *limit, hour_ms);
      Told settled = may_be_used_unseen(facts, at, deadline);
      for (const Use* use : pack.uses) {
        const Told since = pack.is_drum() ? !later(at, use->time) : Told::yes;
        settled = settled || (since && !later(use->time, deadline));
      }
      for (const Move& move : pack.moves) {
        if (move.is("pack-withdrawn")) settled = settled || !later(at, move.record->at);
      }
      for (const Load* load : pack.loads) settled = settled || !later(at, load->start());
      looked.say(!settled && later(When::exactly(facts.now), deadline), at.at, id,
                 [&] { return Gap{.at = deadline.at, .limit = *limit, .rests_on = {opened.record->seq}}; });
    }
  }
}

// Whether a load with unknown packs could be what processed a pack before a use.
bool may_be_processed_unseen(const Facts& facts, const Use& use) {
  return std::any_of(facts.unseen_loads.begin(), facts.unseen_loads.end(), [&](const When& end) {
    if (later(end, use.time) == Told::yes) return false;
    return use.pack->made() == nullptr || later(use.pack->made()->at, end) != Told::yes;
  });
}

// used-without-load: no load that holds the pack ended before the use.
// Why: nothing in the record says that it was processed. Example: used at 22:00, its load ran the next morning.
// Limits: none. Source: common practice, no source.
void used_without_load(const Facts& facts, Looked& looked) {
  for (const Use& use : facts.uses) {
    if (is_from_elsewhere(*use.pack)) continue;
    const bool unsure = use.loads.size() == 1 && later(use.loads.front()->end(), use.time) == Told::open;
    Told gap = unsure ? Told::open : told(use.loads.empty());
    if (gap == Told::yes && may_be_processed_unseen(facts, use)) gap = Told::open;
    looked.say(gap, use.time.at, use.pack->id, [&] {
      Gap out{.at = use.time.at, .rests_on = {use.procedure->seq}};
      if (use.pack->made() != nullptr) out.beside = {use.pack->made()->seq};
      return out;
    });
  }
}

Told is_not_reached(const Load& load) {
  return told(std::any_of(load.curves.begin(), load.curves.end(),
                          [](const Curve* curve) { return curve->verdict == "not-reached"; }));
}

// Why a load failed, each with the entry that says so.
struct Fault {
  std::string_view word;
  std::int64_t seq = 0;
};
std::vector<Fault> faults_of(const Load& load) {
  std::vector<Fault> out;
  if (load.rejected() == Told::yes) out.push_back({"rejected", load.decisions.back()->seq});
  if (load.complete() == Told::no) out.push_back({"not complete", load.ended->seq});
  for (const Curve* curve : load.curves) {
    if (curve->verdict == "not-reached") out.push_back({"not-reached", curve->judged->seq});
  }
  return out;
}

// used-from-failed-load: the relevant load was rejected, was not complete, or its curve did not reach the limits.
// Why: what was used may not have been processed. Example: cut short by the power, unloaded and used.
// Limits: none of its own; the curve was judged by the SOP. Source: common practice, no source.
void used_from_failed_load(const Facts& facts, Looked& looked) {
  for (const Use& use : facts.uses) {
    if (use.loads.empty()) continue;
    const auto failed = [](const Load& load) { return load.rejected() || !load.complete() || is_not_reached(load); };
    looked.say(of_relevant(use, failed), use.time.at, use.pack->id, [&] {
      Gap out{.at = use.time.at, .beside = seqs_of(use)};
      out.found = std::string(faults_of(*use.loads.front()).front().word);
      out.rests_on = grounds_of(use, [](const Load& load) -> std::optional<Seqs> {
        std::vector<Seqs> each;
        for (const Fault& fault : faults_of(load)) each.push_back({fault.seq});
        return each.empty() ? std::nullopt : std::optional(earliest_ground(each));
      });
      for (const Fault& fault : faults_of(*use.loads.front())) out.beside.push_back(fault.seq);
      return out;
    });
  }
}

// The rejection that took back a release before that time, if there was one.
Seqs taken_back_seqs(const Load& load, const When& time) {
  bool released = false;
  Seqs out;
  for (const Record* decision : load.decisions) {
    if (later(decision->at, time) == Told::yes) continue;
    if (decision->kind->name == "load-released") {
      released = true;
      out.clear();
    } else if (released && out.empty()) {
      out = {decision->seq};
    }
  }
  return out;
}

// used-before-release: used before its load was released, or the load never was.
// Why: a release is the moment at which somebody looked at the evidence. Example: taken warm from the drum, released
// later. Limits: release.methods (other loads are not released). Source: common practice, no source.
void used_before_release(const Facts& facts, Looked& looked) {
  for (const Use& use : facts.uses) {
    if (use.loads.empty() || is_from_elsewhere(*use.pack)) continue;
    const auto& methods = facts.sop_at(use.time).release_methods;
    const auto released_here = [&](const Load* load) {
      return load->method.empty() || holds_text(methods, load->method);
    };
    if (std::none_of(use.loads.begin(), use.loads.end(), released_here)) continue;
    const auto unreleased = [&](const Load& load) {
      if (load.method.empty()) return Told::open;
      return released_here(&load) ? !load.released_by(use.time) : Told::no;
    };
    looked.say(of_relevant(use, unreleased), use.time.at, use.pack->id, [&] {
      Gap out{.at = use.time.at, .beside = seqs_of(use)};
      out.rests_on = grounds_of(use, [&](const Load& load) {
        return unreleased(load) == Told::yes ? std::optional(taken_back_seqs(load, use.time)) : std::nullopt;
      });
      for (const Record* decision : use.loads.front()->decisions) {
        out.beside.push_back(decision->seq);
        const bool first_release = out.found.is_null() && decision->kind->name == "load-released";
        if (first_release && decision->at.at > use.time.at) out.found = local(facts, decision->at.at);
      }
      return out;
    });
  }
}

// used-after-use-by: used later than the date it was stored with, else than its load's end and the shelf life of its
// wrap. Why: after that nobody vouches for the wrap. Example: packed on the 1st, seven days' life, used on the 9th.
// Limits: shelf.days, shelf.disinfected_days. Source: one week wrapped, Jhpiego/IARC manual, p. 126.
void used_after_use_by(const Facts& facts, Looked& looked) {
  for (const Use& use : facts.uses) {
    const UseBy limit = use_by(facts, *use.pack, use.loads, use.time);
    if (limit.not_stated) looked.not_stated(use.time.at);
    if (limit.ends.empty() && !limit.unknown) continue;
    looked.say(is_past(limit, use.time), use.time.at, use.pack->id, [&] {
      Gap out{.at = use.time.at, .found = local(facts, use.time.at), .limit = local(facts, limit.ends.front().at)};
      out.rests_on = limit.seqs;
      out.rests_on.push_back(use.procedure->seq);
      return out;
    });
  }
}

// The first opening of a drum since the load that counts at a use.
struct Opening {
  const Record* record = nullptr;
  Told before = Told::no;  // whether there is one not later than the use
};
Opening first_opening(const Use& use) {
  Opening first;
  for (const Move& move : use.pack->moves) {
    if (!move.is("pack-opened")) continue;
    const Told counts = !later(move.record->at, use.time) && same_loads(move.loads, use.loads);
    if (counts == Told::no) continue;
    if (first.record == nullptr) first.record = move.record;
    first.before = first.before || counts;
  }
  return first;
}

// drum-open-too-long: a drum used later than its first opening and the hours that the SOP gives.
// Why: each opening lets the room in. Example: opened on Monday morning, used on Tuesday afternoon.
// Limits: shelf.drum_open_hours. Source: 24 h, Jhpiego/EngenderHealth and other manuals, from memory.
void drum_open_too_long(const Facts& facts, Looked& looked) {
  for (const Use& use : facts.uses) {
    if (!use.pack->is_drum()) continue;
    const auto limit = facts.sop_at(use.time).shelf_drum_open_hours;
    if (!limit) {
      looked.not_stated(use.time.at);
      continue;
    }
    const Opening opening = first_opening(use);
    if (opening.before != Told::yes) {
      looked.cannot_tell(use.time.at, use.pack->id);
      continue;
    }
    looked.say(longer(elapsed(opening.record->at, use.time), *limit, hour_ms), use.time.at, use.pack->id, [&] {
      return Gap{.at = use.time.at,
                 .found = between(opening.record->at, use.time, hour_ms),
                 .limit = *limit,
                 .rests_on = {opening.record->seq, use.procedure->seq}};
    });
  }
}

// drum-opening-missing: a drum was used, and no opening before that use is recorded.
// Why: without it nobody can say how long it stood open. Example: the first delivery of the night opened it and wrote
// nothing. Limits: none. Source: common practice, no source.
void drum_opening_missing(const Facts& facts, Looked& looked) {
  for (const Use& use : facts.uses) {
    if (!use.pack->is_drum()) continue;
    looked.say(!first_opening(use).before, use.time.at, use.pack->id, [&] {
      return Gap{.at = use.time.at, .rests_on = {use.procedure->seq, use.pack->packed->seq}};
    });
  }
}

// pack-used-twice: a pack other than a drum stands in two or more procedures.
// Why: one packing serves one patient; two uses are two patients on one set, or a mistyped id. Example: two deliveries
// an hour apart with the same label. Limits: none. Source: common practice, no source.
void pack_used_twice(const Facts& facts, Looked& looked) {
  for (const auto& [id, pack] : facts.packs) {
    if (pack.uses.empty() || pack.is_drum()) continue;
    looked.say(told(pack.uses.size() > 1), pack.uses.front()->time.at, id, [&, &uses = pack.uses] {
      Gap out{.at = uses[1]->time.at, .found = static_cast<double>(uses.size()), .limit = 1};
      out.rests_on = {uses[0]->procedure->seq, uses[1]->procedure->seq};
      for (const Use* use : uses) out.beside.push_back(use->procedure->seq);
      return out;
    });
  }
}

bool is_opening(const Move& move) {
  return move.is("pack-opened") || (move.is("pack-returned") && move.record->text("state") == "opened");
}

// Whether a load that holds the pack ended after the one time and not later than the other.
Told load_between(const std::vector<const Load*>& loads, const When& from, const When& until) {
  Told answer = Told::no;
  for (const Load* load : loads) answer = answer || (later(load->end(), from) && !later(load->end(), until));
  return answer;
}

// opened-then-shelved: a pack was stored or issued after it had been opened, with no load in between.
// Why: the next user takes it for closed. Example: opened, not needed, put back on the shelf.
// Limits: none. Source: audit tools of Australia and New Zealand, seen in secondary pages.
void opened_then_shelved(const Facts& facts, Looked& looked) {
  for (const auto& [id, pack] : facts.packs) {
    for (const Move& move : pack.moves) {
      if (!move.is("pack-stored") && !move.is("pack-issued")) continue;
      Told gap = Told::no;
      const Record* opening = nullptr;
      std::vector<Seqs> grounds;
      for (const Move& before : pack.moves) {
        if (!is_opening(before)) continue;
        const Told here =
            later(move.record->at, before.record->at) && !load_between(pack.loads, before.record->at, move.record->at);
        gap = gap || here;
        if (here != Told::yes) continue;
        opening = before.record;
        grounds.push_back({before.record->seq, move.record->seq});
      }
      looked.say(gap, move.record->at.at, id, [&] {
        return Gap{.at = move.record->at.at,
                   .found = local(facts, opening->at.at),
                   .rests_on = earliest_ground(grounds),
                   .beside = {opening->seq}};
      });
    }
  }
}

// set-used-twice: two packs of one set were used with no load of that set between the uses.
// Why: the second patient got instruments that were not processed, or a load is missing from the record. Example: two
// packs of DEL-03 on one day, one load. Limits: none. Source: CDC 2008 guideline.
void set_used_twice(const Facts& facts, Looked& looked) {
  ById<std::vector<const Use*>> by_set;
  ById<std::vector<const Load*>> loads;
  for (const Use& use : facts.uses) {
    if (!use.pack->set.empty()) by_set[use.pack->set].push_back(&use);
  }
  for (const auto& [id, pack] : facts.packs) {
    if (!pack.set.empty()) add(loads[pack.set], pack.loads);
  }
  for (const auto& [set, uses] : by_set) {
    for (std::size_t i = 1; i < uses.size(); ++i) {
      const Use& before = *uses[i - 1];
      const Use& use = *uses[i];
      if (before.pack == use.pack) continue;
      Told gap = !load_between(loads[set], before.time, use.time);
      if (gap == Told::yes && may_be_processed_unseen(facts, use)) gap = Told::open;
      if (!before.pack->told_apart || !use.pack->told_apart) gap = Told::open;
      looked.say(gap, use.time.at, set, [&] {
        return Gap{.at = use.time.at,
                   .found = local(facts, before.time.at),
                   .rests_on = {before.procedure->seq, use.procedure->seq}};
      });
    }
  }
}

constexpr Rule rules[] = {
    {"procedure-without-pack", Severity::major, "procedure", procedure_without_pack},
    {"patient-not-recorded", Severity::major, "procedure", patient_not_recorded},
    {"opened-without-use", Severity::minor, "pack", opened_without_use},
    {"used-without-load", Severity::critical, "pack", used_without_load},
    {"used-from-failed-load", Severity::critical, "pack", used_from_failed_load},
    {"used-before-release", Severity::critical, "pack", used_before_release},
    {"used-after-use-by", Severity::major, "pack", used_after_use_by},
    {"drum-open-too-long", Severity::major, "pack", drum_open_too_long},
    {"drum-opening-missing", Severity::major, "pack", drum_opening_missing},
    {"pack-used-twice", Severity::critical, "pack", pack_used_twice},
    {"opened-then-shelved", Severity::critical, "pack", opened_then_shelved},
    {"set-used-twice", Severity::critical, "set", set_used_twice},
};

}  // namespace

std::span<const Rule> use_rules() { return rules; }

}  // namespace trayproof::gaps
