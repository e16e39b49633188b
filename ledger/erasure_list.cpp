#include "ledger/erasure_list.h"

#include <algorithm>

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/log/chain.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

using json::Value;

Value signed_json(const SignedEntry& entry) {
  return Value::object().set("entry", entry.bytes).set("sig", hex(entry.sig));
}

std::optional<SignedEntry> signed_entry(const Value* value) {
  if (value == nullptr) return std::nullopt;
  const auto bytes = value->text_at("entry");
  const auto sig = from_hex(value->text_at("sig").value_or("-"));
  if (!bytes || !sig) return std::nullopt;
  return SignedEntry{.bytes = std::string(*bytes), .sig = *sig};
}

std::optional<Forgotten> sort_of(std::string_view name) {
  for (const Forgotten one : {Forgotten::patient, Forgotten::text, Forgotten::attachment}) {
    if (word(one) == name) return one;
  }
  return std::nullopt;
}

std::optional<ErasureProof> proof_in(const Value& line) {
  const auto sort = sort_of(line.text_at("sort").value_or(""));
  const auto subject = line.text_at("subject");
  auto request = signed_entry(line.find("request"));
  auto countersigned = signed_entry(line.find("countersigned"));
  if (!sort || !subject || !request || !countersigned) return std::nullopt;
  return ErasureProof{.sort = *sort,
                      .subject = std::string(*subject),
                      .request = std::move(*request),
                      .countersigned = std::move(*countersigned)};
}

bool is_signed(const SignedEntry& entry, const Value& event, const people::KeyBook& keys) {
  const auto key = event.text_at("key").value_or("");
  const people::KnownKey* known = keys.find(key);
  crypto::PublicKey public_key{};
  return known != nullptr && known->is_person() && from_hex(key, public_key) &&
         crypto::check_signature(public_key, log::leaf_hash(entry.bytes), entry.sig);
}

std::string_view subject_in(const Value& request, Forgotten sort) {
  const std::string_view name = sort == Forgotten::patient ? "pseudonym" : "file";
  return request.text_at(name).value_or("");
}

std::string_view kind_of(Forgotten sort) {
  switch (sort) {
    case Forgotten::patient:
      return "patient-erased";
    case Forgotten::text:
      return "text-removed";
    case Forgotten::attachment:
      return "attachment-removed";
  }
  return "";
}

}  // namespace

std::string list_path(const std::string& ledger_path) { return ledger_path + ".erased"; }

Result<ErasureProof> proof_of(const Ledger& ledger, const ErasureRequest& request, std::int64_t countersigned) {
  TRY_LET(auto asked, ledger.entry(request.seq));
  TRY_LET(auto second, ledger.entry(countersigned));
  return ErasureProof{.sort = request.sort,
                      .subject = request.subject,
                      .request = {.bytes = std::move(asked.bytes), .sig = std::move(asked.sig)},
                      .countersigned = {.bytes = std::move(second.bytes), .sig = std::move(second.sig)}};
}

bool proof_holds(const ErasureProof& proof, const people::KeyBook& keys) {
  const auto request = json::parse(proof.request.bytes);
  const auto second = json::parse(proof.countersigned.bytes);
  if (!request.ok() || !second.ok()) return false;
  if (!is_signed(proof.request, request.value(), keys) || !is_signed(proof.countersigned, second.value(), keys))
    return false;
  if (request.value().text_at("kind") != kind_of(proof.sort)) return false;
  // A text's request names its place; who asks compares that with the chain.
  if (proof.sort != Forgotten::text && subject_in(request.value(), proof.sort) != proof.subject) return false;
  if (second.value().text_at("kind") != "countersigned" ||
      second.value().number_at("of") != request.value().number_at("seq")) {
    return false;
  }
  const auto recorded = parse_date_time(second.value().text_at("recorded").value_or(""));
  const people::Countersignature by{.seq = static_cast<std::int64_t>(second.value().number_at("seq").value_or(0)),
                                    .key = std::string(second.value().text_at("key").value_or("")),
                                    .recorded = recorded ? recorded->instant : Instant{}};
  return people::second_of(people::seconded(request.value()), {by}, keys).second == people::Second::confirmed;
}

std::string list_text(const std::vector<ErasureProof>& proofs) {
  std::string text;
  for (const ErasureProof& proof : proofs) {
    text += json::plain(Value::object()
                            .set("sort", word(proof.sort))
                            .set("subject", proof.subject)
                            .set("request", signed_json(proof.request))
                            .set("countersigned", signed_json(proof.countersigned))) +
            "\n";
  }
  return text;
}

ErasureList read_list(std::string_view text) {
  ErasureList list;
  while (!text.empty()) {
    const std::size_t end = text.find('\n');
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    if (line.empty()) continue;
    const auto parsed = json::parse(line, limits::depth);
    auto proof = parsed.ok() ? proof_in(parsed.value()) : std::nullopt;
    if (proof)
      list.proofs.push_back(std::move(*proof));
    else
      ++list.unreadable;
  }
  return list;
}

Result<ErasureList> read_list_file(const std::string& path) {
  if (!file_exists(path)) return ErasureList{};
  TRY_LET(const auto bytes, read_file(path, limits::erasure_list_bytes));
  return read_list(as_text(bytes));
}

Result<void> add_to_list(const std::string& path, const std::vector<ErasureProof>& proofs) {
  Bytes bytes;
  if (file_exists(path)) {
    TRY_LET(bytes, read_file(path, limits::erasure_list_bytes));
  }
  std::string text(as_text(bytes));
  const ErasureList there = read_list(text);
  if (!text.empty() && text.back() != '\n') text += '\n';
  std::vector<ErasureProof> fresh;
  for (const ErasureProof& proof : proofs) {
    const bool known = std::any_of(there.proofs.begin(), there.proofs.end(), [&](const ErasureProof& one) {
      return one.countersigned.bytes == proof.countersigned.bytes && one.subject == proof.subject;
    });
    if (!known) fresh.push_back(proof);
  }
  if (fresh.empty()) return {};
  return replace_file(path, as_bytes(text + list_text(fresh)), FileMode::shared);
}

}  // namespace trayproof
