// Copies of the small ledger to damage, and the question that decides: does verify tell, or do the answers stay what
// they were?
//
// Unseen = verify says that all is well, and an answer (export, recall, gaps, trace, a number, a text, a file) is
// another one, or is refused.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tests/tamper/answers.h"
#include "tests/tamper/small_ledger.h"

namespace trayproof::tests {

enum class Fate {
  closed,        // the ledger does not open
  told,          // verify tells
  told_in_full,  // verify --full tells, and what verify alone lets pass changes no answer
  unchanged,     // nothing is told, and every answer is what it was
  unseen,
};

// Whether the whole of everything was asked for: `tamper_tests everything`.
bool everything();

class Tampering {
 public:
  explicit Tampering(Curve curve = Curve::small);
  WardLedger& ward() { return ward_; }
  // Where the copy stands.
  const std::string& path() const { return path_; }
  std::int64_t size() { return ward_.size(); }
  // Puts a fresh copy of the ledger and its keys there, without derived tables.
  void fresh_copy();
  // Runs SQL on the copy; false when SQLite itself refuses it.
  bool run(const std::string& sql);

  // Of the copy as it stands. `verbs`: recall, gaps and traces are worked out too; without, only what they are worked
  // out from is compared.
  enum class Ask { kept, verbs };
  Fate fate(Ask ask = Ask::verbs);
  // The first seq that verify named last, and all that it said or what became unseen.
  std::optional<std::int64_t> first_seq() const { return first_seq_; }
  // Whether that is `seq`, or one before it that lost its signature with it: one signature covers several entries.
  bool named(std::int64_t seq) const;
  const std::string& last_word() const { return last_word_; }

 private:
  // Whether verify has something to say.
  bool tells(Ledger& ledger, Depth depth);
  // What is answered otherwise, or was answered before and is refused.
  std::string changed(Ledger& ledger, Ask ask);
  void remove_tables();

  WardLedger ward_;
  SetClock clock_;
  std::string path_;
  std::string pristine_;  // the file's bytes
  std::string keys_;
  std::vector<std::int64_t> covered_from_;  // by seq - 1: where the signature that covers it begins
  Answers kept_;
  Answers verbs_;
  std::optional<std::int64_t> first_seq_;
  std::string last_word_;
};

// How many changes ended how, for the figures that are printed.
struct Tally {
  std::int64_t tried = 0;
  std::int64_t by_fate[5] = {};
  void add(Fate fate) {
    ++tried;
    ++by_fate[static_cast<std::size_t>(fate)];
  }
  std::string text() const;
};

// A table's columns in the order of their names, and the condition that finds its row'th row in the order of all of
// them: tables without a rowid have none to name it by.
struct Table {
  std::string name;
  std::vector<std::string> columns;
  std::int64_t rows = 0;
  std::string where_row(std::int64_t row) const;
};
std::vector<Table> tables_of(const std::string& path);
// What a query answers first, as text; nothing when it cannot be asked.
std::optional<std::string> asked(const std::string& path, const std::string& sql);

void write_bytes(const std::string& path, std::string_view bytes);
// One byte in place.
void put_byte(const std::string& path, std::size_t at, char byte);

}  // namespace trayproof::tests
