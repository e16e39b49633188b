// Bytes of the file flipped: some of them, spread over all of it; all of them with TRAYPROOF_TAMPER_ALL=1.
#include <fcntl.h>
#include <unistd.h>

#include <cstdlib>

#include "tests/support/test.h"
#include "tests/tamper/tampering.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

constexpr std::size_t flips = 2500;  // about ten seconds

void put(const std::string& path, std::size_t at, char byte) {
  const int fd = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
  REQUIRE(fd >= 0);
  REQUIRE(::pwrite(fd, &byte, 1, static_cast<::off_t>(at)) == 1);
  ::close(fd);
}

}  // namespace

TEST_CASE("no flipped byte of the file is unseen") {
  Tampering tampering;
  tampering.fresh_copy();
  const std::string good = file_bytes(tampering.path());
  const bool all = std::getenv("TRAYPROOF_TAMPER_ALL") != nullptr;
  const std::size_t step = all ? 1 : good.size() / flips | 1;  // odd, so that it meets every place within a page
  std::size_t counts[4] = {};
  for (std::size_t at = 0; at < good.size(); at += step) {
    const auto flipped = static_cast<char>(good[at] ^ static_cast<char>(1U << (at / step % 8)));
    put(tampering.path(), at, flipped);
    const Fate fate = tampering.fate();
    ++counts[static_cast<std::size_t>(fate)];
    put(tampering.path(), at, good[at]);
    INFO("byte ", at);
    REQUIRE(fate != Fate::unseen);
  }
  MESSAGE(good.size(), " bytes, every ", step, ". flipped: ", counts[0], " not opened, ", counts[1], " told, ",
          counts[2], " without any answer changed");
  CHECK(counts[1] > counts[2] / 100);
}

TEST_CASE("a file cut off at any page or within one is not taken for the whole") {
  Tampering tampering;
  tampering.fresh_copy();
  const std::string good = file_bytes(tampering.path());
  for (std::size_t size = 0; size < good.size(); size += 1024) {
    REQUIRE(::truncate(tampering.path().c_str(), static_cast<::off_t>(size)) == 0);
    INFO(size);
    CHECK(tampering.fate() != Fate::unseen);
    tampering.fresh_copy();
  }
}

TEST_CASE("pages exchanged or overwritten by others are not unseen") {
  Tampering tampering;
  tampering.fresh_copy();
  const std::string good = file_bytes(tampering.path());
  constexpr std::size_t page = 4096;
  const std::size_t pages = good.size() / page;
  for (std::size_t i = 1; i < pages; ++i) {
    const std::size_t other = (i * 7 + 3) % pages;
    for (std::size_t at = 0; at < page; ++at) {
      if (good[other * page + at] != good[i * page + at]) put(tampering.path(), i * page + at, good[other * page + at]);
    }
    INFO("page ", i, " overwritten with ", other);
    CHECK(tampering.fate() != Fate::unseen);
    tampering.fresh_copy();
  }
}
