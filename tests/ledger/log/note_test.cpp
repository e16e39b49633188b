#include "ledger/log/note.h"

#include <string>

#include "tests/support/test.h"

using namespace trayproof;

namespace {

log::VerifierKey key_of(std::string_view text) {
  auto key = log::parse_vkey(text);
  REQUIRE(key.ok());
  return std::move(key).value();
}

log::Note note_of(std::string_view bytes) {
  auto note = log::parse_note(bytes);
  INFO(bytes);
  REQUIRE(note.ok());
  return std::move(note).value();
}

// C2SP signed-note.md @5ba5ee83, "Example".
constexpr std::string_view foo_vkey = "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k";
constexpr std::string_view foo_note =
    "This is an example message.\n"
    "\n"
    "— example.com/foo Uw2QOkn8srV1yJGh2VYRlL1Tnagv1YEq6TfXppzi2ONncAlTgK7Ztg1ERYNZXsYjOBH3mFXmRKuwHjG1Yu72IneyaQM=\n";

// golang.org/x/mod, sumdb/note, the example of the package's test.
constexpr std::string_view neumann_vkey = "PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW";
constexpr std::string_view neumann_seed = "810a1402d5146c8d84f2443330f54080ebf98ee17d9c74f6252fc5d5c7283173";
constexpr std::string_view neumann_text =
    "If you think cryptography is the answer to your problem,\nthen you don't know what your problem is.\n";
constexpr std::string_view neumann_note =
    "If you think cryptography is the answer to your problem,\nthen you don't know what your problem is.\n"
    "\n"
    "— PeterNeumann x08go/ZJkuBS9UG/SffcvIAQxVBtiFupLLr8pAcElZInNIuGUgYN1FFYC2pZSNXgKvqfqdngotpRZb6KE6RyyBwJnAM=\n";

// A head of the Go checksum database; its vkey is from memory, but both its key id and this signature bear it out.
constexpr std::string_view sum_vkey = "sum.golang.org+033de0ae+Ac4zctda0e5eza+HJyk9SxEdh+s3Ux18htTTAD8OuAn8";
constexpr std::string_view sum_rest =
    "\n20852163\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n"
    "\n"
    "— sum.golang.org Az3grlgtzPICa5OS8npVmf1Myq/5IZniMp+ZJurmRDeOoRDe4URYN7u5/Zhcyv2q1gGzGku9nTo+zyWE+xeMcTOAYQ8=\n";

}  // namespace

TEST_CASE("both published notes are signed by their keys") {
  CHECK(log::is_signed_by(note_of(foo_note), key_of(foo_vkey)));
  CHECK(log::is_signed_by(note_of(neumann_note), key_of(neumann_vkey)));
  CHECK(!log::is_signed_by(note_of(foo_note), key_of(neumann_vkey)));
  CHECK_EQ(log::vkey(key_of(foo_vkey)), foo_vkey);
  CHECK_EQ(log::vkey(key_of(neumann_vkey)), neumann_vkey);
}

TEST_CASE("signing the published text with the published seed gives the published note") {
  Digest seed{};
  REQUIRE(from_hex(neumann_seed, seed));
  CHECK_EQ(log::sign_note(neumann_text, "PeterNeumann", crypto::SigningKey::from_seed(seed)), neumann_note);
}

TEST_CASE("the checkpoint of a real log verifies and is read") {
  const log::Note note = note_of("go.sum database tree" + std::string(sum_rest));
  CHECK(log::is_signed_by(note, key_of(sum_vkey)));
  const auto checkpoint = log::parse_checkpoint(note);
  REQUIRE(checkpoint.ok());
  CHECK_EQ(checkpoint.value().origin, "go.sum database tree");
  CHECK_EQ(checkpoint.value().head.size, 20852163U);
  CHECK_EQ(base64(checkpoint.value().head.root), "CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=");
}

// C2SP tlog-checkpoint.md prints the same size, root and signature under another origin as an illustration.
TEST_CASE("the illustrative checkpoint of the specification does not verify") {
  const log::Note note = note_of("example.com/behind-the-sofa" + std::string(sum_rest));
  CHECK(!log::is_signed_by(note, key_of(sum_vkey)));
}

TEST_CASE("a note with any byte of its text changed is not signed") {
  const log::VerifierKey key = key_of(foo_vkey);
  const std::size_t text_bytes = foo_note.find("\n\n");
  for (std::size_t i = 0; i < text_bytes; ++i) {
    std::string changed(foo_note);
    changed[i] = changed[i] == 'x' ? 'y' : 'x';
    REQUIRE(!log::is_signed_by(note_of(changed), key));
  }
}

TEST_CASE("sixteen signatures under one note are read and the fitting one is found") {
  std::string bytes = "text\n\n";
  const auto line = [](std::uint8_t number) {
    Digest seed{};
    seed[0] = number;
    const std::string note =
        log::sign_note("text\n", "key" + std::to_string(number), crypto::SigningKey::from_seed(seed));
    return note.substr(note.find("\n\n") + 2);
  };
  for (std::uint8_t i = 0; i < 16; ++i) bytes += line(i);
  const log::Note note = note_of(bytes);
  CHECK_EQ(note.signatures.size(), 16U);
  for (std::uint8_t i = 0; i < 17; ++i) {
    Digest seed{};
    seed[0] = i;
    const auto key = crypto::SigningKey::from_seed(seed).public_key();
    CHECK(log::is_signed_by(note, {"key" + std::to_string(i), key}) == (i < 16));
  }
}

TEST_CASE("bytes that are no signed note are refused") {
  const std::string good(foo_note);
  std::vector<std::string> bad = {"", "text\n", "text\n\n", "\n\n", good.substr(0, good.size() - 1)};
  bad.push_back("a\tb\n\n" + good.substr(good.find("\n\n") + 2));      // a control character
  bad.push_back("a\xFF\n\n" + good.substr(good.find("\n\n") + 2));     // no UTF-8
  bad.push_back("text\n\n- example.com/foo Uw2QOg==\n");               // a hyphen for the dash
  bad.push_back("text\n\n— example.com/foo\n");                        // no signature
  bad.push_back("text\n\n— example.com/foo Uw2QOg==\n");               // a key id and nothing else
  bad.push_back("text\n\n— example.com/foo !!!!\n");                   // no base64
  bad.push_back("text\n\n— exa+mple Uw2QOkn8srV1yJGh2VYRlL1Tnag=\n");  // a plus in the name
  bad.push_back("text\n\n—  Uw2QOkn8srV1yJGh2VYRlL1Tnag=\n");          // an empty name
  for (const std::string& one : bad) {
    INFO(one);
    CHECK(!log::parse_note(one).ok());
  }
}

TEST_CASE("a vkey whose id is not that of its key is refused") {
  for (const char* bad : {"", "a", "a+b", "a+b+c", "PeterNeumann+c74f20a4+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW",
                          "PeterNeuman+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW",
                          "PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10T="}) {
    INFO(std::string(bad));
    CHECK(!log::parse_vkey(bad).ok());
  }
}

TEST_CASE("a checkpoint has one spelling of its size and a root of 32 bytes") {
  const auto checkpoint = [](const std::string& text) {
    return log::parse_checkpoint({.text = text, .signatures = {}});
  };
  const std::string root = "CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=";
  CHECK(checkpoint("origin\n5\n" + root + "\n").ok());
  CHECK(checkpoint("origin\n0\n" + root + "\nextension\n").ok());
  for (const std::string& bad :
       {std::string("origin\n5\n"), "origin\n05\n" + root + "\n", "origin\n+5\n" + root + "\n",
        "origin\n-5\n" + root + "\n", "origin\n5 \n" + root + "\n", "\n5\n" + root + "\n",
        std::string("origin\n5\nCsUYapGGPg==\n"), "origin\n99999999999999999999\n" + root + "\n"}) {
    INFO(std::string(bad));
    CHECK(!checkpoint(bad).ok());
  }
  log::Head head{.size = 5, .root = {}};
  const auto back = checkpoint(log::checkpoint_text("trayproof/abc", head));
  REQUIRE(back.ok());
  CHECK_EQ(back.value().origin, "trayproof/abc");
  CHECK_EQ(back.value().head.size, 5U);
}
