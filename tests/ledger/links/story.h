// An invented ward whose record is told line by line; links and recalls of it in one word.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/links/links.h"
#include "ledger/recall/recall.h"
#include "tests/support/ward_ledger.h"

namespace trayproof::tests {

class Story {
 public:
  // One event, `day_time` as "05T08:00" in October 2026 (or "09-28T08:00" in another month), `fields` as JSON members.
  // Returns its seq; stops the test program when it is refused.
  std::int64_t tell(std::string_view kind, std::string_view day_time, std::string_view fields);
  std::int64_t correct(std::int64_t of, std::string_view replacement);
  // The same spelling as an instant.
  static Instant at(std::string_view day_time);

  WardLedger& ward() { return ward_; }
  Ledger& ledger() { return ward_.ledger(); }
  // Opened once, caught up at each call.
  links::Links& links();
  // The first column of every row, joined by blanks; NULL as "-".
  std::string ask(const std::string& sql);
  static std::string ask(links::Links& links, const std::string& sql);

  // The answer as JSON, or the error's code and sentence.
  Result<recall::Answer> recall(const recall::Request& request);
  json::Value answer(const recall::Request& request);

 private:
  WardLedger ward_;
  std::unique_ptr<links::Links> links_;
};

recall::Request because_load(recall::Because because, std::string load);

// "id:standing id:standing …" in the answer's order.
std::string standings_of(const recall::Answer& answer);
std::string loads_of(const recall::Answer& answer);
// "procedure(pack@load,pack@load) …"
std::string procedures_of(const std::vector<recall::AffectedProcedure>& procedures);

}  // namespace trayproof::tests
