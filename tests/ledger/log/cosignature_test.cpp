#include "ledger/log/cosignature.h"

#include <string>

#include "tests/support/test.h"

using namespace trayproof;
using log::Standing;

namespace {

// RFC 8032 section 7.1, test 1.
crypto::SigningKey witness_key() {
  Digest seed{};
  REQUIRE(from_hex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60", seed));
  return crypto::SigningKey::from_seed(seed);
}
log::VerifierKey witness(const std::string& name = "witness.example/w1") {
  return {.name = name, .key = witness_key().public_key(), .sort = log::KeySort::cosignature};
}
log::Note note_of(std::string_view bytes) {
  auto note = log::parse_note(bytes);
  INFO(bytes);
  REQUIRE(note.ok());
  return std::move(note).value();
}

// C2SP tlog-cosignature.md, the checkpoint of its example.
constexpr std::string_view text =
    "example.com/behind-the-sofa\n20852163\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n";
constexpr std::string_view log_line =
    "— example.com/behind-the-sofa Az3grlgtzPICa5OS8npVmf1Myq/5IZniMp+ZJurmRDeOoRDe4URYN7u5/Zhcyv2q1gGzGku9nTo+"
    "zyWE+xeMcTOAYQ8=\n";
constexpr std::string_view witness_line =
    "— witness.example.com/w1 jWbPPwAAAABkGFDLEZMHwSRaJNiIDoe9DYn/zXcrtPHeolMI5OWXEhZCB9dlrDJsX3b2oyin1nPZqhf5nNo0xUe+"
    "mbIUBkBIfZ+qnA==\n";

std::string cosigned(std::uint64_t seconds) {
  return std::string(text) + "\n" + log::cosign(text, "witness.example/w1", witness_key(), seconds);
}

}  // namespace

TEST_CASE("the example of the specification is read and its time is where the specification puts it") {
  const std::string bytes = std::string(text) + "\n" + std::string(log_line) + std::string(witness_line);
  const log::Note note = note_of(bytes);
  REQUIRE(note.signatures.size() == 2);
  CHECK_EQ(log::to_text(note), bytes);
  REQUIRE(note.signatures[1].signature.size() == 72);
  // 1679315147, the time in the example's signed message.
  CHECK_EQ(hex(ByteView(note.signatures[1].signature).first(8)), "00000000641850cb");
  const auto found = log::signatures_of(note, {});
  REQUIRE(found.size() == 2);
  CHECK(found[1].standing == Standing::unchecked);
  CHECK(!found[1].posix_seconds);
}

// tlog-cosignature.md, "Ed25519 signed message": the bytes are put together here once more, by hand.
TEST_CASE("a cosignature is made over the header and the time and the note's text") {
  const log::Note note = note_of(cosigned(1679315147));
  const ByteView signature(note.signatures[0].signature);
  const std::string message = "cosignature/v1\ntime 1679315147\n" + std::string(text);
  CHECK(crypto::check_signature(witness_key().public_key(), as_bytes(message), signature.subspan(8)));
  CHECK(log::is_signed_by(note, witness()));
  const auto found = log::signatures_of(note, {witness()});
  CHECK(found[0].standing == Standing::fits);
  CHECK(found[0].cosignature);
  CHECK_EQ(found[0].posix_seconds.value_or(0), 1679315147U);
}

// signed-note.md: SHA-256(name || LF || 0x04 || key), first 4 bytes; worked out apart with hashlib.
TEST_CASE("a witness's key is written and read with its type and has another id than a log's") {
  CHECK_EQ(log::vkey(witness()), "witness.example/w1+eb762cc2+BNdamAGCsQq31Uv+08lkBzoO4XLz2qYjJa8CGmj3B1Ea");
  const auto read = log::parse_vkey(log::vkey(witness()));
  REQUIRE(read.ok());
  CHECK(read.value().sort == log::KeySort::cosignature);
  log::VerifierKey as_log = witness();
  as_log.sort = log::KeySort::signature;
  CHECK(log::key_id(as_log) != log::key_id(witness()));
  CHECK(!log::is_signed_by(note_of(cosigned(5)), as_log));
  CHECK(!log::parse_vkey("witness.example/w1+00000000+BtdamAGCsQq31Uv+08lkBzoO4XLz2qYjJa8CGmj3B1Ea").ok());
}

TEST_CASE("a cosignature with any byte of text or time or signature changed does not fit") {
  const log::Note good = note_of(cosigned(1679315147));
  for (std::size_t i = 0; i + 1 < good.text.size(); ++i) {
    log::Note changed = good;
    changed.text[i] = changed.text[i] == 'x' ? 'y' : 'x';
    REQUIRE(log::signatures_of(changed, {witness()})[0].standing == Standing::differs);
  }
  for (std::size_t i = 0; i < good.signatures[0].signature.size(); ++i) {
    log::Note changed = good;
    changed.signatures[0].signature[i] ^= 0x80;
    REQUIRE(log::signatures_of(changed, {witness()})[0].standing == Standing::differs);
  }
  log::Note shorter = good;
  shorter.signatures[0].signature.pop_back();
  CHECK(log::signatures_of(shorter, {witness()})[0].standing == Standing::differs);
  CHECK(log::signatures_of(good, {witness("another.example")})[0].standing == Standing::unchecked);
}

TEST_CASE("signatures of another copy are added once") {
  log::Note note = note_of(std::string(text) + "\n" + std::string(log_line));
  const log::Note other = note_of(std::string(text) + "\n" + std::string(log_line) +
                                  log::cosign(text, "witness.example/w1", witness_key(), 7));
  CHECK_EQ(log::add_signatures(note, other), 1U);
  CHECK_EQ(log::add_signatures(note, other), 0U);
  CHECK_EQ(log::to_text(note), log::to_text(other));
}
