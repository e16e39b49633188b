#include "ledger/verify_range.h"

#include <algorithm>

#include "ledger/content.h"
#include "ledger/crypto/sign.h"
#include "ledger/log/chain.h"
#include "ledger/words/words.h"

namespace trayproof {

using json::Value;

bool signature_fits(const Value& event, const Digest& hash, ByteView signature) {
  crypto::PublicKey key{};
  return from_hex(event.text_at("key").value_or(""), key) && crypto::check_signature(key, hash, signature);
}

RangeFound RangeCheck::read(std::int64_t from, std::int64_t until, const std::optional<log::Frontier>& before) {
  found_ = {};
  if (before) found_.state.tree = *before, found_.goes_on = true;
  next_size_ =
      static_cast<std::size_t>(std::lower_bound(rules_.sizes.begin(), rules_.sizes.end(), from) - rules_.sizes.begin());
  const auto done = scan_.range(from, until, [this](const store::EntryRow& row) { entry(row); });
  if (!done.ok()) found_.unreadable = done.error();
  return std::move(found_);
}

void RangeCheck::entry(const store::EntryRow& row) {
  const std::int64_t seq = row.seq;
  if (found_.events > 0 && seq != found_.last + 1) {
    problem(found_.last + 1, say("verify.missing", {{"found", std::to_string(seq)}}));
    if (!found_.missing) found_.missing = found_.last + 1;
  }
  const Digest hash = log::leaf_hash(row.bytes);
  if (!std::equal(hash.begin(), hash.end(), row.hash.begin(), row.hash.end())) problem(seq, say("verify.hash"));
  if (rules_.parts == VerifyParts::chain) {
    const std::string_view prev = log::named_prev(row.bytes);
    if (found_.events == 0) {
      found_.first_prev = prev;
    } else if (prev != std::string_view(hex_of(found_.last_hash).data(), 64)) {
      problem(seq, say("verify.prev"));
    }
  } else {
    const auto prev = look_into(row, hash);
    if (found_.events == 0) {
      found_.first_prev = prev;
    } else if (prev && *prev != hex(found_.last_hash)) {
      problem(seq, say("verify.prev"));
    }
  }
  if (found_.events == 0) found_.first = seq;
  found_.last = seq;
  found_.last_hash = hash;
  ++found_.events;
  found_.state.size = seq;
  found_.state.tree.add(hash);
  if (!row.sig.empty()) found_.state.signatures = crypto::sha256({found_.state.signatures, row.sig});
  while (next_size_ < rules_.sizes.size() && rules_.sizes[next_size_] <= seq) {
    if (rules_.sizes[next_size_++] == seq) found_.states.push_back(found_.state);
  }
}

// What the bytes say, beyond their hash. Returns what they name as the hash before them; nothing when they are no JSON.
std::optional<std::string> RangeCheck::look_into(const store::EntryRow& row, const Digest& hash) {
  const std::int64_t seq = row.seq;
  auto parsed = json::parse(row.bytes);
  if (!parsed.ok()) {
    problem(seq, say("verify.not-json", {{"why", parsed.error().sentence()}}));
    return std::nullopt;
  }
  found_.entries.push_back(
      RangeEntry{.seq = seq, .event = std::move(parsed).value(), .has_signature = !row.sig.empty()});
  const Value& event = found_.entries.back().event;
  if (!plain_.read(row.bytes) && json::canonical(event) != row.bytes) problem(seq, say("verify.not-canonical"));
  if (event.number_at("seq") != static_cast<double>(seq)) problem(seq, say("verify.seq"));
  if (event.number_at("v") != 1.0) problem(seq, say("verify.version"));
  check_signature(row, hash, event);
  if (rules_.parts == VerifyParts::all) check_columns(row, event);
  return std::string(event.text_at("prev").value_or(""));
}

// A signature that does not fit is told once, at its entry: those that it was to cover are not the ones that changed.
void RangeCheck::check_signature(const store::EntryRow& row, const Digest& hash, const Value& event) {
  if (row.sig.empty() || row.seq <= rules_.signed_before) return;
  ++found_.signatures;
  if (!signature_fits(event, hash, row.sig)) problem(row.seq, say("verify.signature"));
}

// The columns beside an entry's bytes are its own slip and content.
void RangeCheck::check_columns(const store::EntryRow& row, const Value& event) {
  const crypto::Token content = content_digest(event);
  const auto slip = event.text_at("slip");
  const bool same = row.slip.value_or("") == slip.value_or("") && row.slip.has_value() == !slip.value_or("").empty() &&
                    std::equal(content.begin(), content.end(), row.content.begin(), row.content.end());
  if (!same) found_.column_problems.push_back({row.seq, say("verify.columns")});
}

}  // namespace trayproof
