#include "tests/crash/story.h"

#include <cstdlib>

#include "ledger/links/links.h"

namespace trayproof::tests {
namespace {

Result<std::int64_t> counted(Ledger& ledger, const char* table) {
  TRY_LET(auto count, ledger.file().database().prepare(std::string("SELECT count(*) FROM ") + table));
  TRY_LET(const bool row, count.step());
  return row ? count.integer(0) : 0;
}

Result<void> take(Ledger& ledger, const std::string& lines) {
  TRY_LET(const auto done, ledger.append_lines(lines, {}));
  if (done.refusals.empty()) return {};
  return Error(ErrorCode::invalid, done.refusals.front().field + ": " + done.refusals.front().why);
}

std::string remark(int number, std::size_t length = 40) {
  return R"({"kind":"remarked","at":"2026-10-05T09:00:00+05:00","by":"ana","subject":{"kind":"line","id":")" +
         std::to_string(number) + R"("},"text":")" + std::string(length, 'x') + std::to_string(number) + "\"}\n";
}

std::string event(const std::string& kind, const std::string& time, const std::string& rest) {
  return R"({"kind":")" + kind + R"(","at":"2026-10-05T)" + time + R"(:00+05:00","by":"ana",)" + rest + "}\n";
}

Result<void> catch_up(Ledger& ledger) {
  TRY_LET(auto links, links::Links::open(ledger));
  return links.catch_up();
}

std::string number_of_environment(const char* name) {
  const char* const text = std::getenv(name);
  return text == nullptr ? std::string() : std::string(text);
}

}  // namespace

Result<Standing> standing_of(Ledger& ledger) {
  Standing standing;
  standing.there = true;
  TRY_LET(const auto head, ledger.head());
  standing.events = head.seq;
  standing.head = head.hash;
  TRY_LET(const auto attachments, ledger.file().attachments());
  standing.attachments = attachments.size();
  TRY_LET(const auto checkpoints, ledger.checkpoints());
  standing.checkpoints = checkpoints.size();
  TRY_LET(standing.texts, counted(ledger, "texts"));
  TRY_LET(standing.patients, counted(ledger, "patients"));
  return standing;
}

std::string told(const Standing& standing) {
  if (!standing.there) return "no ledger";
  return std::to_string(standing.events) + " events, " + std::to_string(standing.attachments) + " attachments, " +
         std::to_string(standing.checkpoints) + " checkpoints, " + std::to_string(standing.texts) + " texts, " +
         std::to_string(standing.patients) + " patients, head " + hex(standing.head).substr(0, 8);
}

const std::vector<Step>& morning() {
  static const std::vector<Step> steps = {
      {"one event with a patient's number",
       [](Ledger& ledger, SetClock&) {
         return take(ledger, event("procedure-done", "08:00",
                                   R"("procedure":"D1","sort":"delivery","place":"room 1","packs":["PK-1"],)"
                                   R"("patient":"MRN-9001","slip":"s-1")"));
       }},
      {"a file of lines",
       [](Ledger& ledger, SetClock&) {
         std::string lines;
         std::string packs;
         for (int i = 0; i < 8; ++i) {
           const std::string pack = "PK-" + std::to_string(i);
           lines += event("packed", "05:00", R"("set":"S1","wrap":"wrapped","pack":")" + pack + "\"") + remark(i);
           packs += (i == 0 ? "\"" : ",\"") + pack + "\"";
         }
         lines += event("load-started", "06:00",
                        R"("load":"L1","method":"steam-gravity","equipment":"AC-1","packs":[)" + packs + "]");
         lines += event("load-ended", "06:40", R"("load":"L1","complete":true)");
         return take(ledger, lines);
       }},
      {"an attachment",
       [](Ledger& ledger, SetClock&) -> Result<void> {
         std::mt19937_64 noise(3);
         Bytes bytes(9000);
         for (auto& byte : bytes) byte = static_cast<std::uint8_t>(noise() & 0xFF);
         TRY_LET(const bool fresh, ledger.attach(bytes));
         static_cast<void>(fresh);
         return {};
       }},
      {"derived tables", [](Ledger& ledger, SetClock&) { return catch_up(ledger); }},
      {"a correction",
       [](Ledger& ledger, SetClock&) {
         return take(ledger, R"({"kind":"corrected","at":"2026-10-05T09:10:00+05:00","by":"ana","of":7,"why":"wrong",)"
                             R"("replacement":{"kind":"packed","at":"2026-10-05T05:01:00+05:00","by":"ana",)"
                             R"("pack":"PK-99","set":"S1","wrap":"wrapped"}})");
       }},
      {"a checkpoint",
       [](Ledger& ledger, SetClock&) -> Result<void> {
         TRY_LET(const auto note, ledger.sign_checkpoint());
         static_cast<void>(note);
         return {};
       }},
      {"derived tables caught up", [](Ledger& ledger, SetClock&) { return catch_up(ledger); }},
      {"an event after the clock went back",
       [](Ledger& ledger, SetClock& clock) {
         clock.move(-60 * minute_ms);
         return take(ledger, remark(100));
       }},
      // Pages that do not fit the cache go to the file before the commit: the journal is synced more than once.
      {"a file larger than the cache",
       [](Ledger& ledger, SetClock&) -> Result<void> {
         TRY(ledger.file().database().run("PRAGMA cache_size = 12"));
         std::string lines;
         for (int i = 200; i < 240; ++i) lines += remark(i, 600);
         auto done = take(ledger, lines);
         TRY(ledger.file().database().run("PRAGMA cache_size = -65536"));
         return done;
       }},
      {"verify",
       [](Ledger& ledger, SetClock&) -> Result<void> {
         TRY_LET(const auto found, verify(ledger, {.depth = Depth::usual, .threads = 1}));
         if (found.problems.empty()) return {};
         return Error(ErrorCode::corrupt, found.problems.front().what);
       }},
      {"one event more", [](Ledger& ledger, SetClock&) { return take(ledger, remark(300)); }},
  };
  return steps;
}

std::string fault_of(Ledger& ledger) {
  const auto found = verify(ledger, {.depth = Depth::full, .threads = 1});
  if (!found.ok()) return "verify: " + found.error().sentence();
  for (const Problem& one : found.value().problems) {
    return "verify: seq " + (one.seq ? std::to_string(*one.seq) : std::string("none")) + ": " + one.what;
  }
  return {};
}

std::string fault_of_tables(Ledger& ledger) {
  auto links = links::Links::open(ledger);
  if (!links.ok()) return "derived tables: " + links.error().sentence();
  if (links.value().in_memory()) return "derived tables: not in their file";
  const auto difference = links.value().same_as_fresh();
  if (!difference.ok()) return "derived tables: " + difference.error().sentence();
  if (difference.value()) return "derived tables differ: " + difference.value()->table + ": " + difference.value()->row;
  return {};
}

std::size_t rounds_or(std::size_t usual) {
  const std::string text = number_of_environment("TRAYPROOF_CRASH_ROUNDS");
  return text.empty() ? usual : static_cast<std::size_t>(std::strtoull(text.c_str(), nullptr, 10));
}

std::uint64_t dice_seed() {
  const std::string text = number_of_environment("TRAYPROOF_CRASH_SEED");
  return text.empty() ? 20261005 : std::strtoull(text.c_str(), nullptr, 10);
}

}  // namespace trayproof::tests
