// A new ledger of an invented ward in a folder of its own, and short words for what tests do with it.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/verify.h"
#include "tests/support/folder.h"
#include "tests/support/set_clock.h"

namespace trayproof::tests {

// What a new ledger writes before the first event of a recorder: ledger-opened, two keys, facility-described,
// sop-adopted.
inline constexpr std::int64_t first_seq = 6;

// 2026-10-05T12:00:00+05:00; the events of the tests happened on that morning.
Instant noon();
Creation creation();
json::Value event_of(std::string_view text);

// Opens the ledger of a path, or stops the test program with the error's sentence.
Ledger opened(const std::string& path, Clock& clock, store::Access access = store::Access::write);

class WardLedger {
 public:
  WardLedger();
  Ledger& ledger() { return ledger_; }
  SetClock& clock() { return clock_; }
  const Folder& folder() const { return folder_; }
  std::string path() const { return folder_.file("ward.trayproof"); }
  // Closes and opens again.
  void reopen();

  // What came of a file with these lines; stops the test program when the append itself could not be done.
  Appended record(std::string_view lines, OnRefusal on_refusal = OnRefusal::take_nothing);
  Appended append(std::vector<json::Value> events, AppendOptions options);
  // The same for lines that must be taken; the seq of the last.
  std::int64_t take(std::string_view lines);
  // The same for lines of which something must be refused: "field: why" in order of the lines.
  std::vector<std::string> refusals(std::string_view lines);

  std::string bytes_of(std::int64_t seq);
  json::Value entry(std::int64_t seq);
  std::int64_t size();

 private:
  Folder folder_;
  SetClock clock_;
  Ledger ledger_;
};

// "seq: what" of everything that verify finds; "not possible: why" when it could not run.
std::vector<std::string> problems(Ledger& ledger, Depth depth = Depth::full);
std::string file_bytes(const std::string& path);
bool holds(std::string_view text, std::string_view part);
// Whether one of the texts holds the part.
bool any_holds(const std::vector<std::string>& texts, std::string_view part);
std::string joined(const std::vector<std::string>& texts);

}  // namespace trayproof::tests
