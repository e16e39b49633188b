// A small ledger with everything in it that a ledger can hold, copies of it to damage, and the question that decides:
// does verify tell, or do the answers stay what they were?
//
// Unseen = verify says that all is well, and the export, the numbers or the texts differ.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "tests/support/ward_ledger.h"

namespace trayproof::tests {

// What the record answers: every entry with its hash and signature, every number and text behind a stand-in, the files
// that the program attached.
struct Answers {
  std::string exported;
  std::map<std::string, std::string> numbers;
  std::map<std::string, std::string> texts;
  std::map<std::string, std::string> files;
  bool operator==(const Answers&) const = default;
};

enum class Fate { closed, told, unchanged, unseen };

class Tampering {
 public:
  Tampering();
  WardLedger& ward() { return ward_; }
  // Where the copy stands.
  const std::string& path() const { return path_; }
  // Puts a fresh copy of the ledger and its keys there, with the triggers that stop honest hands taken out.
  void fresh_copy();
  // Runs SQL on the copy; false when SQLite itself refuses it.
  bool run(const std::string& sql);
  // Of the copy as it stands.
  Fate fate();
  // "verify told: …", for messages.
  const std::string& last_word() const { return last_word_; }

 private:
  Answers answers_of(Ledger& ledger);
  WardLedger ward_;
  SetClock clock_;
  std::string path_;
  std::string pristine_;  // bytes of the file without triggers
  Answers expected_;
  std::string last_word_;
};

}  // namespace trayproof::tests
