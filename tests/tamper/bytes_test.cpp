// Bytes of the file changed where they stand: all of them with `tamper_tests everything`, else some, spread over all.
#include <unistd.h>

#include "tests/support/test.h"
#include "tests/tamper/tampering.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

constexpr std::size_t places = 3000;
constexpr std::size_t largest_file = 64 * 1024;
constexpr std::size_t page = 512;
// Two masks for each byte: one bit, which one goes round, and all of them.
char masked(char byte, std::size_t at, int mask) {
  return static_cast<char>(byte ^ (mask == 0 ? 1 << (at % 8) : 0xFF));
}

}  // namespace

TEST_CASE("no changed byte of the file is unseen") {
  Tampering tampering;
  const std::string good = file_bytes(tampering.path());
  REQUIRE(good.size() <= largest_file);
  const std::size_t step = everything() ? 1 : good.size() / places | 1;  // odd: every place within a page is met
  Tally tally;
  for (std::size_t at = 0; at < good.size(); at += step) {
    for (int mask = 0; mask < 2; ++mask) {
      put_byte(tampering.path(), at, masked(good[at], at / step, mask));
      // What recalls and gaps are worked out from is compared each time; now and then they are worked out as well.
      const Fate fate = tampering.fate(tally.tried % 200 == 0 ? Tampering::Ask::verbs : Tampering::Ask::kept);
      tally.add(fate);
      INFO("byte ", at, " mask ", mask, ": ", tampering.last_word());
      CHECK(fate != Fate::unseen);
      put_byte(tampering.path(), at, good[at]);
    }
  }
  MESSAGE(good.size(), " bytes, every ", step, ". with two masks: ", tally.text());
  CHECK(tally.by_fate[static_cast<std::size_t>(Fate::told)] > tally.tried / 2);
}

TEST_CASE("a file cut off at any page or within one is not taken for the whole") {
  Tampering tampering;
  const std::size_t size = file_bytes(tampering.path()).size();
  Tally tally;
  for (std::size_t kept = 0; kept < size; kept += page / 2) {
    REQUIRE(::truncate(tampering.path().c_str(), static_cast<::off_t>(kept)) == 0);
    const Fate fate = tampering.fate();
    tally.add(fate);
    INFO(kept, ": ", tampering.last_word());
    CHECK((fate == Fate::told || fate == Fate::closed));
    tampering.fresh_copy();
  }
  MESSAGE("cut off: ", tally.text());
}

TEST_CASE("a page overwritten by another one is not unseen") {
  Tampering tampering;
  const std::string good = file_bytes(tampering.path());
  const std::size_t pages = good.size() / page;
  Tally tally;
  const std::size_t step = everything() ? 1 : 7;
  for (std::size_t one = 1; one < pages; ++one) {
    for (std::size_t other = one % step; other < pages; other += step) {
      std::string bad = good;
      bad.replace(one * page, page, good, other * page, page);
      if (bad == good) continue;
      write_bytes(tampering.path(), bad);
      const Fate fate = tampering.fate(Tampering::Ask::kept);
      tally.add(fate);
      INFO("page ", one, " overwritten with ", other, ": ", tampering.last_word());
      CHECK(fate != Fate::unseen);
    }
  }
  MESSAGE("pages overwritten: ", tally.text());
}

TEST_CASE("bytes behind the last page and in free pages change no answer") {
  Tampering tampering;
  const std::string good = file_bytes(tampering.path());
  for (const std::size_t more : {1U, 511U, 512U, 4096U}) {
    write_bytes(tampering.path(), good + std::string(more, 'x'));
    const Fate fate = tampering.fate();
    INFO(more, ": ", tampering.last_word());
    CHECK(fate != Fate::unseen);
  }
  tampering.fresh_copy();
  REQUIRE(
      tampering.run("CREATE TABLE planted (x); INSERT INTO planted SELECT hex(randomblob(9000)); DROP TABLE planted"));
  const Fate fate = tampering.fate();
  INFO(tampering.last_word());
  CHECK(fate == Fate::unchanged);
  CHECK(asked(tampering.path(), "PRAGMA freelist_count") > "0");
}
