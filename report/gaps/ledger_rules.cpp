// Rules about the ledger, its SOP editions, its recalls and what is on the shelf at the end.
#include <tuple>

#include "report/gaps/families.h"
#include "report/gaps/looking.h"
#include "report/gaps/recall_work.h"
#include "report/gaps/use_by.h"

namespace trayproof::gaps {
namespace {

// clock-wrong: the clock was known to be wrong in some span.
// Why: every time written in it is in doubt. Example: battery empty, the machine woke up in 1970.
// Limits: records.clock_minutes, when it was noted. Source: common practice, no source.
void clock_wrong(const Facts& facts, Looked& looked) {
  for (const Record& noted : facts.of("clock-noted")) {
    looked.gap({.id = facts.ledger,
                .at = noted.at.at,
                .found = std::string(noted.text("now")),
                .limit = std::string(noted.text("was")),
                .rests_on = {noted.seq}});
  }
}

// records-lost: a copy was put back, and it is known that a later state had existed.
// Why: what was recorded in between is gone. Example: disk failed, backup of last week.
// Limits: none. Source: common practice, no source.
void records_lost(const Facts& facts, Looked& looked) {
  for (const Record& restored : facts.of("ledger-restored")) {
    looked.say(told(restored.has("lost_after")), restored.at.at, facts.ledger,
               [&] { return Gap{.at = restored.at.at, .rests_on = {restored.seq}}; });
  }
}

// Every stretch between two that are kept (the first from the ledger's creation), and the last one up to now.
template <typename LimitOf>
void look_at_stretches(const Facts& facts, Looked& looked, std::string_view kind, LimitOf limit_of) {
  When before = When::exactly(facts.created);
  Seqs seqs = {1};
  const auto look = [&](const When& next) {
    const auto limit = limit_of(facts.sop_at(before));
    if (!limit) return looked.not_stated(next.at);
    const When deadline = after(before, *limit, day_ms);
    looked.say(later(next, deadline), next.at, facts.ledger, [&] {
      return Gap{.at = deadline.at, .found = between(before, next, day_ms), .limit = *limit, .rests_on = seqs};
    });
  };
  for (const Record& kept : facts.of(kind)) {
    look(kept.at);
    before = kept.at;
    seqs = {kept.seq};
  }
  look(When::exactly(facts.now));
}

// checkpoint-overdue: no checkpoint was kept elsewhere within the days.
// Why: only a copy outside shows that the book was not replaced. Example: the paper page ends in May.
// Limits: records.checkpoint_days. Source: common practice, no source.
void checkpoint_overdue(const Facts& facts, Looked& looked) {
  look_at_stretches(facts, looked, "checkpoint-kept", [](const sop::Sop& sop) { return sop.records_checkpoint_days; });
}

// backup-overdue: no backup was made within the days.
// Why: one disk is no record. Example: the stick is in somebody's bag. Limits: records.backup_days.
// Source: common practice, no source.
void backup_overdue(const Facts& facts, Looked& looked) {
  look_at_stretches(facts, looked, "backup-made", [](const sop::Sop& sop) { return sop.records_backup_days; });
}

// sop-backdated: an edition was put in force before it was recorded (the first excepted).
// Why: limits would change what had already been judged. Example: hold shortened "as of last month".
// Limits: none. Source: common practice, no source.
void sop_backdated(const Facts& facts, Looked& looked) {
  const auto& all = facts.editions.all();
  for (std::size_t i = 1; i < all.size(); ++i) {
    looked.say(told(all[i].backdated), all[i].recorded, std::to_string(all[i].seq), [&] {
      return Gap{.at = all[i].recorded,
                 .found = local(facts, all[i].in_force),
                 .limit = local(facts, all[i].recorded),
                 .rests_on = {all[i].seq}};
    });
  }
}

// As the eye confuses them.
std::string folded(std::string_view id) {
  std::string out;
  for (const char c : id) {
    const char lower = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    out += lower == '0' ? 'o' : lower == '1' || lower == 'i' ? 'l' : lower;
  }
  return out;
}

// ids-alike: ids of the same kind of thing that differ only by case, 0 and O, or 1, I and l. The later one is the
// subject. Why: two halves of one thing's history. Example: load L-0O7 beside L-007. Limits: none. Source: common
// practice, no source.
void ids_alike(const Facts& facts, Looked& looked) {
  std::map<std::pair<std::string_view, std::string>, std::vector<const Mention*>> groups;
  for (const Mention& one : facts.first_mentions) groups[{one.thing, folded(one.id)}].push_back(&one);
  for (auto& [key, alike] : groups) {
    std::stable_sort(alike.begin(), alike.end(), [](const Mention* a, const Mention* b) { return a->seq < b->seq; });
    for (const Mention* one : alike) {
      looked.say(told(one != alike.front()), one->at, one->id, [&] {
        return Gap{
            .at = one->at, .found = alike.front()->id, .rests_on = {alike.front()->seq, one->seq}, .kind = one->thing};
      });
    }
  }
}

// corrected-after-recall: a correction changes the list of packs or procedures of a recall that had been opened.
// Why: people were called, or not called, by the list as it was. Example: a pack moved to another load the day after.
// Limits: none; drills do not count. Source: common practice, no source.
void corrected_after_recall(const Facts& facts, Looked& looked) {
  for (const RecallChange& change : facts.recall_changes) {
    const Record& opened = *facts.recalls.find(change.recall)->second.opened;
    looked.say(change.changed, opened.at.at, change.recall, [&] {
      return Gap{.at = change.correction->at.at,
                 .found = change.correction->seq,
                 .rests_on = {opened.seq, change.correction->seq}};
    });
  }
}

// What puts a pack on the shelf, if it is there at `until`.
const Move* on_shelf(const Pack& pack, const When& until) {
  const Move* stored = nullptr;
  for (const Move& move : pack.moves) {
    if (later(move.record->at, until) == Told::yes) continue;
    const bool closed = move.is("pack-returned") && move.record->text("state") == "closed";
    stored = move.is("pack-stored") || closed ? &move : nullptr;
  }
  if (stored == nullptr) return nullptr;
  for (const Use* use : pack.uses) {
    if (later(use->time, stored->record->at) != Told::no && later(use->time, until) != Told::yes) return nullptr;
  }
  for (const Load* load : pack.loads) {
    if (later(load->start(), stored->record->at) != Told::no && later(load->start(), until) != Told::yes)
      return nullptr;
  }
  return stored;
}

// expired-on-shelf: past its use-by, and still on the shelf at the end of the period.
// Why: it will be taken in the night. Example: pouch of March in May.
// Limits: as for used-after-use-by. Source: as there.
void expired_on_shelf(const Facts& facts, Looked& looked) {
  const When until = When::exactly(std::min(facts.until, facts.now));
  for (const auto& [id, pack] : facts.packs) {
    const Move* stored = on_shelf(pack, until);
    if (stored == nullptr) continue;
    const UseBy limit = use_by(facts, pack, stored->loads, until);
    if (limit.not_stated) looked.not_stated(until.at);
    if (limit.ends.empty() && !limit.unknown) continue;
    looked.say(is_past(limit, until), until.at, id, [&] {
      Gap out{.at = limit.ends.front().at, .limit = local(facts, limit.ends.front().at), .rests_on = limit.seqs};
      out.rests_on.push_back(stored->record->seq);
      return out;
    });
  }
}

// Whether packs of a recall are still to be found, and what shows it beside the opening.
struct ToFind {
  Told is = Told::no;
  Seqs rests_on;
};
// Without its list: packs that were issued, on the shelf or held when it was opened, and that nobody has answered for.
Told to_be_found_by_counts(const Facts& facts, const std::string& id, const Recall& recall) {
  const json::Value* counts = recall.opened->value("counts");
  double waiting = 0;
  for (const std::string_view standing : {"issued", "shelf", "held"})
    waiting += counts->number_at(standing).value_or(0);
  if (waiting == 0) return Told::no;
  const auto& answers = facts.of("recall-answered");
  const bool answered = std::any_of(answers.begin(), answers.end(),
                                    [&](const Record& one) { return one.text("recall") == id && one.has("pack"); });
  return answered ? Told::open : Told::yes;
}
ToFind to_be_found(const Facts& facts, const std::string& id, const Recall& recall) {
  if (!recall.asks) return {to_be_found_by_counts(facts, id, recall), {}};
  const auto& entries = recall.asks->to_find;
  if (entries.empty()) return {};
  const std::int64_t first = *std::min_element(entries.begin(), entries.end());
  return {Told::yes, first == 0 ? Seqs{} : Seqs{first}};
}

// recall-open: packs of a recall are still to be found, or it was open longer than the days. An answer that a pack was
// not found leaves it to be found.
// Why: a pack that is not found is used. Example: three drums of the list never seen again.
// Limits: recall.days_max. Source: common practice, no source.
void recall_open(const Facts& facts, Looked& looked) {
  for (const auto& [id, recall] : facts.recalls) {
    if (recall.drill || recall.opened == nullptr) continue;
    const Record& opened = *recall.opened;
    const auto deadline = recall_deadline(facts, recall);
    const bool closed = recall.closed != nullptr && !(recall.asks && recall.asks->open_again);
    Told overdue = Told::no;
    if (deadline) overdue = later(closed ? recall.closed->at : When::exactly(facts.now), *deadline);
    const ToFind missing = to_be_found(facts, id, recall);
    looked.say(overdue || missing.is, opened.at.at, id, [&] {
      Gap out{.rests_on = {opened.seq}};
      if (const auto limit = facts.sop_at(opened.at).recall_days_max) out.limit = *limit;
      if (missing.is == Told::yes) {
        out.at = opened.at.at;
        out.found = "packs still to be found";
        out.says = "to-find";
        add(out.rests_on, missing.rests_on);
      } else {
        out.at = deadline->at;
        out.found = "open too long";
      }
      return out;
    });
  }
}

// sop-unconfirmed: an edition is neither confirmed in its text nor by a person.
// Why: shipped limits are a start, not the facility's. Example: the labour-room edition as it came.
// Limits: sop.confirmed. Source: common practice, no source.
void sop_unconfirmed(const Facts& facts, Looked& looked) {
  for (const sop::Edition& edition : facts.editions.all()) {
    bool confirmed = edition.sop.confirmed;
    for (const Record& one : facts.of("sop-confirmed"))
      confirmed = confirmed || one.number("sop") == static_cast<double>(edition.seq);
    looked.say(told(!confirmed), edition.recorded, std::to_string(edition.seq),
               [&] { return Gap{.at = edition.recorded, .found = edition.sop.title, .rests_on = {edition.seq}}; });
  }
}

// The same day and hour so many months later; the month's last day where it has no such day.
Instant months_later(const Facts& facts, Instant from, double months) {
  CivilTime civil = facts.zone.civil(from);
  const int all = civil.date.year * 12 + civil.date.month - 1 + static_cast<int>(months);
  civil.date.year = all / 12;
  civil.date.month = all % 12 + 1;
  while (!is_date(civil.date)) --civil.date.day;
  const auto instants = facts.zone.instants(civil);
  return instants.empty() ? facts.end_of(civil.date) : instants.front();
}

// drill-overdue: neither a recall nor a drill within the months.
// Why: a list that nobody has ever worked through will not work. Example: no drill since the ledger began.
// Limits: recall.drill_months. Source: common practice, no source.
void drill_overdue(const Facts& facts, Looked& looked) {
  std::vector<std::tuple<Instant, std::int64_t>> held;
  for (const auto& [id, recall] : facts.recalls) {
    if (recall.opened != nullptr) held.emplace_back(recall.opened->at.at, recall.opened->seq);
  }
  std::sort(held.begin(), held.end());
  Instant before = facts.created;
  std::int64_t seq = 1;
  const auto look = [&](Instant next) {
    const auto limit = facts.sop_at(before).recall_drill_months;
    if (!limit) return looked.not_stated(next);
    const Instant deadline = months_later(facts, before, *limit);
    looked.say(told(next > deadline), next, facts.ledger,
               [&] { return Gap{.at = deadline, .limit = *limit, .rests_on = {seq}}; });
  };
  for (const auto& [at, opened] : held) {
    look(at);
    before = at;
    seq = opened;
  }
  look(facts.now);
}

constexpr Rule rules[] = {
    {"clock-wrong", Severity::major, "ledger", clock_wrong},
    {"records-lost", Severity::critical, "ledger", records_lost},
    {"checkpoint-overdue", Severity::minor, "ledger", checkpoint_overdue},
    {"backup-overdue", Severity::major, "ledger", backup_overdue},
    {"sop-backdated", Severity::major, "sop", sop_backdated},
    {"ids-alike", Severity::minor, "any", ids_alike},
    {"corrected-after-recall", Severity::critical, "recall", corrected_after_recall},
    {"expired-on-shelf", Severity::minor, "pack", expired_on_shelf},
    {"recall-open", Severity::major, "recall", recall_open},
    {"sop-unconfirmed", Severity::minor, "sop", sop_unconfirmed},
    {"drill-overdue", Severity::minor, "facility", drill_overdue},
};

}  // namespace

std::span<const Rule> ledger_rules() { return rules; }

}  // namespace trayproof::gaps
