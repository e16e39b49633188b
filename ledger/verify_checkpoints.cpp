#include "ledger/verify_checkpoints.h"

#include <algorithm>
#include <limits>

#include "ledger/words/words.h"

namespace trayproof {
namespace {

Problem other_root(std::int64_t seq, std::int64_t size) {
  return {seq, say("verify.checkpoint-root", {{"size", std::to_string(size)}})};
}

}  // namespace

Result<void> CheckpointCheck::read() {
  TRY_LET(const auto notes, ledger_.checkpoints());
  // The ledger key that was added last within a size signs it. A damaged record has at least the key of its first
  // entry.
  const auto book = ledger_.key_book();
  const auto key_at = [&](std::uint64_t size) {
    log::VerifierKey key = ledger_.ledger_key();
    constexpr std::uint64_t most = std::numeric_limits<std::int64_t>::max();
    const people::KnownKey* known =
        book.ok() ? book.value().ledger_key_at(static_cast<std::int64_t>(std::min(size, most))) : nullptr;
    if (known != nullptr) from_hex(known->public_key, key.key);
    return key;
  };
  for (const std::string& bytes : notes) {
    ++found_.checkpoints;
    const auto note = log::parse_note(bytes);
    const auto checkpoint = note.ok() ? log::parse_checkpoint(note.value()) : Result<log::Checkpoint>(note.error());
    if (!checkpoint.ok()) {
      found_.problems.push_back(
          {std::nullopt, say("verify.checkpoint-form", {{"why", checkpoint.error().sentence()}})});
      continue;
    }
    const std::string size = std::to_string(checkpoint.value().head.size);
    if (!log::is_signed_by(note.value(), key_at(checkpoint.value().head.size)) ||
        checkpoint.value().origin != ledger_.origin()) {
      found_.problems.push_back({std::nullopt, say("verify.checkpoint-signature", {{"size", size}})});
    }
    constexpr auto most = static_cast<std::uint64_t>(std::numeric_limits<std::int64_t>::max());
    waiting_.emplace(static_cast<std::int64_t>(std::min(checkpoint.value().head.size, most)), checkpoint.value());
  }
  return {};
}

std::vector<std::int64_t> CheckpointCheck::sizes() const {
  std::vector<std::int64_t> sizes;
  for (const auto& [size, checkpoint] : waiting_) {
    if (sizes.empty() || sizes.back() != size) sizes.push_back(size);
  }
  return sizes;
}

void CheckpointCheck::at(std::int64_t size, const Digest& root) {
  const auto [begin, end] = waiting_.equal_range(size);
  for (auto one = begin; one != end; ++one) {
    if (one->second.head.root != root) found_.problems.push_back(other_root(size, size));
  }
  waiting_.erase(begin, end);
}

void CheckpointCheck::torn(std::int64_t missing) {
  for (const auto& [size, checkpoint] : waiting_) found_.problems.push_back(other_root(missing, size));
  waiting_.clear();
}

void CheckpointCheck::ended(std::int64_t events) {
  for (const auto& [size, checkpoint] : waiting_) {
    const std::string found = std::to_string(events);
    found_.problems.push_back(
        {events + 1, say("verify.checkpoint-ahead", {{"size", std::to_string(size)}, {"found", found}})});
  }
  waiting_.clear();
}

}  // namespace trayproof
