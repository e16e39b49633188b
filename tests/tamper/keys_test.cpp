// The key file's bytes changed one by one, and key files put beside the wrong ledger.
#include "ledger/people/key_file.h"
#include "tests/support/test.h"
#include "tests/tamper/tampering.h"

using namespace trayproof;
using namespace trayproof::tests;

TEST_CASE("no changed byte of the key file is unseen") {
  Tampering tampering;
  const std::string path = tampering.path() + ".keys";
  const std::string good = file_bytes(path);
  Tally tally;
  const std::size_t step = everything() ? 1 : 3;
  for (std::size_t at = 0; at < good.size(); at += step) {
    for (const char mask : {'\x01', '\x10', '\x7f'}) {
      std::string bad = good;
      bad[at] = static_cast<char>(bad[at] ^ mask);
      write_bytes(path, bad);
      const Fate fate = tampering.fate(Tampering::Ask::kept);
      tally.add(fate);
      INFO("byte ", at, ": ", tampering.last_word());
      CHECK(fate != Fate::unseen);
    }
  }
  MESSAGE(good.size(), " bytes of keys: ", tally.text());
}

TEST_CASE("each secret of another key file is told") {
  Tampering tampering;
  Tampering other;
  const std::string path = tampering.path() + ".keys";
  const auto good = people::KeyFile::read(path);
  const auto others = people::KeyFile::read(other.path() + ".keys");
  REQUIRE(good.ok());
  REQUIRE(others.ok());
  for (int i = 0; i < 6; ++i) {
    people::KeyFile keys = good.value();
    if (i == 0) keys.station_key = others.value().station_key;
    if (i == 1) keys.ledger_key = others.value().ledger_key;
    if (i == 2) keys.lookup_secret = others.value().lookup_secret;
    if (i == 3) keys.sealing_secret = others.value().sealing_secret;
    if (i == 4) keys.mark_secret = others.value().mark_secret;
    if (i == 5) keys.station = "station-9";
    std::remove(path.c_str());
    REQUIRE(keys.write(path).ok());
    const Fate fate = tampering.fate();
    INFO(i, ": ", tampering.last_word());
    CHECK(fate == Fate::told);
  }
  write_bytes(path, file_bytes(other.path() + ".keys"));
  CHECK(tampering.fate() == Fate::closed);
}
