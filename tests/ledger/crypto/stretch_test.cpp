#include "ledger/crypto/stretch.h"

#include <algorithm>

#include "tests/support/test.h"

using namespace trayproof;
using crypto::StretchCost;

namespace {

std::string stretched(std::string_view secret, std::string_view salt_text, const StretchCost& cost) {
  crypto::StretchSalt salt{};
  REQUIRE(salt_text.size() == salt.size());
  std::copy(salt_text.begin(), salt_text.end(), salt.begin());
  const auto out = crypto::stretch(secret, salt, cost);
  REQUIRE(out.ok());
  return hex(out.value());
}

}  // namespace

// The vectors of RFC 9106 section 5 take a secret, associated data and four lanes, which libsodium does not. These were
// made with the reference implementation (Debian's argon2 0~20190702), which gives the RFC's authors' value
// 09316115…13cf7 for "password", "somesalt", t 2, m 65536, p 1.
TEST_CASE("a stretched PIN is Argon2id version 19 of one lane") {
  CHECK_EQ(stretched("password", "somesalt12345678", {.passes = 2, .memory_kib = 65536}),
           "1e6938f511f9d7a88f1c6a4a49d446685ce2e3f58ecf335e07950920a0201dbb");
  CHECK_EQ(stretched("483920", "sixteen-byte-abc", {.passes = 3, .memory_kib = 8192}),
           "3d78cbaa270ec5ab07064d022940b8b6815f36fe27e6f7c7acf38d0019e60ba6");
}

TEST_CASE("a cost that asks for too much or too little is not sane") {
  CHECK(crypto::is_sane(StretchCost{}));
  CHECK(crypto::is_sane({.passes = 1, .memory_kib = 8}));
  CHECK(!crypto::is_sane({.passes = 0, .memory_kib = 65536}));
  CHECK(!crypto::is_sane({.passes = 21, .memory_kib = 65536}));
  CHECK(!crypto::is_sane({.passes = 3, .memory_kib = 7}));
  CHECK(!crypto::is_sane({.passes = 3, .memory_kib = 1024 * 1024 + 1}));
}

TEST_CASE("what is forgotten is overwritten") {
  std::string secret = "483920";
  crypto::forget(secret.data(), secret.size());
  CHECK_EQ(secret, std::string(6, '\0'));
}
