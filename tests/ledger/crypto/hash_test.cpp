#include "ledger/crypto/hash.h"

#include <algorithm>
#include <string>

#include "tests/support/test.h"

using namespace trayproof;

// FIPS 180-4 examples (NIST, "SHA-256" example values).
TEST_CASE("SHA-256 gives the published digests") {
  CHECK_EQ(hex(crypto::sha256(as_bytes(""))), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK_EQ(hex(crypto::sha256(as_bytes("abc"))), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  const std::string million(1'000'000, 'a');
  CHECK_EQ(hex(crypto::sha256(as_bytes(million))), "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("a digest does not depend on how the bytes were cut") {
  std::string text;
  for (int i = 0; i < 300; ++i) text += static_cast<char>(i % 251);
  const Digest whole = crypto::sha256(as_bytes(text));
  for (std::size_t cut = 0; cut <= text.size(); ++cut) {
    const ByteView bytes = as_bytes(text);
    REQUIRE(crypto::sha256({bytes.first(cut), bytes.subspan(cut)}) == whole);
    crypto::Sha256Stream stream;
    stream.feed(bytes.first(cut));
    stream.feed(bytes.subspan(cut));
    REQUIRE(stream.finish() == whole);
  }
}

// RFC 7693: the key and the length of the digest both go into its parameters, so both change every byte.
TEST_CASE("a keyed mark depends on its key and on every byte") {
  Digest key{};
  for (std::size_t i = 0; i < key.size(); ++i) key[i] = static_cast<std::uint8_t>(i);
  Digest other = key;
  other[31] ^= 1;
  CHECK(crypto::keyed_mark(key, as_bytes("a")) == crypto::keyed_mark(key, as_bytes("a")));
  CHECK(crypto::keyed_mark(key, as_bytes("a")) != crypto::keyed_mark(other, as_bytes("a")));
  CHECK(crypto::keyed_mark(key, as_bytes("a")) != crypto::keyed_mark(key, as_bytes("b")));
  CHECK(crypto::keyed_token(key, as_bytes("a")) != crypto::keyed_token(other, as_bytes("a")));
  // Python 3.11: hashlib.blake2b(b"abc", digest_size=16, key=bytes(range(32))).hexdigest(), and digest_size=32.
  CHECK_EQ(hex(crypto::keyed_token(key, as_bytes("abc"))), "1a64be47e4729d951c302ee543f97cf3");
  CHECK_EQ(hex(crypto::keyed_mark(key, as_bytes("abc"))),
           "d63a32d3e44738d7907f964316c241adaba0abfeabc32349677578a15a203f7f");
}
