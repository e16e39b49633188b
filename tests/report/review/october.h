// The invented facility's month, recorded into a ledger of its own; and what the lines of events.jsonl say by
// themselves, read without the program's tables: corrections applied, relevant loads found the slow way.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/links/links.h"
#include "tests/support/folder.h"
#include "tests/support/set_clock.h"

namespace trayproof::tests {

Instant moment(std::string_view text);

class October {
 public:
  October();
  Ledger& ledger() { return *ledger_; }
  SetClock& clock() { return clock_; }
  const Folder& folder() const { return folder_; }
  std::string path() const { return folder_.file("october.trayproof"); }
  links::Links tables() const;
  Instant from() const { return moment("2026-10-01T00:00:00+05:00"); }
  Instant until() const { return moment("2026-10-31T23:59:59.999+05:00"); }

 private:
  Folder folder_;
  SetClock clock_;
  std::unique_ptr<Ledger> ledger_;
};

// The events as they stand after corrections, in the order of the file.
std::vector<json::Value> standing_events();

struct SlowLoad {
  std::string method;
  Instant started;
  Instant ended;
  bool complete = true;
  std::vector<std::string> packs;
};
struct SlowUse {
  std::string procedure;
  std::string pack;
  Instant at;
  std::string load;  // empty: none
};
struct Slow {
  std::vector<json::Value> events;
  std::map<std::string, SlowLoad> loads;
  std::vector<SlowUse> uses;  // of October
  // The last decision on a load not later than that.
  std::string decision(const std::string& load, Instant at) const;
  std::vector<const json::Value*> of(std::string_view kind) const;
};
Slow slow_reading(Instant from, Instant until);

}  // namespace trayproof::tests
