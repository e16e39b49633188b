#include "ledger/crypto/seal.h"

#include <string>

#include "ledger/crypto/random.h"
#include "tests/support/test.h"

using namespace trayproof;

// XChaCha20-Poly1305 with no additional data; key, nonce and plain text of draft-irtf-cfrg-xchacha-03 appendix
// A.3.1. The ciphertext is the draft's own; its tag covers additional data, which this seal never has, so the tag was
// worked out by a second implementation (Python) that reproduces the draft's tag with the draft's additional data.
TEST_CASE("the ciphertext of the published draft opens") {
  Digest key{};
  for (std::size_t i = 0; i < key.size(); ++i) key[i] = static_cast<std::uint8_t>(0x80 + i);
  const auto sealed = from_hex(
      "404142434445464748494a4b4c4d4e4f5051525354555657"
      "bd6d179d3e83d43b9576579493c0e939572a1700252bfaccbed2902c21396cbb731c7f1b0b4aa6440bf3a82f4eda7e39ae64"
      "c6708c54c216cb96b72e1213b4522f8c9ba40db5d945b11b69b982c1bb9e3f3fac2bc369488f76b2383565d3fff921f9664c"
      "97637da9768812f615c68b13b52ef7e62efbf45089db18f9c8a3f0e41e5f");
  REQUIRE(sealed);
  const auto plain = crypto::unseal(key, *sealed);
  REQUIRE(plain);
  CHECK_EQ(as_text(*plain),
           "Ladies and Gentlemen of the class of '99: If I could offer you only one tip for the future, sunscreen "
           "would be it.");
}

TEST_CASE("what was sealed opens under its key only") {
  const Digest key = crypto::random_bytes<32>();
  Digest other = key;
  other[0] ^= 1;
  for (const std::size_t size : {0U, 1U, 16U, 300U}) {
    const std::string plain(size, 'p');
    const Bytes sealed = crypto::seal(key, as_bytes(plain));
    CHECK_EQ(sealed.size(), size + 24 + 16);
    const auto opened = crypto::unseal(key, sealed);
    REQUIRE(opened);
    CHECK_EQ(as_text(*opened), plain);
    CHECK(!crypto::unseal(other, sealed));
  }
}

TEST_CASE("sealed bytes with any bit flipped or cut off do not open") {
  const Digest key = crypto::random_bytes<32>();
  const Bytes sealed = crypto::seal(key, as_bytes("12-345-678"));
  for (std::size_t bit = 0; bit < sealed.size() * 8; ++bit) {
    Bytes changed = sealed;
    changed[bit / 8] = static_cast<std::uint8_t>(changed[bit / 8] ^ (1U << (bit % 8)));
    REQUIRE(!crypto::unseal(key, changed));
  }
  for (std::size_t size = 0; size < sealed.size(); ++size) REQUIRE(!crypto::unseal(key, ByteView(sealed).first(size)));
}

TEST_CASE("the same number is sealed differently each time") {
  const Digest key = crypto::random_bytes<32>();
  CHECK(crypto::seal(key, as_bytes("1")) != crypto::seal(key, as_bytes("1")));
  CHECK(crypto::random_bytes<16>() != crypto::random_bytes<16>());
}
