#include "report/evidence/belonging.h"

#include <algorithm>

#include "ledger/base/limits.h"
#include "ledger/crypto/hash.h"
#include "ledger/links/trace.h"
#include "ledger/recall/recall.h"
#include "ledger/words/words.h"

namespace trayproof::evidence {
namespace {

constexpr std::string_view kinds[] = {"procedure", "load", "recall", "pack", "set", "solution"};

class Gatherer {
 public:
  Gatherer(links::Links& tables, const sop::Editions& editions, Belonging& into)
      : tables_(tables), editions_(editions), into_(into) {}

  Result<void> run() {
    TRY(add_story());
    for (const std::string& load : into_.loads) TRY(add_load(load));
    for (const std::string& pack : into_.packs) TRY(add_pack(pack));
    for (const std::string& set : into_.sets) TRY(add_named("set", set, "set-defined", Why::ground));
    for (const std::string& solution : into_.solutions) TRY(add_solution(solution));
    for (const std::string& lot : into_.lots) TRY(add_named("lot", lot, "supply-received", Why::ground));
    for (const std::string& equipment : into_.equipment) {
      for (const std::string_view kind : {"equipment-registered", "equipment-stopped", "equipment-resumed"})
        TRY(add_named("equipment", equipment, kind, Why::ground));
    }
    TRY(add_unknown());
    TRY(add_rules());
    TRY(add_record());
    TRY(add_corrections());
    TRY(add_people());
    return add_covers();
  }

 private:
  void add(std::int64_t seq, Why why) {
    if (seq < 1 || seq > into_.size) return;
    const auto [place, fresh] = into_.entries.try_emplace(seq, why);
    if (!fresh) place->second = std::min(place->second, why);
  }

  template <typename... Values>
  Result<store::Statement> prepared(std::string_view sql, const Values&... values) {
    TRY_LET(auto statement, tables_.database().prepare(sql));
    int at = 0;
    (statement.bind(++at, values), ...);
    return statement;
  }

  // Every integer of the first column is a seq to be added.
  template <typename... Values>
  Result<void> add_rows(Why why, std::string_view sql, const Values&... values) {
    TRY_LET(auto rows, prepared(sql, values...));
    return links::each_row(rows, [&](store::Statement& row) {
      if (!row.is_null(0)) add(row.integer(0), why);
    });
  }
  template <typename... Values>
  Result<void> collect(std::set<std::string>& ids, std::string_view sql, const Values&... values) {
    TRY_LET(auto rows, prepared(sql, values...));
    return links::each_row(rows, [&](store::Statement& row) {
      if (!row.is_null(0)) ids.emplace(row.text(0));
    });
  }

  Result<void> add_named(std::string_view thing, const std::string& id, std::string_view kind, Why why) {
    return add_rows(why, "SELECT seq FROM mentions WHERE thing = ? AND id = ? AND kind = ?", thing, id, kind);
  }

  Result<void> add_story() {
    const Subject& subject = into_.subject;
    if (subject.kind == "recall") TRY(add_recall());
    TRY_LET(const auto found, links::trace(tables_, subject.kind, subject.id));
    for (const links::TraceEvent& event : found.events) add(event.seq, Why::story);
    for (const links::TraceLink& link : found.links) {
      if (link.kind == "load") into_.loads.insert(link.id);
      if (link.kind == "pack") into_.packs.insert(link.id);
      if (link.kind == "procedure") into_.procedures.insert(link.id);
      if (link.kind == "solution") into_.solutions.insert(link.id);
      if (link.kind == "set") into_.sets.insert(link.id);
    }
    if (subject.kind == "load") into_.loads.insert(subject.id);
    if (subject.kind == "pack") into_.packs.insert(subject.id);
    if (subject.kind == "procedure") into_.procedures.insert(subject.id);
    if (subject.kind == "solution") into_.solutions.insert(subject.id);
    if (subject.kind == "set") into_.sets.insert(subject.id);
    return {};
  }

  // The answer is worked out again at the two times of its opening; what it cites belongs.
  Result<void> add_recall() {
    TRY_LET(auto row, prepared("SELECT because, subject, as_of, known_at, answer FROM recalls WHERE recall = ?",
                               into_.subject.id));
    TRY_LET(const bool opened, row.step());
    if (!opened)
      return Error(ErrorCode::missing, say("recall.not-held", {{"kind", "recall"}, {"id", into_.subject.id}}));
    const std::string because(row.text(0));
    TRY_LET(const auto subject, json::parse(row.text(1)));
    TRY_LET(auto request, recall::request_of(because, subject));
    if (const auto as_of = parse_date_time(row.text(2))) request.as_of = as_of->instant;
    request.known_at = row.integer(3);
    const std::string opened_answer(row.text(4));
    row.reset();
    TRY_LET(const auto editions, tables_.ledger().editions(request.known_at));
    TRY_LET(auto answer, recall::answer(request, tables_, editions));
    for (const std::int64_t seq : answer.cited) add(seq, Why::story);
    for (const recall::AffectedLoad& load : answer.loads) into_.loads.insert(load.load);
    for (const recall::AffectedPack& pack : answer.packs) into_.packs.insert(pack.pack);
    for (const auto* list : {&answer.procedures, &answer.handled_procedures}) {
      for (const recall::AffectedProcedure& one : *list) {
        into_.procedures.insert(one.procedure);
        add(one.seq, Why::story);
      }
    }
    const std::string sha256 = hex(crypto::sha256(as_bytes(recall::canonical(answer))));
    into_.recall = RecallStory{std::move(answer), sha256 == opened_answer, opened_answer};
    return {};
  }

  Result<void> add_load(const std::string& load) {
    TRY(add_rows(Why::story, "SELECT seq FROM mentions WHERE thing = 'load' AND id = ?", load));
    TRY(add_rows(Why::story, "SELECT seq FROM indicators WHERE load = ?", load));
    TRY(collect(into_.lots, "SELECT lot FROM indicators WHERE load = ?", load));
    TRY(collect(into_.lots, "SELECT lot FROM biologicals WHERE load = ?", load));
    TRY(collect(into_.equipment, "SELECT equipment FROM loads WHERE load = ?", load));
    TRY(collect(into_.equipment, "SELECT logger FROM curves WHERE load = ?", load));
    TRY(collect(into_.solutions, "SELECT solution FROM loads WHERE load = ?", load));
    TRY(add_curves(load));
    TRY_LET(auto row, prepared("SELECT equipment, method, start_ms, end_ms FROM loads WHERE load = ?", load));
    TRY_LET(const bool there, row.step());
    if (!there || row.is_null(0) || row.is_null(2)) return {};
    const std::string equipment(row.text(0));
    const std::string method(row.text(1));
    const std::int64_t start_ms = row.integer(2);
    row.reset();
    TRY(add_checks(equipment, start_ms));
    TRY(add_bound(equipment, method, "start_ms <= ?3 ORDER BY start_ms DESC", start_ms));
    return add_bound(equipment, method, "start_ms > ?3 ORDER BY start_ms", start_ms);
  }

  // Where it was ever placed, so that a placing by hand is seen beside the first.
  Result<void> add_curves(const std::string& load) {
    struct Found {
      std::int64_t curve = 0;
      std::string logger;
      std::int64_t from_ms = 0;
    };
    std::vector<Found> found;
    TRY_LET(auto rows, prepared("SELECT curve, logger, from_ms FROM curves WHERE load = ?1 "
                                "OR curve IN (SELECT curve FROM curve_placed WHERE load = ?1) ORDER BY curve",
                                load));
    TRY(links::each_row(rows, [&](store::Statement& row) {
      if (row.integer(0) <= into_.size)
        found.push_back({row.integer(0), row.maybe_text(1).value_or(""), row.maybe_integer(2).value_or(0)});
    }));
    for (const Found& one : found) {
      if (std::find(into_.curves.begin(), into_.curves.end(), one.curve) == into_.curves.end())
        into_.curves.push_back(one.curve);
      add(one.curve, Why::story);
      TRY(add_rows(Why::story, "SELECT seq FROM curve_placed WHERE curve = ?", one.curve));
      TRY(add_rows(Why::story, "SELECT seq FROM curve_judged WHERE curve = ?", one.curve));
      if (!one.logger.empty()) TRY(add_checks(one.logger, one.from_ms));
    }
    return {};
  }

  // Of each sort of check the last one before and the first one after.
  Result<void> add_checks(const std::string& equipment, std::int64_t ms) {
    TRY(add_rows(Why::ground,
                 "SELECT seq FROM equipment_checked c WHERE equipment = ?1 AND at_ms = (SELECT max(at_ms) FROM "
                 "equipment_checked d WHERE d.equipment = ?1 AND d.\"check\" = c.\"check\" AND d.at_ms <= ?2)",
                 equipment, ms));
    return add_rows(Why::ground,
                    "SELECT seq FROM equipment_checked c WHERE equipment = ?1 AND at_ms = (SELECT min(at_ms) FROM "
                    "equipment_checked d WHERE d.equipment = ?1 AND d.\"check\" = c.\"check\" AND d.at_ms > ?2)",
                    equipment, ms);
  }

  // The nearest reading on one side that may bound a recall, with its load.
  Result<void> add_bound(const std::string& equipment, const std::string& method, std::string_view side,
                         std::int64_t start_ms) {
    TRY_LET(auto row, prepared("SELECT seq, load, lot FROM biologicals WHERE equipment = ?1 AND method = ?2 AND "
                               "counts = 1 AND " +
                                   std::string(side) + " LIMIT 1",
                               equipment, method, start_ms));
    TRY_LET(const bool there, row.step());
    if (!there) return {};
    add(row.integer(0), Why::ground);
    const std::string load(row.text(1));
    if (!row.is_null(2)) into_.lots.emplace(row.text(2));
    row.reset();
    TRY(add_rows(Why::ground, "SELECT start_seq FROM loads WHERE load = ?", load));
    TRY(add_rows(Why::ground, "SELECT seq FROM biological_placed WHERE load = ?", load));
    return add_rows(Why::ground, "SELECT end_seq FROM loads WHERE load = ?", load);
  }

  Result<void> add_pack(const std::string& pack) {
    TRY(add_rows(Why::story, "SELECT packed_seq FROM packs WHERE pack = ?", pack));
    TRY(add_rows(Why::ground, "SELECT set_seq FROM packs WHERE pack = ?", pack));
    TRY(collect(into_.sets, "SELECT \"set\" FROM packs WHERE pack = ?", pack));
    for (const char* lot :
         {"SELECT indicator_lot FROM packs WHERE pack = ?", "SELECT wrap_lot FROM packs WHERE pack = ?",
          "SELECT outside_lot FROM packs WHERE pack = ?"})
      TRY(collect(into_.lots, lot, pack));
    // Of a recall of a year the turns of every pack would be thousands of entries that its answer does not rest on.
    if (into_.subject.kind == "recall") return {};
    TRY(add_rows(Why::story, "SELECT seq FROM turns WHERE pack = ?", pack));
    TRY(collect(into_.solutions, "SELECT solution FROM turns WHERE pack = ?", pack));
    return add_rows(
        Why::story,
        "SELECT s.ended_seq FROM turns t JOIN soaks s ON s.origin = t.origin WHERE t.pack = ? AND t.kind = 'soaked'",
        pack);
  }

  Result<void> add_solution(const std::string& solution) {
    for (const std::string_view kind : {"solution-prepared", "solution-tested", "solution-discarded"})
      TRY(add_named("solution", solution, kind, Why::story));
    return collect(into_.lots, "SELECT lot FROM solutions WHERE solution = ?", solution);
  }

  // Entries of a newer program that spell the subject's id: nobody here knows what they say of it.
  Result<void> add_unknown() {
    std::vector<std::int64_t> seqs;
    TRY_LET(auto rows, prepared("SELECT seq FROM unknown_events"));
    TRY(links::each_row(rows, [&](store::Statement& row) { seqs.push_back(row.integer(0)); }));
    std::string wanted;
    json::append_canonical_text(wanted, into_.subject.id);
    for (const std::int64_t seq : seqs) {
      TRY_LET(const auto entry, tables_.ledger().entry(seq));
      if (entry.bytes.find(wanted) != std::string::npos) add(seq, Why::story);
    }
    return {};
  }

  // The editions that judge at the times of the story, their confirmations, and the place.
  Result<void> add_rules() {
    std::set<std::int64_t> editions;
    for (const auto& [seq, why] : into_.entries) {
      if (why != Why::story) continue;
      TRY_LET(const auto entry, tables_.ledger().entry(seq));
      TRY_LET(const auto event, json::parse(entry.bytes));
      const auto at = parse_date_time(event.text_at("at").value_or(""));
      const sop::Edition* edition = at ? editions_.at(at->instant) : nullptr;
      if (edition != nullptr) editions.insert(edition->seq);
    }
    for (const std::int64_t seq : editions) {
      add(seq, Why::rules);
      TRY(add_rows(Why::rules, "SELECT seq FROM sop_confirmed WHERE sop = ?", seq));
    }
    return add_rows(Why::rules, "SELECT seq FROM facility_described");
  }

  Result<void> add_record() {
    for (const std::int64_t seq : {1, 2, 3}) add(seq, Why::record);
    for (const char* kind : {"key-added", "key-retired"}) {
      TRY_LET(const auto seqs, tables_.ledger().file().landmarks(kind));
      for (const std::int64_t seq : seqs) add(seq, Why::record);
    }
    TRY(add_rows(Why::record, "SELECT seq FROM ledger_restored"));
    return add_rows(Why::record, "SELECT seq FROM checkpoint_kept ORDER BY seq DESC LIMIT ?",
                    static_cast<std::int64_t>(limits::pack_older_states));
  }

  // An entry comes with everything that corrects it and with what it corrects, and with its countersignatures.
  Result<void> add_corrections() {
    auto& file = tables_.ledger().file();
    const std::map<std::int64_t, Why> found = into_.entries;
    for (const auto& [seq, why] : found) {
      TRY_LET(const auto origin, file.origin_of(seq));
      const std::int64_t first = origin.value_or(seq);
      add(first, why);
      TRY_LET(const auto corrections, file.corrections_of(first));
      for (const std::int64_t one : corrections) add(one, why);
    }
    const std::map<std::int64_t, Why> with_corrections = into_.entries;
    for (const auto& [seq, why] : with_corrections)
      TRY(add_rows(why, "SELECT seq FROM countersigned WHERE \"of\" = ?", seq));
    return {};
  }

  // Who did it, and with which role.
  Result<void> add_people() {
    for (const auto& [seq, why] : into_.entries) {
      if (why != Why::story && why != Why::ground) continue;
      TRY_LET(const auto entry, tables_.ledger().entry(seq));
      TRY_LET(const auto event, json::parse(entry.bytes));
      into_.persons.emplace(event.text_at("by").value_or(""));
    }
    for (const std::string& person : into_.persons) TRY(add_named("person", person, "person-enrolled", Why::ground));
    return {};
  }

  // Entries without a signature of their own come with the later one whose signature covers them.
  Result<void> add_covers() {
    std::map<std::string, std::pair<std::int64_t, std::int64_t>> covered;  // by key: the last cover, from and to
    const std::map<std::int64_t, Why> found = into_.entries;
    for (const auto& [seq, why] : found) {
      TRY_LET(const auto entry, tables_.ledger().entry(seq));
      if (!entry.sig.empty()) continue;
      TRY_LET(const auto event, json::parse(entry.bytes));
      const std::string key(event.text_at("key").value_or(""));
      auto& [from, to] = covered[key];
      if (seq >= from && seq <= to) continue;
      TRY_LET(const auto cover, cover_of(seq, key));
      if (!cover) return Error(ErrorCode::corrupt, say("pack.unsigned", {{"seq", std::to_string(seq)}}));
      from = seq;
      to = *cover;
      add(*cover, Why::cover);
    }
    return {};
  }

  Result<std::optional<std::int64_t>> cover_of(std::int64_t seq, const std::string& key) const {
    constexpr std::int64_t step = 500;
    std::optional<std::int64_t> cover;
    const std::int64_t last = std::min(seq + limits::signed_events_max, into_.size);
    for (std::int64_t from = seq + 1; from <= last && !cover; from += step) {
      TRY(tables_.ledger().scan(from, std::min(from + step - 1, last),
                                [&](const store::EntryView& entry) -> Result<void> {
                                  if (cover || entry.sig.empty()) return {};
                                  TRY_LET(const auto event, json::parse(entry.bytes));
                                  if (event.text_at("key") == key) cover = entry.seq;
                                  return {};
                                }));
    }
    return cover;
  }

  links::Links& tables_;
  const sop::Editions& editions_;
  Belonging& into_;
};

}  // namespace

bool is_subject_kind(std::string_view kind) {
  return std::find(std::begin(kinds), std::end(kinds), kind) != std::end(kinds);
}

bool Belonging::is_in_story(std::int64_t seq) const {
  const auto found = entries.find(seq);
  return found != entries.end() && found->second == Why::story;
}

Result<Belonging> belonging(links::Links& tables, const Subject& subject, const sop::Editions& editions) {
  if (!is_subject_kind(subject.kind))
    return Error(ErrorCode::invalid, say("pack.other-kind", {{"kind", subject.kind}}));
  Belonging out;
  out.subject = subject;
  out.size = tables.known_at();
  TRY(Gatherer(tables, editions, out).run());
  return out;
}

}  // namespace trayproof::evidence
