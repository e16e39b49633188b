#include "report/evidence/state.h"

#include <algorithm>

#include "ledger/base/limits.h"
#include "ledger/words/words.h"

namespace trayproof::evidence {
namespace {

Result<log::Head> head_of(const std::string& note) {
  TRY_LET(const auto parsed, log::parse_note(note));
  TRY_LET(const auto checkpoint, log::parse_checkpoint(parsed));
  return checkpoint.head;
}

}  // namespace

Result<State> signed_state(Ledger& ledger, links::Links& tables) {
  constexpr int attempts = 5;  // another process may record between signing and reading
  for (int i = 0; i < attempts && ledger.writable(); ++i) {
    TRY_LET(auto note, ledger.sign_checkpoint());
    TRY(tables.catch_up());
    TRY_LET(const auto head, head_of(note));
    if (static_cast<std::int64_t>(head.size) == tables.known_at()) return State{std::move(note), head};
  }
  TRY(tables.catch_up());
  State newest;
  TRY_LET(const auto notes, ledger.checkpoints());
  for (const std::string& note : notes) {
    const auto head = head_of(note);
    if (head.ok() && head.value().size > newest.head.size) newest = {note, head.value()};
  }
  if (static_cast<std::int64_t>(newest.head.size) == tables.known_at()) return newest;
  return Error(ErrorCode::unavailable, say("pack.no-state", {{"covered", std::to_string(newest.head.size)},
                                                             {"size", std::to_string(tables.known_at())}}));
}

Result<std::vector<std::uint64_t>> older_sizes(const Ledger& ledger, const Belonging& belonging) {
  std::vector<std::uint64_t> sizes;
  const auto add = [&](std::uint64_t size) {
    const bool fits = size > 0 && size < static_cast<std::uint64_t>(belonging.size);
    if (fits && sizes.size() < limits::pack_older_states && std::find(sizes.begin(), sizes.end(), size) == sizes.end())
      sizes.push_back(size);
  };
  for (auto entry = belonging.entries.rbegin(); entry != belonging.entries.rend(); ++entry) {
    if (entry->second != Why::record) continue;
    TRY_LET(const auto bytes, ledger.entry(entry->first));
    TRY_LET(const auto event, json::parse(bytes.bytes));
    if (event.text_at("kind") == "checkpoint-kept")
      add(static_cast<std::uint64_t>(event.number_at("size").value_or(0)));
  }
  TRY_LET(const auto notes, ledger.checkpoints());
  std::vector<std::uint64_t> stored;
  for (const std::string& note : notes) {
    if (const auto head = head_of(note); head.ok()) stored.push_back(head.value().size);
  }
  std::sort(stored.rbegin(), stored.rend());
  for (const std::uint64_t size : stored) add(size);
  std::sort(sizes.begin(), sizes.end());
  return sizes;
}

}  // namespace trayproof::evidence
