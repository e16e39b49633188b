// An older copy put back is a ledger in order; what exposes it is a checkpoint kept elsewhere.
#include "ledger/base/files.h"
#include "ledger/log/note.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

std::string opening(const std::string& pack) {
  return R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00","by":"ana","pack":")" + pack + "\"}";
}

// What somebody who kept a checkpoint asks of the ledger that is shown to them.
bool bears_out(Ledger& ledger, const std::string& kept, const log::VerifierKey& key) {
  const auto note = log::parse_note(kept);
  REQUIRE(note.ok());
  if (!log::is_signed_by(note.value(), key)) return false;
  const auto checkpoint = log::parse_checkpoint(note.value());
  REQUIRE(checkpoint.ok());
  const auto tree = ledger.tree_head(static_cast<std::int64_t>(checkpoint.value().head.size));
  return tree.ok() && tree.value().size == checkpoint.value().head.size &&
         tree.value().root == checkpoint.value().head.root;
}

}  // namespace

TEST_CASE("an older copy verifies by itself and is exposed by the checkpoint that was kept") {
  WardLedger ward;
  ward.take(opening("PK-1"));
  const std::string older = file_bytes(ward.path());
  ward.take(opening("PK-2"));
  const std::string kept = ward.ledger().sign_checkpoint().value();
  const log::VerifierKey key = ward.ledger().ledger_key();
  CHECK(bears_out(ward.ledger(), kept, key));
  REQUIRE(replace_file(ward.path(), as_bytes(older), FileMode::shared).ok());
  ward.reopen();
  CHECK(problems(ward.ledger()).empty());
  CHECK(!bears_out(ward.ledger(), kept, key));
  // Put among the checkpoints of the ledger, verify tells by itself.
  REQUIRE(ward.ledger().file().put_checkpoint(7, kept).ok());
  CHECK(any_holds(problems(ward.ledger()), "checkpoint tells of 7 events"));
  // Going on from the older copy makes another history of the same size.
  ward.take(opening("PK-3"));
  CHECK(!bears_out(ward.ledger(), kept, key));
  CHECK(any_holds(problems(ward.ledger()), "not what the checkpoint of size 7 says"));
}

TEST_CASE("every older copy is exposed by every later checkpoint and by no earlier one") {
  WardLedger ward;
  std::vector<std::string> copies;
  std::vector<std::string> kept;
  for (int i = 0; i < 6; ++i) {
    ward.take(opening("PK-" + std::to_string(i)));
    copies.push_back(file_bytes(ward.path()));
    kept.push_back(ward.ledger().sign_checkpoint().value());
  }
  const log::VerifierKey key = ward.ledger().ledger_key();
  for (std::size_t copy = 0; copy < copies.size(); ++copy) {
    REQUIRE(replace_file(ward.path(), as_bytes(copies[copy]), FileMode::shared).ok());
    ward.reopen();
    for (std::size_t one = 0; one < kept.size(); ++one) {
      INFO("copy ", copy, " checkpoint ", one);
      CHECK(bears_out(ward.ledger(), kept[one], key) == (one <= copy));
    }
    // Written on from there, it is another history from the first event that is new.
    ward.take(opening("PK-other"));
    for (std::size_t one = 0; one < kept.size(); ++one)
      CHECK(bears_out(ward.ledger(), kept[one], key) == (one <= copy));
  }
}

TEST_CASE("a ledger that went on bears out every checkpoint that was kept") {
  WardLedger ward;
  std::vector<std::string> kept;
  for (int i = 0; i < 12; ++i) {
    ward.take(opening("PK-" + std::to_string(i)));
    kept.push_back(ward.ledger().sign_checkpoint().value());
  }
  for (const std::string& one : kept) CHECK(bears_out(ward.ledger(), one, ward.ledger().ledger_key()));
  WardLedger other;
  for (const std::string& one : kept) CHECK(!bears_out(other.ledger(), one, other.ledger().ledger_key()));
}
