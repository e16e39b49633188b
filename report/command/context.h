// What every verb is given: where it writes, which ledger, how answers are shown.
#pragma once

#include <cstdint>
#include <optional>
#include <ostream>
#include <string>
#include <string_view>

#include "ledger/base/clock.h"
#include "ledger/base/result.h"
#include "ledger/ledger.h"
#include "ledger/text/json.h"
#include "report/asking/facility.h"

namespace trayproof::command {

// Exit statuses (docs/commands.md).
enum class Status {
  done = 0,
  does_not_hold = 1,  // done, and what was asked about does not hold
  usage = 2,
  refused = 3,  // input refused, or a question must be answered first
  broken = 4,   // the machine or the record failed
};

struct Context {
  std::ostream& out;
  std::ostream& err;
  Clock& clock;
  std::string ledger_path;
  bool json = false;
  bool quiet = false;
  int terminal_columns = 0;            // of standard output; 0 where it is no terminal
  bool watched = false;                // standard error is a terminal: progress may be shown
  Drives drives = Drives::own;         // network_too with --network-drive
  std::optional<std::string> as = {};  // --as: who signs
  std::optional<int> pin_fd = {};      // --pin-fd: where PINs are read from, one a line

  // One JSON document on standard output.
  void print(const json::Value& document) const;
  void line(std::string_view text) const { out << text << '\n'; }
  // Warnings and progress; not with --quiet.
  void tell(std::string_view text) const;
  // The sentence on standard error, and the status that its code has.
  Status fail(const Error& error) const;
  Status misused(std::string_view sentence) const;

  // For writing, the ledger is signed in as --as says: that asks for the PIN.
  Result<Ledger> open(store::Access access) const;
};

// What is told of a mistake, with every number of a patient that the ledger knows masked: one typed in the wrong place
// is not said again. As it is where the numbers cannot be read: without the ledger or its key file.
std::string without_numbers(std::string sentence, const std::string& ledger_path);

// How wide the terminal on standard output is; 0 where there is none.
int terminal_columns();

// "12" from 12, "12.5" from 12.5.
std::string count_text(std::int64_t value);

}  // namespace trayproof::command
