// Media that cannot be written, and files that were replaced under an open ledger. What needs a mount of its own is
// told by docs/testing.md as tried by hand.
#include <unistd.h>

#include <filesystem>

#include "ledger/base/files.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {
std::string opening(const std::string& pack) {
  return R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":")" + pack + "\"}";
}
}  // namespace

TEST_CASE("without its key file a ledger is read and verified and says why it takes nothing") {
  WardLedger ward;
  ward.take(opening("PK-1"));
  REQUIRE(::unlink((ward.path() + ".keys").c_str()) == 0);
  ward.reopen();
  CHECK(!ward.ledger().writable());
  CHECK(problems(ward.ledger()).empty());
  const auto refused = ward.ledger().append_lines(opening("PK-2"), {});
  REQUIRE(!refused.ok());
  CHECK(refused.error().code() == ErrorCode::unavailable);
  CHECK(holds(refused.error().sentence(), "key file"));
  CHECK_EQ(ward.size(), 6);
}

TEST_CASE("a ledger whose file was replaced while it was open takes nothing more under the old name") {
  WardLedger ward;
  ward.take(opening("PK-1"));
  const std::string older = file_bytes(ward.path());
  REQUIRE(replace_file(ward.path(), as_bytes(older), FileMode::shared).ok());
  const auto lost = ward.ledger().append_lines(opening("PK-2"), {});
  REQUIRE(!lost.ok());
  INFO(lost.error().sentence());
  CHECK(holds(lost.error().sentence(), "moved or replaced"));
  ward.reopen();
  ward.take(opening("PK-2"));
  CHECK(problems(ward.ledger()).empty());
}
