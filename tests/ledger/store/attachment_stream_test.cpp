#include "ledger/store/attachment_stream.h"

#include <random>

#include "ledger/base/limits.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;

namespace {

Bytes noise(std::size_t size) {
  std::mt19937 random(7);
  Bytes out(size);
  for (auto& byte : out) byte = static_cast<std::uint8_t>(random() % 7);
  return out;
}

Result<Bytes> whole(store::LedgerFile& file, const Digest& name) {
  TRY_LET(auto reader, store::AttachmentReader::open(file, name));
  Bytes out;
  while (true) {
    TRY_LET(const Bytes part, reader.next());
    if (part.empty()) return out;
    out.insert(out.end(), part.begin(), part.end());
  }
}

}  // namespace

TEST_CASE("an attachment made in pieces of any size is the one made at once") {
  for (const std::size_t size : {std::size_t{0}, std::size_t{1}, limits::attachment_part_bytes,
                                 limits::attachment_part_bytes + 1, 7 * limits::attachment_part_bytes + 12}) {
    const Bytes bytes = noise(size);
    for (const std::size_t piece : {std::size_t{4096}, std::size_t{999'999}, size + 1}) {
      tests::WardLedger ward;
      store::LedgerFile& file = ward.ledger().file();
      store::AttachmentMaker maker(ward.path());
      for (std::size_t at = 0; at < size; at += piece)
        REQUIRE(maker.feed(ByteView(bytes).subspan(at, std::min(piece, size - at))).ok());
      const auto made = maker.done();
      REQUIRE(made.ok());
      CHECK(made.value().sha256 == crypto::sha256(bytes));
      CHECK(store::put_attachment(file, made.value()).value());
      CHECK_FALSE(store::put_attachment(file, made.value()).value());
      CHECK(ward.ledger().attachment(made.value().sha256).value() == bytes);
      CHECK(whole(file, made.value().sha256).value() == bytes);
      CHECK_FALSE(ward.ledger().attach(bytes).value());
      CHECK(tests::problems(ward.ledger()).empty());
    }
  }
}

TEST_CASE("a part that was changed or is gone is told by the end at the latest") {
  tests::WardLedger ward;
  store::LedgerFile& file = ward.ledger().file();
  const Bytes bytes = noise(3 * limits::attachment_part_bytes);
  REQUIRE(ward.ledger().attach(bytes).value());
  const Digest name = crypto::sha256(bytes);
  CHECK(whole(file, Digest{}).error().code() == ErrorCode::missing);
  REQUIRE(file.database()
              .run("UPDATE attachment_parts SET deflated = (SELECT deflated FROM attachment_parts WHERE part "
                   "= 0) WHERE part = 2")
              .ok());
  CHECK(whole(file, name).error().code() == ErrorCode::corrupt);
  REQUIRE(file.database().run("DELETE FROM attachment_parts WHERE part = 1").ok());
  CHECK(whole(file, name).error().code() == ErrorCode::corrupt);
}

TEST_CASE("what is set aside comes back from memory and from the file behind it") {
  tests::WardLedger ward;
  Spool spool(ward.path());
  std::vector<Bytes> pieces;
  for (int round = 0; round < 2; ++round) {
    pieces.clear();
    for (std::size_t i = 0; i < 40; ++i) pieces.push_back(noise(i * 11'003));
    for (const Bytes& one : pieces) REQUIRE(spool.add(one).ok());
    REQUIRE(spool.size() == pieces.size());
    for (std::size_t i = pieces.size(); i-- > 0;) CHECK(spool.at(i).value() == pieces[i]);
    Spool moved = std::move(spool);
    CHECK(moved.at(39).value() == pieces[39]);
    spool = std::move(moved);
    spool.clear();
    CHECK(spool.size() == 0);
  }
  Spool nowhere("/none-such/at/all");
  const Bytes large(Spool::memory_most + 1);
  CHECK(nowhere.add(large).error().code() == ErrorCode::unavailable);
}
