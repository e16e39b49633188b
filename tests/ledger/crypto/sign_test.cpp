#include "ledger/crypto/sign.h"

#include <algorithm>
#include <string>

#include "tests/support/test.h"

using namespace trayproof;

namespace {

struct Vector {
  const char* seed;
  const char* key;
  const char* message;
  const char* signature;
};

// RFC 8032 section 7.1, tests 1 to 3.
constexpr Vector vectors[] = {
    {"9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
     "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
     "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe246"
     "55141438e"
     "7a100b"},
    {"4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
     "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "72",
     "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb"
     "00d291612"
     "bb0c00"},
    {"c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
     "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "af82",
     "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc"
     "027beceea"
     "1ec40a"},
};

}  // namespace

TEST_CASE("Ed25519 gives the published keys and signatures") {
  for (const Vector& vector : vectors) {
    Digest seed{};
    REQUIRE(from_hex(vector.seed, seed));
    const auto key = crypto::SigningKey::from_seed(seed);
    const auto message = from_hex(vector.message);
    REQUIRE(message);
    CHECK_EQ(hex(key.public_key()), vector.key);
    CHECK_EQ(hex(key.sign(*message)), vector.signature);
    CHECK(crypto::check_signature(key.public_key(), *message, key.sign(*message)));
  }
}

TEST_CASE("a signature with any bit flipped does not fit") {
  Digest seed{};
  REQUIRE(from_hex(vectors[2].seed, seed));
  const auto key = crypto::SigningKey::from_seed(seed);
  const Bytes message = *from_hex(vectors[2].message);
  const auto signature = key.sign(message);
  for (std::size_t bit = 0; bit < 512; ++bit) {
    auto changed = signature;
    changed[bit / 8] = static_cast<std::uint8_t>(changed[bit / 8] ^ (1U << (bit % 8)));
    REQUIRE(!crypto::check_signature(key.public_key(), message, changed));
  }
  for (std::size_t bit = 0; bit < 16; ++bit) {
    Bytes changed = message;
    changed[bit / 8] = static_cast<std::uint8_t>(changed[bit / 8] ^ (1U << (bit % 8)));
    CHECK(!crypto::check_signature(key.public_key(), changed, signature));
  }
  CHECK(!crypto::check_signature(key.public_key(), message, ByteView(signature).first(63)));
  CHECK(!crypto::check_signature(key.public_key(), message, {}));
}

// Keys of small order let a signature of zeros fit any message; libsodium refuses them (RFC 8032 leaves it open).
TEST_CASE("a key of small order signs nothing") {
  const crypto::PublicKey zeros{};
  crypto::PublicKey one{};
  one[0] = 1;
  const Bytes signature(64, 0);
  CHECK(!crypto::check_signature(zeros, as_bytes("x"), signature));
  CHECK(!crypto::check_signature(one, as_bytes("x"), signature));
}
