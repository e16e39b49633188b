#include "ledger/people/sealed_key.h"

#include <algorithm>

#include "ledger/crypto/hash.h"
#include "ledger/crypto/random.h"
#include "ledger/crypto/seal.h"

namespace trayproof::people {
namespace {

// The sealing key is bound to everything that stands beside the sealed bytes, so that none of it can be exchanged.
Result<Digest> sealing_key(const SealedKey& beside, std::string_view pin, const StationSecret& station) {
  TRY_LET(auto stretched, crypto::stretch(pin, beside.salt, beside.cost));
  std::string text = "trayproof/person-key/1\n" + station.ledger + "\n" + beside.person + "\n" +
                     hex(beside.public_key) + "\n" + hex(beside.salt) + "\n" + std::to_string(beside.cost.passes) +
                     "\n" + std::to_string(beside.cost.memory_kib) + "\n" + hex(stretched) + "\n";
  const Digest key = crypto::keyed_mark(station.secret, as_bytes(text));
  crypto::forget(stretched.data(), stretched.size());
  crypto::forget(text.data(), text.size());
  return key;
}

std::optional<std::int64_t> whole(const json::Value& value, std::string_view name, std::int64_t max) {
  const auto number = value.number_at(name);
  if (!number || *number < 0 || *number > static_cast<double>(max)) return std::nullopt;
  const auto out = static_cast<std::int64_t>(*number);
  return static_cast<double>(out) == *number ? std::optional(out) : std::nullopt;
}

}  // namespace

Result<SealedKey> seal_key(const crypto::SigningKey& key, std::string_view person, std::string_view pin,
                           const StationSecret& station, const crypto::StretchCost& cost) {
  SealedKey made{.person = std::string(person),
                 .public_key = key.public_key(),
                 .salt = crypto::random_bytes<16>(),
                 .cost = cost,
                 .sealed = {},
                 .wrong = 0,
                 .wrong_at = {}};
  TRY_LET(auto under, sealing_key(made, pin, station));
  made.sealed = crypto::seal(under, key.seed());
  crypto::forget(under.data(), under.size());
  return made;
}

Result<std::optional<crypto::SigningKey>> unseal_key(const SealedKey& sealed, std::string_view pin,
                                                     const StationSecret& station) {
  TRY_LET(auto under, sealing_key(sealed, pin, station));
  auto plain = crypto::unseal(under, sealed.sealed);
  crypto::forget(under.data(), under.size());
  Digest seed{};
  if (!plain || plain->size() != seed.size()) return std::optional<crypto::SigningKey>{};
  std::copy(plain->begin(), plain->end(), seed.begin());
  crypto::forget(plain->data(), plain->size());
  std::optional<crypto::SigningKey> key = crypto::SigningKey::from_seed(seed);
  crypto::forget(seed.data(), seed.size());
  if (key->public_key() != sealed.public_key) key.reset();
  return key;
}

json::Value to_json(const SealedKey& sealed) {
  json::Value value = json::Value::object();
  value.set("person", sealed.person).set("public", hex(sealed.public_key)).set("salt", hex(sealed.salt));
  value.set("passes", std::int64_t{sealed.cost.passes}).set("memory_kib", std::int64_t{sealed.cost.memory_kib});
  value.set("sealed", hex(sealed.sealed));
  if (sealed.wrong > 0) value.set("wrong", sealed.wrong).set("wrong_at", format_recorded(sealed.wrong_at));
  return value;
}

std::optional<SealedKey> sealed_key_of(const json::Value& value) {
  if (!value.is_object()) return std::nullopt;
  constexpr std::size_t sealed_bytes = 24 + 32 + 16;  // nonce, seed, tag
  constexpr std::int64_t count_max = 1'000'000'000;
  SealedKey out;
  const auto person = value.text_at("person");
  const auto passes = whole(value, "passes", count_max);
  const auto memory_kib = whole(value, "memory_kib", count_max);
  const auto sealed = from_hex(value.text_at("sealed").value_or(""));
  if (!person || person->empty() || !from_hex(value.text_at("public").value_or(""), out.public_key) ||
      !from_hex(value.text_at("salt").value_or(""), out.salt) || !passes || !memory_kib || !sealed ||
      sealed->size() != sealed_bytes) {
    return std::nullopt;
  }
  out.person = *person;
  out.cost = {.passes = static_cast<std::uint32_t>(*passes), .memory_kib = static_cast<std::uint32_t>(*memory_kib)};
  if (!crypto::is_sane(out.cost)) return std::nullopt;
  out.sealed = *sealed;
  if (value.find("wrong") != nullptr) {
    const auto wrong = whole(value, "wrong", count_max);
    const auto wrong_at = parse_date_time(value.text_at("wrong_at").value_or(""));
    if (!wrong || !wrong_at) return std::nullopt;
    out.wrong = *wrong;
    out.wrong_at = wrong_at->instant;
  }
  return out;
}

std::int64_t wait_seconds(std::int64_t wrong) {
  constexpr std::int64_t free_tries = 3;
  constexpr std::int64_t longest = 300;
  if (wrong < free_tries) return 0;
  const std::int64_t doublings = wrong - free_tries;
  return doublings >= 9 ? longest : std::min(longest, std::int64_t{1} << doublings);
}

}  // namespace trayproof::people
