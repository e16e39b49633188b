#include "ledger/verify_checkpoints.h"

#include <algorithm>
#include <limits>

#include "ledger/words/words.h"

namespace trayproof {
namespace {

using Source = CheckpointFound::Source;

std::int64_t clamped(std::uint64_t size) {
  constexpr auto most = static_cast<std::uint64_t>(std::numeric_limits<std::int64_t>::max());
  return static_cast<std::int64_t>(std::min(size, most));
}

// The ledger key that was added last within a size signs it. A damaged record has at least the key of its first entry.
log::VerifierKey ledger_key_at(const Ledger& ledger, const Result<people::KeyBook>& book, std::uint64_t size) {
  log::VerifierKey key = ledger.ledger_key();
  const people::KnownKey* known = book.ok() ? book.value().ledger_key_at(clamped(size)) : nullptr;
  if (known != nullptr) from_hex(known->public_key, key.key);
  return key;
}

}  // namespace

// From the index of landmarks, which verify checks too; what cannot be read there declares nothing, and the walk tells.
Result<void> CheckpointCheck::read_losses() {
  TRY_LET(const auto seqs, ledger_.file().landmarks("ledger-restored"));
  for (const std::int64_t seq : seqs) {
    const auto entry = ledger_.entry(seq);
    const auto event = entry.ok() ? json::parse(entry.value().bytes) : Result<json::Value>(entry.error());
    const json::Value* lost = event.ok() ? event.value().find("lost_after") : nullptr;
    const auto size = lost == nullptr ? std::nullopt : lost->number_at("size");
    Declared one;
    if (!size || !from_hex(lost->text_at("root").value_or(""), one.lost.root)) continue;
    one.lost.size = static_cast<std::uint64_t>(*size);
    one.loss.seq = seq;
    one.loss.restored_size = static_cast<std::int64_t>(event.value().number_at("size").value_or(0));
    const auto second = ledger_.second(seq);
    one.loss.confirmed = second.ok() && second.value().second == people::Second::confirmed;
    losses_.push_back(one);
  }
  return {};
}

const CheckpointCheck::Declared* CheckpointCheck::declared(const log::Head& head) const {
  const auto one = std::find_if(losses_.begin(), losses_.end(), [&](const Declared& loss) {
    return loss.lost.size == head.size && loss.lost.root == head.root;
  });
  return one == losses_.end() ? nullptr : &*one;
}

std::string CheckpointCheck::perhaps_lost(std::uint64_t size) const {
  for (const Declared& one : losses_) {
    if (static_cast<std::uint64_t>(one.loss.restored_size) < size && size < one.lost.size)
      return "; " + say("verify.perhaps-lost",
                        {{"seq", std::to_string(one.loss.seq)}, {"size", std::to_string(one.lost.size)}});
  }
  return {};
}

void CheckpointCheck::not_here(std::size_t place, State state, std::int64_t seq, std::string what) {
  CheckpointFound& one = found_.checkpoint_states[place];
  const Declared* declared_one = declared(one.head);
  if (declared_one == nullptr) return told(place, state, seq, std::move(what) + perhaps_lost(one.head.size));
  one.state = State::declared_lost;
  one.loss = declared_one->loss;
  if (one.loss->confirmed) return;
  told(place, State::declared_lost, one.loss->seq,
       say("verify.lost-unconfirmed",
           {{"size", std::to_string(one.head.size)}, {"seq", std::to_string(one.loss->seq)}}));
}

void CheckpointCheck::told(std::size_t place, State state, std::optional<std::int64_t> seq, std::string what) {
  found_.checkpoint_states[place].state = state;
  found_.problems.push_back({seq, std::move(what)});
}

void CheckpointCheck::take(std::string_view bytes, Source source, const Result<people::KeyBook>& book) {
  const std::size_t place = found_.checkpoint_states.size();
  CheckpointFound& one = found_.checkpoint_states.emplace_back();
  one.source = source;
  const bool kept = source == Source::kept;
  const auto note = log::parse_note(bytes);
  const auto checkpoint = note.ok() ? log::parse_checkpoint(note.value()) : Result<log::Checkpoint>(note.error());
  if (!checkpoint.ok()) {
    const std::string why = checkpoint.error().sentence();
    told(place, State::unreadable, std::nullopt,
         say(kept ? "verify.checkpoint-form" : "verify.outside-form", {{"why", why}}));
    return;
  }
  one.head = checkpoint.value().head;
  const log::VerifierKey key = ledger_key_at(ledger_, book, one.head.size);
  std::vector<log::VerifierKey> known = options_.witnesses;
  known.push_back(key);
  one.signatures = log::signatures_of(note.value(), known);
  const std::string size = std::to_string(one.head.size);
  for (const log::SignatureFound& signature : one.signatures) {
    if (signature.standing == log::Standing::differs && signature.cosignature)
      found_.problems.push_back({std::nullopt, say("verify.witness", {{"size", size}, {"witness", signature.name}})});
  }
  if (checkpoint.value().origin != ledger_.origin()) {
    told(place, State::other_ledger, std::nullopt,
         say(kept ? "verify.checkpoint-signature" : "verify.outside-origin",
             {{"size", size}, {"origin", checkpoint.value().origin}}));
    return;
  }
  waiting_.emplace(clamped(one.head.size), place);
  // Just what the record declares as lost is not made up, whichever key was in force by then.
  if (log::is_signed_by(note.value(), key) || declared(one.head) != nullptr) return;
  told(place, State::not_signed, std::nullopt,
       say(kept ? "verify.checkpoint-signature" : "verify.outside-signature", {{"size", size}}));
}

Result<void> CheckpointCheck::read() {
  if (const auto losses = read_losses(); !losses.ok() && losses.error().code() != ErrorCode::corrupt) return losses;
  TRY_LET(const auto notes, ledger_.checkpoints());
  const auto book = ledger_.key_book();
  for (const std::string& bytes : notes) take(bytes, Source::kept, book);
  found_.checkpoints = static_cast<std::int64_t>(notes.size());
  for (const std::string& bytes : options_.outside) take(bytes, Source::outside, book);
  look_for_witnesses();
  return {};
}

void CheckpointCheck::look_for_witnesses() {
  const Source from = options_.outside.empty() ? Source::kept : Source::outside;
  for (const log::VerifierKey& witness : options_.witnesses) {
    const std::string id = hex(log::key_id(witness));
    const auto signed_it = [&](const log::SignatureFound& one) {
      return one.name == witness.name && one.id == id && one.standing != log::Standing::unchecked;
    };
    const bool found =
        std::any_of(found_.checkpoint_states.begin(), found_.checkpoint_states.end(), [&](const CheckpointFound& one) {
          return one.source == from && std::any_of(one.signatures.begin(), one.signatures.end(), signed_it);
        });
    if (!found) found_.problems.push_back({std::nullopt, say("verify.witness-missing", {{"witness", witness.name}})});
  }
}

std::vector<std::int64_t> CheckpointCheck::sizes() const {
  std::vector<std::int64_t> sizes;
  for (const auto& [size, place] : waiting_) {
    if (sizes.empty() || sizes.back() != size) sizes.push_back(size);
  }
  return sizes;
}

// A checkpoint that nobody signed tells nothing of the record: its root is not told besides.
void CheckpointCheck::other_history(std::size_t place, std::int64_t seq) {
  const CheckpointFound& one = found_.checkpoint_states[place];
  if (one.state != State::holds) return;
  not_here(place, State::other_history, seq,
           say(one.source == Source::kept ? "verify.checkpoint-root" : "verify.outside-history",
               {{"size", std::to_string(one.head.size)}}));
}

void CheckpointCheck::at(std::int64_t size, const Digest& root) {
  const auto [begin, end] = waiting_.equal_range(size);
  for (auto one = begin; one != end; ++one) {
    if (found_.checkpoint_states[one->second].head.root != root) other_history(one->second, size);
  }
  waiting_.erase(begin, end);
}

void CheckpointCheck::torn(std::int64_t missing) {
  for (const auto& [size, place] : waiting_) other_history(place, missing);
  waiting_.clear();
}

void CheckpointCheck::ended(std::int64_t events) {
  for (const auto& [size, place] : waiting_) {
    const CheckpointFound& one = found_.checkpoint_states[place];
    if (one.state != State::holds) continue;
    not_here(place, State::older_copy, events + 1,
             say(one.source == Source::kept ? "verify.checkpoint-ahead" : "verify.outside-ahead",
                 {{"size", std::to_string(one.head.size)}, {"found", std::to_string(events)}}));
  }
  waiting_.clear();
}

}  // namespace trayproof
