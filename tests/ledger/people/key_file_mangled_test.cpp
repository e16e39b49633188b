// The key file in other hands: each member changed, each byte flipped, pieces of another station's file put in. It
// opens nothing that it should not, and no reader of it fails.
#include "ledger/base/files.h"
#include "ledger/crypto/random.h"
#include "ledger/persons.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

constexpr crypto::StretchCost cheap{.passes = 1, .memory_kib = 8};

struct Ward {
  Ward() {
    for (const char* person : {"ana", "mara"}) {
      REQUIRE(give_key(ward.ledger(), {.person = person, .pin = "483920", .cost = cheap}).ok());
    }
    path = people::key_path(ward.path());
    good = file_bytes(path);
  }
  void put(const json::Value& value) const {
    REQUIRE(replace_file(path, as_bytes(json::indented(value)), FileMode::owner_only).ok());
  }
  // Signed in as one who holds the key that the ledger knows, or not at all.
  bool signs_in(const std::string& person) {
    const auto signer = ward.ledger().unlock(person, "483920");
    if (!signer.ok()) return false;
    const people::KeyBook book = ward.ledger().key_book().value();
    const people::KnownKey* known = book.find(hex(signer.value()->key.public_key()));
    REQUIRE(known != nullptr);
    CHECK_EQ(known->owner, person);
    CHECK(!known->retired);
    return true;
  }

  WardLedger ward;
  std::string path;
  std::string good;
};

}  // namespace

TEST_CASE("no member of a person's sealed key can be changed unseen") {
  Ward ward;
  const json::Value good = json::parse(ward.good).value();
  const json::Members members = good.find("persons")->items()[0].members();
  CHECK(ward.signs_in("ana"));
  for (const json::Member& member : members) {
    for (const bool to_other : {false, true}) {
      json::Value value = good;
      json::Value& ana = value.find("persons")->items()[0];
      const json::Value& mara = good.find("persons")->items()[1];
      const json::Value changed = to_other                 ? *mara.find(member.name)
                                  : member.value.is_text() ? json::Value(member.value.text() + "0")
                                                           : json::Value(member.value.number() + 1);
      if (changed.is_number() && to_other) continue;  // both have the same cost
      ana.set(member.name, changed);
      ward.put(value);
      INFO(member.name, to_other);
      CHECK(!ward.signs_in("ana"));
    }
  }
  ward.put(good);
  ward.ward.clock().move(600'000);
  CHECK(ward.signs_in("ana"));
}

TEST_CASE("another station's secret opens no key") {
  Ward ward;
  json::Value value = json::parse(ward.good).value();
  value.set("sealing_secret", hex(crypto::random_bytes<32>()));
  ward.put(value);
  CHECK(!ward.signs_in("ana"));
  Ward other;
  value = json::parse(ward.good).value();
  value.set("persons", *json::parse(other.good).value().find("persons"));
  ward.put(value);
  CHECK(!ward.signs_in("ana"));
}

TEST_CASE("no flipped byte of the key file signs in as somebody else or stops a reader") {
  Ward ward;
  std::size_t refused = 0;
  for (std::size_t at = 0; at < ward.good.size(); at += 3) {
    std::string bad = ward.good;
    bad[at] = static_cast<char>(bad[at] ^ (1 << (at % 7)));
    REQUIRE(replace_file(ward.path, as_bytes(bad), FileMode::owner_only).ok());
    ward.ward.clock().move(600'000);
    if (!people::KeyFile::read(ward.path).ok()) ++refused;
    ward.signs_in("ana");
  }
  CHECK(refused > ward.good.size() / 12);
}

TEST_CASE("no mangled key file stops its reader") {
  Ward ward;
  std::uint64_t state = 0x9E3779B97F4A7C15U;  // fixed: the same files each time
  const auto draw = [&](std::size_t below) {
    state ^= state << 13;
    state ^= state >> 7;
    state ^= state << 17;
    return static_cast<std::size_t>(state % below);
  };
  std::size_t read = 0;
  for (int round = 0; round < 3000; ++round) {
    std::string bytes = ward.good;
    for (std::size_t edits = draw(4) + 1; edits > 0 && !bytes.empty(); --edits) {
      const std::size_t at = draw(bytes.size());
      switch (draw(4)) {
        case 0:
          bytes[at] = static_cast<char>(draw(256));
          break;
        case 1:
          bytes.erase(at, draw(40) + 1);
          break;
        case 2:
          bytes.insert(at, bytes.substr(draw(bytes.size()), draw(200)));
          break;
        default:
          bytes.resize(at);
          break;
      }
    }
    REQUIRE(replace_file(ward.path, as_bytes(bytes), FileMode::owner_only).ok());
    const auto file = people::KeyFile::read(ward.path);
    if (!file.ok()) {
      CHECK(file.error().code() == ErrorCode::corrupt);
      continue;
    }
    ++read;
    for (const people::SealedKey& one : file.value().persons) CHECK(crypto::is_sane(one.cost));
  }
  MESSAGE(read, " of 3000 mangled key files could be read");
}
