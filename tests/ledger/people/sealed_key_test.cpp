#include "ledger/people/sealed_key.h"

#include "ledger/crypto/random.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::people;

namespace {

constexpr crypto::StretchCost cheap{.passes = 1, .memory_kib = 8};

StationSecret station() { return {.ledger = hex(crypto::random_bytes<16>()), .secret = crypto::random_bytes<32>()}; }

bool opens(const SealedKey& sealed, std::string_view pin, const StationSecret& with) {
  const auto opened = unseal_key(sealed, pin, with);
  REQUIRE(opened.ok());
  return opened.value().has_value();
}

}  // namespace

TEST_CASE("a sealed key opens with the PIN and the station's secret and with nothing less") {
  const StationSecret here = station();
  const auto key = crypto::SigningKey::from_seed(crypto::random_bytes<32>());
  const auto sealed = seal_key(key, "ana", "483920", here, cheap);
  REQUIRE(sealed.ok());
  const auto opened = unseal_key(sealed.value(), "483920", here);
  REQUIRE(opened.ok());
  REQUIRE(opened.value());
  CHECK(opened.value()->seed() == key.seed());
  CHECK(!opens(sealed.value(), "483921", here));
  CHECK(!opens(sealed.value(), "", here));
  CHECK(!opens(sealed.value(), "483920 ", here));
  CHECK(!opens(sealed.value(), "483920", {.ledger = here.ledger, .secret = crypto::random_bytes<32>()}));
  CHECK(!opens(sealed.value(), "483920", {.ledger = hex(crypto::random_bytes<16>()), .secret = here.secret}));
}

TEST_CASE("nothing that stands beside a sealed key can be exchanged") {
  const StationSecret here = station();
  const auto key = crypto::SigningKey::from_seed(crypto::random_bytes<32>());
  const SealedKey good = seal_key(key, "ana", "483920", here, cheap).value();
  SealedKey bad = good;
  bad.person = "mara";
  CHECK(!opens(bad, "483920", here));
  bad = good;
  bad.public_key = crypto::SigningKey::from_seed(crypto::random_bytes<32>()).public_key();
  CHECK(!opens(bad, "483920", here));
  bad = good;
  bad.salt[3] ^= 1;
  CHECK(!opens(bad, "483920", here));
  bad = good;
  bad.cost.passes = 2;
  CHECK(!opens(bad, "483920", here));
  bad = good;
  bad.cost.memory_kib = 16;
  CHECK(!opens(bad, "483920", here));
  for (std::size_t i = 0; i < good.sealed.size(); ++i) {
    bad = good;
    bad.sealed[i] ^= 0x10;
    INFO(i);
    CHECK(!opens(bad, "483920", here));
  }
}

TEST_CASE("two sealings of one key under one PIN have nothing in common") {
  const StationSecret here = station();
  const auto key = crypto::SigningKey::from_seed(crypto::random_bytes<32>());
  const SealedKey one = seal_key(key, "ana", "483920", here, cheap).value();
  const SealedKey two = seal_key(key, "ana", "483920", here, cheap).value();
  CHECK(one.salt != two.salt);
  CHECK(one.sealed != two.sealed);
}

TEST_CASE("a sealed key reads back from its JSON and not from a damaged one") {
  const SealedKey made =
      seal_key(crypto::SigningKey::from_seed(crypto::random_bytes<32>()), "ana", "483920", station(), cheap).value();
  json::Value value = to_json(made);
  const auto read = sealed_key_of(value);
  REQUIRE(read);
  CHECK_EQ(read->person, "ana");
  CHECK(read->public_key == made.public_key);
  CHECK(read->salt == made.salt);
  CHECK(read->cost == made.cost);
  CHECK(read->sealed == made.sealed);
  for (const char* member : {"person", "public", "salt", "passes", "memory_kib", "sealed"}) {
    json::Value without = value;
    without.erase(member);
    INFO(member);
    CHECK(!sealed_key_of(without));
    json::Value other = value;
    other.set(member, json::Value::list());
    CHECK(!sealed_key_of(other));
  }
  for (const double memory : {0.0, 7.0, 2e6, 1e9, -1.0, 8.5}) {
    json::Value insane = value;
    insane.set("memory_kib", memory);
    INFO(memory);
    CHECK(!sealed_key_of(insane));
  }
  CHECK(!sealed_key_of(json::Value("ana")));
  CHECK(!sealed_key_of(value.set("wrong", 2)));
  CHECK(sealed_key_of(value.set("wrong_at", "2026-10-05T07:00:00.000Z"))->wrong == 2);
}

TEST_CASE("wrong PINs wait longer and longer and never for ever") {
  CHECK_EQ(wait_seconds(0), 0);
  CHECK_EQ(wait_seconds(2), 0);
  CHECK_EQ(wait_seconds(3), 1);
  CHECK_EQ(wait_seconds(4), 2);
  CHECK_EQ(wait_seconds(11), 256);
  CHECK_EQ(wait_seconds(12), 300);
  CHECK_EQ(wait_seconds(1'000'000), 300);
}
