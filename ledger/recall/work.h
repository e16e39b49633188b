// A recall as work: the list as it was opened, the list as it is now, what was answered, how much was found, and
// whether it may be closed. docs/recall.md, "As work", is the authority.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/links/links.h"
#include "ledger/recall/answer.h"
#include "ledger/sop/sop.h"

namespace trayproof::recall {

enum class Item { pack, procedure };

// Since when an item stands on the list.
enum class Listed {
  opened,  // when the recall was opened
  late,    // it happened before, and was entered or corrected afterwards
  since,   // it happened afterwards
};
std::string_view word(Listed listed);

struct Answered {
  std::int64_t seq = 0;
  Instant at;
  std::string by;
  std::string outcome;
};

struct WorkItem {
  Item item = Item::pack;
  std::string id;
  std::string standing;              // of a pack, as it stands now; of a procedure its sort
  std::optional<std::string> place;  // named now, else when opened
  std::optional<Instant> at;         // of a procedure
  Listed listed = Listed::opened;
  bool gone = false;          // was on the list and is no more: a later entry took it off
  bool needs_answer = false;  // a pack still to be fetched when listed; every procedure
  std::int64_t entry = 0;     // that put it on the list
  std::optional<Answered> answered;
};

enum class WorkState {
  open,
  awaiting,  // closed by one, and the second has not countersigned
  closed,
  reopened,  // closed, and a later entry put something on the list that nobody answered
};
std::string_view word(WorkState state);

struct Work {
  std::string recall;
  std::string because;
  json::Value subject;
  std::string subject_in_words;  // with kept texts as they read
  bool drill = false;
  std::int64_t opened_seq = 0;
  Instant opened;
  std::string opened_by;
  Zone zone = Zone::utc();
  WorkState state = WorkState::open;
  std::optional<std::int64_t> closed_seq;
  std::optional<Instant> closed;
  std::string second;  // who was named to close it too
  // From the reading that grew to the opening; nothing where the trigger is no reading.
  std::optional<double> minutes_to_first_list;
  std::vector<WorkItem> items;  // packs first, then procedures, each in the order of the answers

  std::int64_t packs_to_find() const;
  std::int64_t packs_answered() const;
  std::int64_t packs_found() const;
  std::int64_t procedures() const;
  std::int64_t procedures_answered() const;
  std::int64_t unanswered() const;
};

// Missing where no such recall was opened.
Result<Work> work_of(const std::string& recall, const Ledger& ledger, links::Links& tables,
                     const sop::Editions& editions);

// Whether a pack with that outcome is found: held back, processed again or destroyed.
bool is_found(std::string_view outcome);
// Whether the outcome fits a pack, or a procedure.
bool fits(Item item, std::string_view outcome);

json::Value to_json(const Work& work);

}  // namespace trayproof::recall
