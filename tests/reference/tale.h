// A tiny world told event by event, for answers that are worked out by hand; and short words for what an answer says.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "tests/reference/recall_reference.h"

namespace trayproof::reference {

class Tale {
 public:
  // `when` is the day of May 2024 and the time in UTC, "01T08:00"; `body` the other fields as JSON. Returns the seq.
  std::int64_t tell(std::string_view when, std::string_view kind, std::string_view body);
  const std::vector<Entry>& entries() const { return entries_; }
  // Asks; the tale must be able to answer.
  json::Value ask(RecallRequest request) const;

 private:
  std::vector<Entry> entries_;
};

Instant may(std::string_view when);

// Questions.
RecallRequest because(const std::string& word);
RecallRequest about_load(const std::string& word, const std::string& load);
RecallRequest about_equipment(const std::string& word, const std::string& equipment, std::string_view at);

inline constexpr const char* gravity = R"("method":"steam-gravity","equipment":"E1")";
// A load from 08:00 to 08:30 of that day, complete, with an operator's reading; `packs` and `rest` as JSON.
void run(Tale& tale, const std::string& day, const std::string& load, const std::string& packs,
         const std::string& rest = gravity);
// A negative reading with growth in the control.
void read_negative(Tale& tale, const std::string& when, const std::string& load);

// "L1 L2"
std::string loads_in(const json::Value& answer);
// "P1:used@L1 P2:held@-": pack, standing, load
std::string packs_in(const json::Value& answer);
// "Q1(P1/L1 P2/-) Q2()"; of `procedures` or `handled_procedures`
std::string procedures_in(const json::Value& answer, std::string_view list = "procedures");
// "L1 2024-05-01T08:00:00+00:00" or "-"
std::string bound_in(const json::Value& answer, std::string_view side);
int count_in(const json::Value& answer, std::string_view name);

}  // namespace trayproof::reference
