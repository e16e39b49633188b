#include "ledger/restore_repeat.h"

#include <set>

#include "ledger/words/words.h"

namespace trayproof {

using json::Value;

Result<std::vector<ErasureProof>> still_held(store::LedgerFile& file, const std::vector<ErasureProof>& known) {
  std::vector<ErasureProof> due;
  std::set<std::pair<Forgotten, std::string>> seen;
  for (const ErasureProof& proof : known) {
    if (!seen.emplace(proof.sort, proof.subject).second) continue;
    TRY_LET(const bool there,
            still_there(file, {.seq = 0, .sort = proof.sort, .subject = proof.subject, .of = 0, .field = {}}));
    if (there) due.push_back(proof);
  }
  return due;
}

namespace {

// Where the text stands first: the place that was named may lie in what was lost.
struct Place {
  std::int64_t seq = 0;
  std::string pointer;
};

void look_for(const Value& value, const std::string& stand_in, const std::string& here, std::string& found) {
  if (!found.empty()) return;
  if (value.text_at("sha256") == stand_in) {
    found = here;
  } else if (value.is_list()) {
    for (std::size_t i = 0; i < value.items().size(); ++i)
      look_for(value.items()[i], stand_in, here + "/" + std::to_string(i), found);
  } else if (value.is_object()) {
    for (const json::Member& member : value.members()) {
      std::string token;
      for (const char c : member.name) token += c == '~' ? "~0" : c == '/' ? "~1" : std::string(1, c);
      look_for(member.value, stand_in, here + "/" + token, found);
    }
  }
}

Result<Place> place_of(const Ledger& copy, const ErasureProof& proof) {
  Place place;
  if (const auto request = json::parse(proof.request.bytes); request.ok()) {
    place.seq = static_cast<std::int64_t>(request.value().number_at("of").value_or(0));
    place.pointer = request.value().text_at("field").value_or("");
    if (text_stand_in_at(copy.file(), place.seq, place.pointer) == proof.subject) return place;
  }
  place = {};
  TRY_LET(const auto head, copy.head());
  TRY(copy.scan(1, head.seq, [&](const store::EntryView& entry) -> Result<void> {
    if (place.seq != 0 || entry.bytes.find(proof.subject) == std::string_view::npos) return {};
    const auto event = json::parse(entry.bytes);
    if (!event.ok()) return {};
    look_for(event.value(), proof.subject, "", place.pointer);
    if (!place.pointer.empty()) place.seq = entry.seq;
    return {};
  }));
  return place;
}

Result<Value> request_again(const Ledger& copy, const ErasureProof& proof) {
  Value event = Value::object();
  switch (proof.sort) {
    case Forgotten::patient:
      event.set("kind", "patient-erased").set("pseudonym", proof.subject);
      break;
    case Forgotten::attachment:
      event.set("kind", "attachment-removed").set("file", proof.subject);
      break;
    case Forgotten::text: {
      TRY_LET(const auto place, place_of(copy, proof));
      event.set("kind", "text-removed").set("of", place.seq).set("field", place.pointer);
      break;
    }
  }
  return event;
}

}  // namespace

Result<std::int64_t> note_restore(Ledger& copy, const RestoreNote& note, std::shared_ptr<const people::Signer> signer) {
  const std::string by = signer ? signer->person : copy.station();
  const auto head_json = [](const log::Head& head) {
    return Value::object().set("size", static_cast<std::int64_t>(head.size)).set("root", hex(head.root));
  };
  Value restored = head_json(note.head);
  restored.set("kind", "ledger-restored").set("at", note.at).set("by", by).set("second", note.second);
  if (note.lost_after) restored.set("lost_after", head_json(*note.lost_after));
  std::vector<GivenEvent> given;
  given.push_back({0, std::move(restored)});
  if (!note.due.empty()) {
    const std::string proofs = list_text(note.due);
    TRY_LET(const bool fresh, copy.attach(as_bytes(proofs)));
    CHECK(fresh || !proofs.empty());
    for (const ErasureProof& proof : note.due) {
      TRY_LET(auto again, request_again(copy, proof));
      again.set("at", note.at).set("by", by).set("second", note.second);
      again.set("files", Value::list().push(hex(crypto::sha256(as_bytes(proofs)))));
      given.push_back({0, std::move(again)});
    }
  }
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  options.signer = std::move(signer);
  TRY_LET(const auto done, copy.append(std::move(given), options));
  if (done.refusals.empty()) return done.seqs.front();
  const events::Refusal& first = done.refusals.front();
  return Error(ErrorCode::invalid, first.field + ": " + first.why);
}

Result<std::int64_t> forget_again(store::LedgerFile& file, const std::vector<ErasureProof>& due) {
  std::int64_t count = 0;
  if (due.empty()) return count;
  TRY_LET(auto transaction, file.begin());
  for (const ErasureProof& proof : due) {
    TRY_LET(const bool destroyed, destroy(file, proof.sort, proof.subject));
    count += destroyed ? 1 : 0;
  }
  TRY(transaction.commit());
  return count;
}

}  // namespace trayproof
