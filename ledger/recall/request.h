// What a recall is asked about: the trigger and its subject. docs/recall.md, "Affected loads", is the authority.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "ledger/base/result.h"
#include "ledger/base/time.h"
#include "ledger/base/zone.h"
#include "ledger/text/json.h"

namespace trayproof::recall {

enum class Because {
  biological_positive,
  load_failed,
  indicator_failed,
  equipment_out_of_tolerance,
  logger_out_of_tolerance,
  solution_weak,
  lot_withdrawn,
  air_removal_failed,
  index_patient,
  chosen,
};
std::string_view name_of(Because because);
std::optional<Because> because_of(std::string_view name);

struct Request {
  Because because = Because::load_failed;
  // Of these, what the trigger's row names; the rest is ignored.
  std::string load;
  std::string pack;
  std::string equipment;
  std::string check = "calibration";
  std::string solution;
  std::string lot;
  std::string procedure;
  std::string why;
  std::optional<Instant> at;
  std::vector<std::string> loads;
  std::vector<std::string> packs;
  // The two times. Without `as_of` nothing is left out, and the answer names the later of the clock and the last event.
  std::optional<Instant> as_of;
  std::optional<std::int64_t> known_at;
};

// Whether everything that the trigger needs is given: else invalid, with what is missing.
Result<void> is_complete(const Request& request);

// Exactly what the answer shows as `subject`, and back.
json::Value subject_of(const Request& request, const Zone& zone);
// The same as words: "load L-7", "equipment A-1, at 2026-10-29T08:10:00+05:00".
std::string subject_text(const json::Value& subject);
Result<Request> request_of(std::string_view because, const json::Value& subject);

}  // namespace trayproof::recall
