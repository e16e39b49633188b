#include "ledger/crypto/random.h"

#include <sys/wait.h>
#include <unistd.h>

#include <set>
#include <thread>

#include "tests/support/test.h"

using namespace trayproof;

TEST_CASE("ten thousand tokens and as many from other threads are all different") {
  std::set<std::array<std::uint8_t, 16>> seen;
  for (int i = 0; i < 10'000; ++i) seen.insert(crypto::random_bytes<16>());
  std::vector<std::array<std::uint8_t, 16>> elsewhere;
  std::thread([&] {
    for (int i = 0; i < 10'000; ++i) elsewhere.push_back(crypto::random_bytes<16>());
  }).join();
  seen.insert(elsewhere.begin(), elsewhere.end());
  CHECK_EQ(seen.size(), 20'000U);
}

TEST_CASE("a child process does not hand out the bytes of its parent") {
  static_cast<void>(crypto::random_bytes<16>());  // the pool is filled
  int ends[2];
  REQUIRE(::pipe(ends) == 0);
  const ::pid_t child = ::fork();
  if (child == 0) {
    const auto own = crypto::random_bytes<16>();
    ::_exit(::write(ends[1], own.data(), own.size()) == 16 ? 0 : 1);
  }
  const auto own = crypto::random_bytes<16>();
  std::array<std::uint8_t, 16> theirs{};
  REQUIRE(::read(ends[0], theirs.data(), theirs.size()) == 16);
  int status = 0;
  REQUIRE(::waitpid(child, &status, 0) == child);
  ::close(ends[0]);
  ::close(ends[1]);
  CHECK(own != theirs);
}

TEST_CASE("long and short requests are filled to their end") {
  for (const std::size_t size : {1U, 16U, 63U, 64U, 65U, 5000U}) {
    Bytes bytes(size + 1, 0xEE);
    crypto::fill_random(std::span(bytes).first(size));
    CHECK_EQ(bytes[size], 0xEE);
    if (size >= 16) CHECK(Bytes(bytes.begin(), bytes.begin() + 16) != Bytes(16, 0xEE));
  }
}
