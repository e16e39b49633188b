#include "ledger/verify_erased.h"

#include <algorithm>

#include "ledger/people/key_giver.h"

namespace trayproof {

using json::Value;

void ErasedCheck::entry(std::int64_t seq, const Value& event, bool has_signature) {
  const auto kind = event.text_at("kind").value_or("");
  if (kind == "key-added" || kind == "key-retired") book_.learn(seq, event);
  const bool restore = kind == "ledger-restored";
  if (restore) run_of_ = seq;
  if (restore || is_erasure_request(kind)) {
    requests_.emplace(seq, Request{.seq = seq, .event = event, .restored = restore ? 0 : run_of_, .signatures = {}});
    const Value* files = event.find("files");
    if (!restore && run_of_ != 0 && files != nullptr && files->is_list()) {
      for (const Value& file : files->items()) {
        if (file.is_text()) proof_files_.insert(file.text());
      }
    }
    return;
  }
  run_of_ = 0;
  if (kind != "countersigned" || !has_signature) return;
  const auto asked = requests_.find(static_cast<std::int64_t>(event.number_at("of").value_or(0)));
  if (asked == requests_.end()) return;
  const auto recorded = parse_date_time(event.text_at("recorded").value_or(""));
  asked->second.signatures.push_back({.seq = seq,
                                      .key = std::string(event.text_at("key").value_or("")),
                                      .recorded = recorded ? recorded->instant : Instant{}});
}

bool ErasedCheck::is_confirmed(const Request& request) const {
  const auto holds = [&](const Request& one) {
    return people::second_of(people::seconded(one.event), one.signatures, book_).second == people::Second::confirmed;
  };
  if (holds(request)) return true;
  const auto restore = requests_.find(request.restored);
  return restore != requests_.end() && holds(restore->second);
}

std::vector<ErasedCheck::OneHand> ErasedCheck::one_hands() const {
  std::vector<OneHand> out;
  for (const auto& [seq, asked] : requests_) {
    const people::Seconded event = people::seconded(asked.event);
    const people::SecondAnswer answer = people::second_of(event, asked.signatures, book_);
    for (const people::Countersignature& one : asked.signatures) {
      const people::KnownKey* key = one.seq == answer.confirmed_by ? book_.find(one.key) : nullptr;
      if (key != nullptr && people::giver_of(book_, *key) == event.by)
        out.push_back({.seq = seq, .second = key->owner, .key_added = key->added});
    }
  }
  return out;
}

void ErasedCheck::note(Forgotten sort, const std::string& subject, Answer answer) {
  Answer& held = answers_[{sort, subject}];
  if (held.standing < answer.standing) held = answer;
}

void ErasedCheck::take_proofs(const ErasureList& list) {
  unreadable_ += list.unreadable;
  for (const ErasureProof& proof : list.proofs) {
    if (!proof_holds(proof, book_)) continue;
    std::int64_t seq = 0;
    if (proof.sort == Forgotten::text) {
      // The place that the request names holds this very text; a place that the record lost holds none.
      const auto request = json::parse(proof.request.bytes);
      const auto of = static_cast<std::int64_t>(request.value().number_at("of").value_or(0));
      const auto field = request.value().text_at("field").value_or("");
      if (text_stand_in_at(ledger_.file(), of, field) != proof.subject) continue;
      seq = of;
    }
    const Answer asked = of(proof.sort, proof.subject);
    note(proof.sort, proof.subject, {Standing::confirmed, asked.seq == 0 ? seq : asked.seq});
  }
}

Result<void> ErasedCheck::settle() {
  for (const auto& [seq, asked] : requests_) {
    const auto request = request_of(ledger_.file(), seq, asked.event);
    if (!request) continue;
    note(request->sort, request->subject, {is_confirmed(asked) ? Standing::confirmed : Standing::awaiting, seq});
  }
  for (const std::string& file : proof_files_) {
    Digest sha256{};
    if (!from_hex(file, sha256)) continue;
    const auto bytes = ledger_.attachment(sha256);
    if (bytes.ok()) take_proofs(read_list(as_text(bytes.value())));  // a missing or damaged one proves nothing
  }
  TRY_LET(const auto beside, read_list_file(list_path(ledger_.path())));
  take_proofs(beside);
  return {};
}

ErasedCheck::Answer ErasedCheck::of(Forgotten sort, const std::string& subject) const {
  const auto found = answers_.find({sort, subject});
  return found == answers_.end() ? Answer{} : found->second;
}

std::vector<std::pair<std::int64_t, std::string>> ErasedCheck::confirmed(Forgotten sort) const {
  std::vector<std::pair<std::int64_t, std::string>> found;
  for (const auto& [key, answer] : answers_) {
    if (key.first == sort && answer.standing == Standing::confirmed) found.emplace_back(answer.seq, key.second);
  }
  return found;
}

}  // namespace trayproof
