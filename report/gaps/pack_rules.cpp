// Rules about what was used: indicators, inspections, implants, withdrawals.
#include "ledger/events/kinds.h"
#include "report/gaps/biologicals.h"
#include "report/gaps/families.h"
#include "report/gaps/looking.h"

namespace trayproof::gaps {
namespace {

bool wants_inside_indicator(const sop::Sop& sop, const Pack& pack) {
  return sop.inside_indicator && holds_text(*sop.inside_indicator, pack.counted_wrap());
}

// The readings of a pack's own indicator for the load that counts at a use.
struct OwnReadings {
  Told read = Told::no;
  Told failed = Told::no;
  bool only_unreadable = true;
  Seqs seqs;
};
OwnReadings own_readings(const Use& use) {
  OwnReadings out;
  for (const Indicator* one : use.pack->indicators) {
    const std::string_view where = one->record->text("where");
    if (where == "outside" || where == "challenge") continue;
    const Told mine = same_loads(one->loads, use.loads);
    if (mine == Told::no) continue;
    out.read = out.read || mine;
    if (one->result == "fail") out.failed = out.failed || mine;
    if (one->result == "pass" || one->result == "fail") out.only_unreadable = false;
    out.seqs.push_back(one->record->seq);
  }
  return out;
}

// indicator-unread: a pack was used, the SOP wants an indicator inside, and no reading of it is recorded.
// Why: the strip inside is the only evidence from where the instruments lay. Example: strip thrown away with the wrap.
// Limits: packing.inside_indicator. Source: WHO surgical safety checklist, from memory.
void indicator_unread(const Facts& facts, Looked& looked) {
  for (const Use& use : facts.uses) {
    const sop::Sop& sop = facts.sop_at(use.time);
    if (!sop.inside_indicator) looked.not_stated(use.time.at);
    if (!wants_inside_indicator(sop, *use.pack)) continue;
    looked.say(!own_readings(use).read, use.time.at, use.pack->id, [&] {
      Gap out{.at = use.time.at, .rests_on = {use.procedure->seq}};
      if (use.pack->made() != nullptr) out.beside = {use.pack->made()->seq};
      return out;
    });
  }
}

// failed-indicator-used: the pack's own indicator was read as fail, and the pack was used.
// Why: the instruments may not have been reached by the steam. Example: strip pale, delivery could not wait.
// Limits: none; packing.inside_indicator tells for which packs a reading is expected. Source: common practice, no
// source.
void failed_indicator_used(const Facts& facts, Looked& looked) {
  for (const Use& use : facts.uses) {
    const OwnReadings own = own_readings(use);
    const bool expected = wants_inside_indicator(facts.sop_at(use.time), *use.pack) ||
                          (use.pack->packed != nullptr && use.pack->packed->has("indicator_lot"));
    if (own.read == Told::no && !expected) continue;
    const Told gap = own.failed == Told::no && own.only_unreadable ? Told::open : own.failed;
    looked.say(gap, use.time.at, use.pack->id, [&] {
      Gap out{.at = use.time.at, .found = "fail", .rests_on = own.seqs};
      out.rests_on.push_back(use.procedure->seq);
      return out;
    });
  }
}

// What an event says of an implant: nothing said is none, and marked as not recorded it cannot be told.
Told says_implant(const Record* event) {
  if (event == nullptr) return Told::no;
  if (const auto flag = event->flag("implant")) return told(*flag);
  const Mark mark = event->mark("implant");
  return mark == Mark::none ? Told::no : mark == Mark::not_done ? Told::yes : Told::open;
}
Told has_implant(const Use& use) { return says_implant(use.procedure) || says_implant(use.pack->set_definition); }

// Whether no valid negative biological of a load was read before that time.
Told unproven(const Facts& facts, const Load& load, const When& time) {
  Told proven = Told::no;
  for (const Biological* one : load.biologicals) {
    proven = proven || (valid_negative(facts, *one) && !later(one->record->at, time));
  }
  return !proven;
}

// implant-before-biological: an implant, or a set with implants, was used before a valid negative biological of its
// load was read. Why: an implant cannot be taken back. Example: plate set used the same evening, spore test read next
// day. Limits: indicators.biological_hours. Source: CDC 2008 guideline.
void implant_before_biological(const Facts& facts, Looked& looked) {
  std::map<const Record*, std::vector<const Use*>> by_procedure;
  for (const Use& use : facts.uses) {
    if (has_implant(use) != Told::no) by_procedure[use.procedure].push_back(&use);
  }
  for (const auto& [procedure, uses] : by_procedure) {
    Told gap = Told::no;
    const Use* reached = uses.front();
    for (const Use* use : uses) {
      const auto here_unproven = [&](const Load& load) { return unproven(facts, load, use->time); };
      const Told here = has_implant(*use) && (use->loads.empty() ? Told::open : of_relevant(*use, here_unproven));
      if (here == Told::yes && gap != Told::yes) reached = use;
      gap = gap || here;
    }
    looked.say(gap, reached->time.at, reached->procedure_id, [&] {
      Gap out{.at = reached->time.at, .found = reached->pack->id, .beside = seqs_of(*reached)};
      out.rests_on = grounds_of(*reached, [&](const Load& load) {
        return unproven(facts, load, reached->time) == Told::yes ? std::optional(Seqs{}) : std::nullopt;
      });
      if (says_implant(procedure) != Told::yes) presuppose(out, reached->pack->set_definition->seq);
      for (const Biological* one : reached->loads.front()->biologicals) out.beside.push_back(one->record->seq);
      return out;
    });
  }
}

double items_missing(const Record& event) {
  double sum = 0;
  const json::Value* missing = event.value("missing");
  if (missing == nullptr || !missing->is_list()) return 0;
  for (const json::Value& item : missing->items()) sum += item.number_at("count").value_or(1);
  return sum;
}

// short-on-return: items were missing when a set came back.
// Why: what is missing may be in the patient. Example: one artery forceps short after a caesarean.
// Limits: none. Source: WHO surgical safety checklist (sign-out count), from memory.
void short_on_return(const Facts& facts, Looked& looked) {
  for (const Record& returned : facts.of("set-returned")) {
    Told gap = told(items_missing(returned) > 0);
    // `missing` absent = not counted; marked not-done = the count that is due was not made.
    if (!returned.has("missing")) gap = returned.mark("missing") == Mark::not_done ? Told::yes : Told::open;
    looked.say(gap, returned.at.at, returned.text("set"), [&] {
      return Gap{.at = returned.at.at, .found = items_missing(returned), .limit = 0, .rests_on = {returned.seq}};
    });
  }
}

// incomplete-used: the last inspection of the pack's turn found something, and the pack was used.
// Why: the fault was known and went to the table. Example: scissors damaged, packed all the same.
// Limits: none. Source: common practice, no source.
void incomplete_used(const Facts& facts, Looked& looked) {
  for (const Use& use : facts.uses) {
    if (use.pack->received != nullptr) continue;
    looked.say(inspection_found_something(*use.pack), use.time.at, use.pack->id, [&] {
      const Record& inspected = *last_inspection(*use.pack).record;
      Gap out{.at = use.time.at, .rests_on = {inspected.seq, use.pack->packed->seq, use.procedure->seq}};
      std::string found;
      for (const std::string_view one : inspected.texts("found"))
        found += (found.empty() ? "" : ", ") + std::string(one);
      out.found = found.empty() ? "incomplete" : found;
      return out;
    });
  }
}

// soiled-then-packed: the last inspection of the pack's turn found it soiled, and it went into a load.
// Why: soil keeps steam away from what lies under it. Example: blood in the box joint, no second cleaning.
// Limits: none. Source: common practice, no source.
void soiled_then_packed(const Facts& facts, Looked& looked) {
  for (const auto& [id, pack] : facts.packs) {
    if (pack.loads.empty() || pack.received != nullptr) continue;
    const Load& load = first_load(pack);
    looked.say(inspection_found(pack, "soiled"), load.start().at, id, [&, &one = pack] {
      Gap out{.at = load.start().at, .found = "soiled", .rests_on = held_seqs(load, one), .beside = load.seqs()};
      out.rests_on.push_back(last_inspection(one).record->seq);
      out.rests_on.push_back(one.packed->seq);
      return out;
    });
  }
}

// critical-only-disinfected: a set that enters sterile tissue was used after a load that only disinfects.
// Why: spores survive it. Example: a delivery set boiled because the autoclave was down.
// Limits: the set's own `contact`. Source: Spaulding's classes, CDC 2008 guideline.
void critical_only_disinfected(const Facts& facts, Looked& looked) {
  for (const Use& use : facts.uses) {
    if (use.pack->received != nullptr) continue;
    const Record* set = use.pack->set_definition;
    const bool contact_open = set == nullptr || !set->has("contact");
    if (!contact_open && set->text("contact") != "critical") continue;
    if (contact_open || use.loads.empty()) {
      looked.cannot_tell(use.time.at, use.pack->id);
      continue;
    }
    const auto disinfected = [](const Load& load) {
      return load.method.empty() ? Told::open : told(events::only_disinfects(load.method));
    };
    looked.say(of_relevant(use, disinfected), use.time.at, use.pack->id, [&] {
      Gap out{.at = use.time.at, .found = use.loads.front()->method, .beside = seqs_of(use)};
      out.rests_on = grounds_of(
          use, [&](const Load& load) { return disinfected(load) == Told::yes ? std::optional(Seqs{}) : std::nullopt; });
      out.rests_on.push_back(set->seq);
      return out;
    });
  }
}

// method-not-allowed: a load processes a set by a method that is not among the methods of the set.
// Why: the set is damaged, or not reached. Example: a glass syringe set in dry heat where only steam is named.
// Limits: the set's own `methods`. Source: makers' instructions; common practice, no source.
void method_not_allowed(const Facts& facts, Looked& looked) {
  for (const Load* load : facts.loads_by_start) {
    if (load->method.empty()) continue;
    bool any = false;
    Told gap = Told::no;
    const Pack* wrong = nullptr;
    for (const Pack* pack : load->packs) {
      const Record* set = pack->set_definition;
      const Mark mark = set == nullptr ? Mark::none : set->mark("methods");
      if (set == nullptr || (set->count("methods") == 0 && mark == Mark::none)) continue;
      any = true;
      const auto methods = set->texts("methods");
      const Told here = mark == Mark::not_known
                            ? Told::open
                            : told(std::find(methods.begin(), methods.end(), load->method) == methods.end());
      if (here == Told::yes && wrong == nullptr) wrong = pack;
      gap = gap || here;
    }
    if (!any) continue;
    looked.say(gap, load->start().at, load->id, [&] {
      return Gap{.at = load->start().at,
                 .found = load->method,
                 .limit = wrong->set,
                 .rests_on = {load->started->seq, wrong->packed->seq, wrong->set_definition->seq}};
    });
  }
}

// used-after-withdrawal: a pack was used after it had been withdrawn, with no load in between.
// Why: somebody took it out of use for a reason. Example: withdrawn as torn, left on the trolley, used at night.
// Limits: none. Source: common practice, no source.
void used_after_withdrawal(const Facts& facts, Looked& looked) {
  for (const Use& use : facts.uses) {
    Told gap = Told::no;
    const Record* withdrawal = nullptr;
    std::vector<Seqs> grounds;
    for (const Move& move : use.pack->moves) {
      if (!move.is("pack-withdrawn")) continue;
      Told again = Told::no;
      for (const Load* load : use.pack->loads) {
        again = again || (!later(move.record->at, load->start()) && !later(load->end(), use.time));
      }
      const Told here = later(use.time, move.record->at) && !again;
      gap = gap || here;
      if (here != Told::yes) continue;
      withdrawal = move.record;
      grounds.push_back({move.record->seq, use.procedure->seq});
    }
    looked.say(gap, use.time.at, use.pack->id, [&] {
      return Gap{.at = use.time.at,
                 .found = std::string(withdrawal->text("why_withdrawn")),
                 .rests_on = earliest_ground(grounds),
                 .beside = {withdrawal->seq}};
    });
  }
}

// used-under-open-recall: a pack was used while an open recall listed it.
// Why: the recall knew, and the ward did not. Example: fetched from the shelf an hour after the recall was opened.
// Limits: none. Source: common practice, no source.
void used_under_open_recall(const Facts& facts, Looked& looked) {
  for (const Use& use : facts.uses) {
    Told gap = Told::no;
    const Record* recall = nullptr;
    std::vector<Seqs> grounds;
    for (const auto& [id, one] : facts.recalls) {
      if (one.drill || one.opened == nullptr) continue;
      Told open = later(use.time, one.opened->at);
      if (one.closed != nullptr) open = open && !later(use.time, one.closed->at);
      for (const Load* load : use.pack->loads) {
        open = open && !(!later(one.opened->at, load->start()) && !later(load->end(), use.time));
      }
      if (open == Told::no) continue;
      const Told here = open && (!one.answer_read ? Told::open : told(one.packs.contains(use.pack->id)));
      gap = gap || here;
      if (here != Told::yes) continue;
      recall = one.opened;
      grounds.push_back({one.opened->seq, use.procedure->seq});
    }
    looked.say(gap, use.time.at, use.pack->id, [&] {
      return Gap{.at = use.time.at,
                 .found = std::string(recall->text("recall")),
                 .rests_on = earliest_ground(grounds),
                 .beside = {recall->seq}};
    });
  }
}

Told ended_wet(const Load& load) {
  if (load.ended == nullptr) return events::is_steam(load.method) ? Told::open : Told::no;
  if (const auto dry = load.ended->flag("dry")) return told(!*dry);
  if (load.ended->mark("dry") == Mark::not_done) return Told::yes;
  return events::is_steam(load.method) || load.ended->mark("dry") == Mark::not_known ? Told::open : Told::no;
}

// wet-pack-used: its load ended wet, or the pack was found wet, and it was used.
// Why: a wet wrap lets germs through. Example: drum wet at unloading, used an hour later.
// Limits: none; where `dry` is not recorded for steam it cannot be told. Source: EN 285 and HTM 2010, from memory.
void wet_pack_used(const Facts& facts, Looked& looked) {
  for (const Use& use : facts.uses) {
    Told wet = use.loads.empty() ? Told::no : of_relevant(use, ended_wet);
    std::vector<Seqs> grounds;
    if (wet == Told::yes) {
      grounds.push_back(grounds_of(use, [](const Load& load) {
        return ended_wet(load) == Told::yes ? std::optional(load.seqs()) : std::nullopt;
      }));
    }
    Seqs seqs = seqs_of(use);
    if (last_inspection(*use.pack).record != nullptr && inspection_found(*use.pack, "wet") == Told::yes) {
      wet = Told::yes;
      seqs.push_back(last_inspection(*use.pack).record->seq);
      grounds.push_back({use.procedure->seq, use.pack->packed->seq, seqs.back()});
    }
    for (const Move& move : use.pack->moves) {
      if (!move.is("pack-withdrawn") || move.record->text("why_withdrawn") != "wet") continue;
      const Told here = same_loads(move.loads, use.loads);
      wet = wet || here;
      seqs.push_back(move.record->seq);
      if (here != Told::yes) continue;
      grounds.push_back({use.procedure->seq, move.record->seq});
      for (const Load* load : use.loads) add(grounds.back(), held_seqs(*load, *use.pack));
    }
    if (use.loads.empty() && wet == Told::no) continue;
    looked.say(wet, use.time.at, use.pack->id, [&] {
      return Gap{.at = use.time.at, .found = "wet", .rests_on = earliest_ground(grounds), .beside = seqs};
    });
  }
}

// outside-record-missing: a pack made elsewhere came without its lot or its use-by date.
// Why: a recall by the maker could not reach it. Example: sutures taken over from another ward.
// Limits: none. Source: common practice, no source.
void outside_record_missing(const Facts& facts, Looked& looked) {
  for (const Record& received : facts.of("pack-received")) {
    looked.say(absent(received, "lot") || absent(received, "use_by"), received.at.at, received.text("pack"), [&] {
      return Gap{
          .at = received.at.at, .found = received.has("lot") ? "no use-by" : "no lot", .rests_on = {received.seq}};
    });
  }
}

constexpr Rule rules[] = {
    {"indicator-unread", Severity::major, "pack", indicator_unread},
    {"failed-indicator-used", Severity::critical, "pack", failed_indicator_used},
    {"implant-before-biological", Severity::critical, "procedure", implant_before_biological},
    {"short-on-return", Severity::critical, "set", short_on_return},
    {"incomplete-used", Severity::major, "pack", incomplete_used},
    {"soiled-then-packed", Severity::critical, "pack", soiled_then_packed},
    {"critical-only-disinfected", Severity::critical, "pack", critical_only_disinfected},
    {"method-not-allowed", Severity::critical, "load", method_not_allowed},
    {"used-after-withdrawal", Severity::critical, "pack", used_after_withdrawal},
    {"used-under-open-recall", Severity::critical, "pack", used_under_open_recall},
    {"wet-pack-used", Severity::critical, "pack", wet_pack_used},
    {"outside-record-missing", Severity::major, "pack", outside_record_missing},
};

}  // namespace

std::span<const Rule> pack_rules() { return rules; }

}  // namespace trayproof::gaps
