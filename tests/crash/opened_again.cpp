#include "tests/crash/opened_again.h"

#include <filesystem>

namespace trayproof::tests {

bool TablesSeen::first_time(const std::string& ledger_path, const Standing& standing) {
  // In a copy: the program under test is to meet the journal itself.
  const std::string copy = aside_.file("tables");
  for (const char* ending : {"", "-journal"}) {
    std::filesystem::remove(copy + ending);
    const std::string original = ledger_path + ".links" + ending;
    if (std::filesystem::exists(original)) std::filesystem::copy_file(original, copy + ending);
  }
  if (std::filesystem::exists(copy)) {
    auto recovered = store::Database::open(copy, store::Access::write);
    // What SQLite refuses is looked at each time.
    if (!recovered.ok() || !recovered.value().run("SELECT count(*) FROM sqlite_master").ok()) return true;
  }
  return prints_
      .insert(print_of(files_in(aside_.path())) * 31 + std::hash<std::string>()(told(standing) + hex(standing.head)))
      .second;
}

Fault fault_in(const std::string& path, const Standing& before, const Standing& after, Further further) {
  SetClock clock(noon());
  auto ledger = Ledger::open(path, clock);
  if (!ledger.ok()) {
    if (!before.there && ledger.error().code() == ErrorCode::missing) return {};
    return {.lost = before.there, .what = "open: " + ledger.error().sentence()};
  }
  if (!ledger.value().writable()) return {.lost = false, .what = "cannot be written"};
  const auto standing = standing_of(ledger.value());
  if (!standing.ok()) return {.lost = false, .what = standing.error().sentence()};
  if (standing.value() != before && standing.value() != after) {
    return {.lost = standing.value().events < before.events || standing.value().attachments < before.attachments ||
                    standing.value().checkpoints < before.checkpoints,
            .what = "found " + told(standing.value()) + "; acknowledged " + told(before) + "; next " + told(after)};
  }
  if (std::string fault = fault_of(ledger.value()); !fault.empty()) return {.lost = false, .what = std::move(fault)};
  if (further.tables != nullptr && further.tables->first_time(path, standing.value())) {
    if (std::string fault = fault_of_tables(ledger.value()); !fault.empty()) return {.lost = false, .what = fault};
  }
  if (!further.append) return {};
  const auto more = ledger.value().append_lines(
      R"({"kind":"remarked","at":"2026-10-05T09:00:00+05:00","by":"ana","subject":{"kind":"line","id":"x"},"text":"y"})",
      {});
  if (!more.ok() || more.value().taken != 1) return {.lost = false, .what = "the next append is not taken"};
  return {.lost = false, .what = fault_of(ledger.value())};
}

std::size_t print_of(const Files& files) {
  std::size_t print = 0;
  for (const auto& [name, bytes] : files) {
    print = (print * 1'000'003 + std::hash<std::string>()(name)) * 1'000'003 + std::hash<std::string>()(bytes);
  }
  return print;
}

}  // namespace trayproof::tests
