#include "ledger/recall/work.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "ledger/base/number.h"
#include "ledger/links/trace.h"
#include "ledger/recall/recall.h"
#include "ledger/words/words.h"

namespace trayproof::recall {
namespace {

using Key = std::pair<Item, std::string>;

struct Opened {
  json::Value answer;  // as it was kept
  Instant as_of;
};

Result<void> read_opening(const std::string& recall, links::Links& tables, Work& work, Opened& opened,
                          const Ledger& ledger) {
  TRY_LET(auto row,
          tables.database().prepare(
              "SELECT o.because, o.subject, coalesce(o.drill, 0), o.seq, o.at_ms, o.\"by\", o.as_of_ms, o.answer "
              "FROM recall_opened o WHERE o.recall = ?"));
  row.bind(1, recall);
  TRY_LET(const bool found, row.step());
  if (!found) return Error(ErrorCode::missing, say("recall.not-opened", {{"recall", recall}}));
  work.recall = recall;
  work.because = row.text(0);
  TRY_LET(work.subject, json::parse(row.text(1)));
  for (const auto& [name, value] : work.subject.members()) {
    if (!work.subject_in_words.empty()) work.subject_in_words += ", ";
    work.subject_in_words += std::string(spelled_here(name)) + " " + links::in_words(ledger, value);
  }
  work.drill = row.integer(2) != 0;
  work.opened_seq = row.integer(3);
  work.opened = Instant{row.integer(4)};
  work.opened_by = row.text(5);
  opened.as_of = Instant{row.integer(6)};
  Digest digest{};
  if (!from_hex(row.text(7), digest)) return Error(ErrorCode::corrupt, say("recall.no-answer", {{"recall", recall}}));
  const auto bytes = ledger.attachment(digest);
  // Without the kept answer nobody can tell what was on the list: that is no empty list.
  if (!bytes.ok()) return Error(ErrorCode::corrupt, say("recall.no-answer", {{"recall", recall}}));
  TRY_LET(opened.answer, json::parse(as_text(bytes.value())));
  return {};
}

Result<void> read_closing(links::Links& tables, Work& work) {
  TRY_LET(auto row,
          tables.database().prepare("SELECT seq, at_ms, coalesce(second, '') FROM recall_closed WHERE recall = ?"));
  row.bind(1, work.recall);
  TRY_LET(const bool found, row.step());
  if (!found) return {};
  work.closed_seq = row.integer(0);
  work.closed = Instant{row.integer(1)};
  work.second = row.text(2);
  return {};
}

// The last answer to each.
Result<std::map<Key, Answered>> read_answers(links::Links& tables, const std::string& recall) {
  std::map<Key, Answered> out;
  TRY_LET(auto rows, tables.database().prepare("SELECT pack, procedure, seq, at_ms, \"by\", coalesce(outcome, '') "
                                               "FROM recall_answered WHERE recall = ? ORDER BY at_ms, seq"));
  rows.bind(1, recall);
  for (;;) {
    TRY_LET(const bool more, rows.step());
    if (!more) return out;
    const Answered one{rows.integer(2), Instant{rows.integer(3)}, std::string(rows.text(4)), std::string(rows.text(5))};
    if (!rows.is_null(0)) out[{Item::pack, std::string(rows.text(0))}] = one;
    if (!rows.is_null(1)) out[{Item::procedure, std::string(rows.text(1))}] = one;
  }
}

bool to_be_fetched(std::string_view standing) {
  for (std::size_t i = 0; i < standings; ++i) {
    const auto one = static_cast<Standing>(i);
    if (name_of(one) == standing) return is_to_be_fetched(one);
  }
  return false;
}

WorkItem named(Item item, std::string_view id) {
  WorkItem out;
  out.item = item;
  out.id = id;
  return out;
}

class Lists {
 public:
  Lists(Work& work, const Opened& opened, links::Links& tables) : work_(work), opened_(opened), tables_(tables) {}

  // What stood on the list when it was opened.
  void take_opened() {
    each("packs", [&](const json::Value& one) {
      WorkItem item = named(Item::pack, one.text_at("pack").value_or(""));
      item.standing = one.text_at("standing").value_or("");
      if (const auto place = one.text_at("place")) item.place = std::string(*place);
      item.needs_answer = to_be_fetched(item.standing);
      add(std::move(item));
    });
    for (const char* list : {"procedures", "handled_procedures"}) {
      each(list, [&](const json::Value& one) {
        WorkItem item = named(Item::procedure, one.text_at("procedure").value_or(""));
        item.standing = one.text_at("sort").value_or("");
        if (const auto place = one.text_at("place")) item.place = std::string(*place);
        if (const auto at = parse_date_time(one.text_at("at").value_or(""))) item.at = at->instant;
        item.needs_answer = true;
        add(std::move(item));
      });
    }
    for (WorkItem& one : work_.items) one.gone = true;
  }

  Result<void> take_present(const Answer& answer) {
    for (const AffectedPack& pack : answer.packs) {
      WorkItem* known = find(Item::pack, pack.pack);
      if (known == nullptr) {
        WorkItem item = named(Item::pack, pack.pack);
        item.needs_answer = is_to_be_fetched(pack.standing);
        TRY_LET(const auto put_in, entry_of_pack(pack));
        item.entry = put_in.entry;
        item.listed = put_in.at > opened_.as_of ? Listed::since : Listed::late;
        known = &add(std::move(item));
      }
      known->gone = false;
      known->standing = name_of(pack.standing);
      if (pack.place) known->place = pack.place;
    }
    for (const auto* list : {&answer.procedures, &answer.handled_procedures}) {
      for (const AffectedProcedure& one : *list) take_procedure(one);
    }
    return {};
  }

 private:
  struct PutIn {
    std::int64_t entry = 0;
    Instant at;
  };

  void take_procedure(const AffectedProcedure& one) {
    WorkItem* known = find(Item::procedure, one.procedure);
    if (known == nullptr) {
      WorkItem item = named(Item::procedure, one.procedure);
      item.needs_answer = true;
      item.entry = one.seq;
      item.listed = one.at_ms > opened_.as_of.ms ? Listed::since : Listed::late;
      known = &add(std::move(item));
    }
    known->gone = false;
    known->standing = one.sort.value_or("");
    if (one.place) known->place = one.place;
    known->at = Instant{one.at_ms};
  }

  // The entry that put the pack into its affected load, else its packing; and when that was.
  Result<PutIn> entry_of_pack(const AffectedPack& pack) {
    TRY_LET(auto row,
            tables_.database().prepare(
                "SELECT x.seq, coalesce(l.start_ms, 0) FROM load_packs x LEFT JOIN loads l ON l.load = x.load "
                "WHERE x.load = ?1 AND x.pack = ?2 UNION ALL "
                "SELECT coalesce(packed_seq, 0), coalesce(packed_ms, 0) FROM packs WHERE pack = ?2"));
    row.bind(1, pack.load.value_or("")).bind(2, pack.pack);
    TRY_LET(const bool found, row.step());
    return found ? PutIn{row.integer(0), Instant{row.integer(1)}} : PutIn{};
  }

  template <typename Visit>
  void each(std::string_view list, const Visit& visit) {
    const json::Value* items = opened_.answer.find(list);
    if (items == nullptr || !items->is_list()) return;
    for (const json::Value& one : items->items()) visit(one);
  }

  WorkItem& add(WorkItem item) {
    places_[{item.item, item.id}] = work_.items.size();
    return work_.items.emplace_back(std::move(item));
  }
  WorkItem* find(Item item, const std::string& id) {
    const auto found = places_.find({item, id});
    return found == places_.end() ? nullptr : &work_.items[found->second];
  }

  Work& work_;
  const Opened& opened_;
  links::Links& tables_;
  std::map<Key, std::size_t> places_;
};

Result<void> time_to_list(links::Links& tables, Work& work) {
  const auto load = work.subject.text_at("load");
  if (work.because != name_of(Because::biological_positive) || !load) return {};
  TRY_LET(auto row, tables.database().prepare(
                        "SELECT min(at_ms) FROM biologicals WHERE load = ? AND result = 'positive' AND at_ms <= ?"));
  row.bind(1, *load).bind(2, work.opened.ms);
  TRY_LET(const bool found, row.step());
  if (found && !row.is_null(0))
    work.minutes_to_first_list = static_cast<double>(work.opened.ms - row.integer(0)) / static_cast<double>(minute_ms);
  return {};
}

Result<WorkState> state_of(const Work& work, const Ledger& ledger) {
  if (!work.closed_seq) return WorkState::open;
  const bool grown = std::any_of(work.items.begin(), work.items.end(), [&](const WorkItem& one) {
    return one.listed != Listed::opened && one.needs_answer && !one.gone && !one.answered &&
           one.entry > *work.closed_seq;
  });
  if (grown) return WorkState::reopened;
  TRY_LET(const auto second, ledger.second(*work.closed_seq));
  return second.second == people::Second::awaiting ? WorkState::awaiting : WorkState::closed;
}

std::int64_t count(const std::vector<WorkItem>& items, const auto& fits_it) {
  return static_cast<std::int64_t>(std::count_if(items.begin(), items.end(), fits_it));
}

// What is no longer on the list needs no answer any more.
bool asks(const WorkItem& one, Item item) { return one.item == item && one.needs_answer && !one.gone; }

}  // namespace

std::string_view word(Listed listed) {
  switch (listed) {
    case Listed::opened:
      return "opened";
    case Listed::late:
      return "late";
    case Listed::since:
      return "since";
  }
  return "opened";
}

std::string_view word(WorkState state) {
  switch (state) {
    case WorkState::open:
      return "open";
    case WorkState::awaiting:
      return "awaiting-second";
    case WorkState::closed:
      return "closed";
    case WorkState::reopened:
      return "reopened";
  }
  return "open";
}

bool is_found(std::string_view outcome) {
  return outcome == "found-held" || outcome == "reprocessed" || outcome == "destroyed";
}

bool fits(Item item, std::string_view outcome) {
  const bool of_pack = is_found(outcome) || outcome == "not-found";
  const bool of_procedure =
      outcome == "patient-told" || outcome == "patient-not-reached" || outcome == "no-notice-decided";
  return item == Item::pack ? of_pack : of_procedure;
}

std::int64_t Work::packs_to_find() const {
  return count(items, [](const WorkItem& one) { return asks(one, Item::pack); });
}
std::int64_t Work::packs_answered() const {
  return count(items, [](const WorkItem& one) { return asks(one, Item::pack) && one.answered; });
}
std::int64_t Work::packs_found() const {
  return count(items, [](const WorkItem& one) {
    return asks(one, Item::pack) && one.answered && is_found(one.answered->outcome);
  });
}
std::int64_t Work::procedures() const {
  return count(items, [](const WorkItem& one) { return asks(one, Item::procedure); });
}
std::int64_t Work::procedures_answered() const {
  return count(items, [](const WorkItem& one) { return asks(one, Item::procedure) && one.answered; });
}
std::int64_t Work::unanswered() const {
  return packs_to_find() - packs_answered() + procedures() - procedures_answered();
}

Result<Work> work_of(const std::string& recall, const Ledger& ledger, links::Links& tables,
                     const sop::Editions& editions) {
  Work work;
  Opened opened;
  TRY(read_opening(recall, tables, work, opened, ledger));
  work.zone = tables.zone();
  TRY(read_closing(tables, work));
  TRY_LET(const auto request, request_of(work.because, work.subject));
  TRY_LET(const auto present, answer(request, tables, editions));
  Lists lists(work, opened, tables);
  lists.take_opened();
  TRY(lists.take_present(present));
  TRY_LET(const auto answers, read_answers(tables, recall));
  for (WorkItem& one : work.items) {
    const auto found = answers.find({one.item, one.id});
    if (found != answers.end()) one.answered = found->second;
  }
  std::stable_sort(work.items.begin(), work.items.end(),
                   [](const WorkItem& a, const WorkItem& b) { return a.item < b.item; });
  TRY(time_to_list(tables, work));
  TRY_LET(work.state, state_of(work, ledger));
  return work;
}

json::Value to_json(const Work& work) {
  using json::Value;
  const auto time = [&](Instant at) { return format_date_time(work.zone.local(at)); };
  Value items = Value::list();
  for (const WorkItem& one : work.items) {
    Value item = Value::object();
    item.set("kind", one.item == Item::pack ? "pack" : "procedure").set("id", one.id).set("standing", one.standing);
    item.set("place", one.place ? Value(*one.place) : Value()).set("at", one.at ? Value(time(*one.at)) : Value());
    item.set("listed", word(one.listed)).set("gone", one.gone).set("needs_answer", one.needs_answer);
    item.set("outcome", one.answered ? Value(one.answered->outcome) : Value());
    item.set("answered", one.answered ? Value(time(one.answered->at)) : Value());
    item.set("by", one.answered ? Value(one.answered->by) : Value());
    item.set("entry", one.answered ? Value(one.answered->seq) : Value());
    items.push(std::move(item));
  }
  Value out = Value::object();
  out.set("recall", work.recall).set("because", work.because).set("subject", work.subject).set("drill", work.drill);
  out.set("state", word(work.state));
  out.set("opened", Value::object().set("seq", work.opened_seq).set("at", time(work.opened)).set("by", work.opened_by));
  out.set("closed",
          work.closed_seq
              ? Value::object().set("seq", *work.closed_seq).set("at", time(*work.closed)).set("second", work.second)
              : Value());
  const auto tenth = [](double value) { return Value(std::round(value * 10) / 10); };
  out.set("minutes_to_first_list", work.minutes_to_first_list ? tenth(*work.minutes_to_first_list) : Value());
  out.set("packs_to_find", work.packs_to_find()).set("packs_answered", work.packs_answered());
  out.set("packs_found", work.packs_found());
  out.set("percent_found", work.packs_to_find() > 0 ? tenth(100.0 * static_cast<double>(work.packs_found()) /
                                                            static_cast<double>(work.packs_to_find()))
                                                    : Value());
  out.set("procedures", work.procedures()).set("procedures_answered", work.procedures_answered());
  out.set("unanswered", work.unanswered());
  return out.set("items", std::move(items));
}

}  // namespace trayproof::recall
