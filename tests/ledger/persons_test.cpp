// Persons sign with their own keys: signing in, two keys in one commit, countersignatures, what retires a key.
#include "ledger/persons.h"

#include <sys/stat.h>

#include "ledger/log/chain.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

using SignerPtr = std::shared_ptr<const people::Signer>;

constexpr crypto::StretchCost cheap{.passes = 1, .memory_kib = 8};

void give(WardLedger& ward, const std::string& person, const std::string& pin, SignerPtr signer = nullptr) {
  const auto given =
      give_key(ward.ledger(), {.person = person, .pin = pin, .signer = std::move(signer), .cost = cheap});
  REQUIRE_MESSAGE(given.ok(), given.error().sentence());
}

SignerPtr sign_in(WardLedger& ward, const std::string& person, const std::string& pin) {
  const auto signer = ward.ledger().unlock(person, pin);
  REQUIRE_MESSAGE(signer.ok(), signer.error().sentence());
  return signer.value();
}

json::Value opening(const std::string& pack, const std::string& by = "") {
  json::Value event = event_of(R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00"})");
  event.set("pack", pack);
  if (!by.empty()) event.set("by", by);
  return event;
}

std::string key_of(WardLedger& ward, std::int64_t seq) { return std::string(*ward.entry(seq).text_at("key")); }
bool is_signed(WardLedger& ward, std::int64_t seq) { return !ward.ledger().entry(seq).value().sig.empty(); }

AppendOptions as(SignerPtr signer) {
  AppendOptions options;
  options.same_content_repeats = false;
  options.signer = std::move(signer);
  return options;
}

std::string why_not(const Result<std::int64_t>& countersigned) {
  REQUIRE(!countersigned.ok());
  CHECK(countersigned.error().code() == ErrorCode::invalid);
  return countersigned.error().sentence();
}

}  // namespace

TEST_CASE("who is signed in signs and is the one who did it unless another is named") {
  WardLedger ward;
  give(ward, "ana", "483920");
  const SignerPtr ana = sign_in(ward, "ana", "483920");
  const auto done = ward.append({opening("PK-1"), opening("PK-2", "mara")}, as(ana));
  CHECK_EQ(*ward.entry(done.first).text_at("by"), "ana");
  CHECK_EQ(*ward.entry(done.last).text_at("by"), "mara");
  for (const std::int64_t seq : done.seqs) CHECK_EQ(key_of(ward, seq), hex(ana->key.public_key()));
  CHECK(!is_signed(ward, done.first));
  CHECK(is_signed(ward, done.last));
  CHECK(ward.entry(done.last).number_at("signs") == static_cast<double>(done.first));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a file of lines is signed by the person too") {
  WardLedger ward;
  give(ward, "ana", "483920");
  const SignerPtr ana = sign_in(ward, "ana", "483920");
  std::string lines;
  for (int i = 0; i < 12'000; ++i)
    lines += R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00","pack":"PK-)" + std::to_string(i) + "\"}\n";
  const auto done = ward.ledger().append_lines(lines, as(ana));
  REQUIRE(done.ok());
  CHECK(done.value().refusals.empty());
  CHECK_EQ(done.value().taken, 12'000);
  CHECK_EQ(key_of(ward, done.value().last), hex(ana->key.public_key()));
  CHECK_EQ(*ward.entry(done.value().first).text_at("by"), "ana");
  CHECK(is_signed(ward, done.value().first + 9'999));
  CHECK(is_signed(ward, done.value().last));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("in one commit each key signs once on its last event there") {
  WardLedger ward;
  give(ward, "ana", "483920");
  give(ward, "mara", "550731");
  const SignerPtr ana = sign_in(ward, "ana", "483920");
  const SignerPtr mara = sign_in(ward, "mara", "550731");
  std::vector<GivenEvent> given;
  given.push_back({1, opening("PK-1"), ana});
  given.push_back({2, opening("PK-2"), mara});
  given.push_back({3, opening("PK-3", "st-1")});
  given.push_back({4, opening("PK-4"), ana});
  given.push_back({5, opening("PK-5"), mara});
  given.push_back({6, opening("PK-6"), mara});
  const auto done = ward.ledger().append(std::move(given), as(nullptr));
  REQUIRE(done.ok());
  REQUIRE(done.value().refusals.empty());
  const std::int64_t first = done.value().first;
  const bool expected[] = {false, false, true, true, false, true};
  for (std::int64_t i = 0; i < 6; ++i) CHECK_EQ(is_signed(ward, first + i), expected[i]);
  CHECK(ward.entry(first + 2).find("signs") == nullptr);
  CHECK(ward.entry(first + 3).number_at("signs") == static_cast<double>(first));
  CHECK(ward.entry(first + 5).number_at("signs") == static_cast<double>(first + 1));
  CHECK_EQ(*ward.entry(first + 1).text_at("by"), "mara");
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("the first and last event of a key far apart in one commit are both covered") {
  WardLedger ward;
  give(ward, "ana", "483920");
  const SignerPtr ana = sign_in(ward, "ana", "483920");
  std::vector<GivenEvent> given;
  given.push_back({1, opening("A"), ana});
  for (int i = 0; i < 10'050; ++i) given.push_back({i + 2, opening("PK-" + std::to_string(i), "st-1")});
  given.push_back({10'053, opening("B"), ana});
  const auto done = ward.ledger().append(std::move(given), as(nullptr));
  REQUIRE(done.ok());
  CHECK(is_signed(ward, done.value().first));
  CHECK(is_signed(ward, done.value().last));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a clock that went back is noted by the station whoever is signed in") {
  WardLedger ward;
  give(ward, "ana", "483920");
  const SignerPtr ana = sign_in(ward, "ana", "483920");
  ward.clock().move(-3'600'000);
  const auto done = ward.append({opening("PK-1")}, as(ana));
  CHECK_EQ(*ward.entry(done.last - 1).text_at("kind"), "clock-noted");
  CHECK_EQ(key_of(ward, done.last - 1), hex(ward.ledger().keys()->station_key.public_key()));
  CHECK(is_signed(ward, done.last - 1));
  CHECK_EQ(key_of(ward, done.last), hex(ana->key.public_key()));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a wrong PIN and an unknown person are refused in plain words") {
  WardLedger ward;
  give(ward, "ana", "483920");
  const auto wrong = ward.ledger().unlock("ana", "483921");
  REQUIRE(!wrong.ok());
  CHECK(wrong.error().code() == ErrorCode::denied);
  CHECK_EQ(wrong.error().sentence(), "that is not the PIN of ana");
  const auto unknown = ward.ledger().unlock("nobody", "483921");
  REQUIRE(!unknown.ok());
  CHECK(unknown.error().code() == ErrorCode::missing);
  CHECK(holds(unknown.error().sentence(), "nobody has no key here"));
}

TEST_CASE("wrong PINs have to wait and a right one ends the waiting") {
  WardLedger ward;
  give(ward, "ana", "483920");
  for (int i = 0; i < 3; ++i) CHECK(holds(ward.ledger().unlock("ana", "1").error().sentence(), "not the PIN"));
  const auto waits = ward.ledger().unlock("ana", "483920");
  REQUIRE(!waits.ok());
  CHECK(waits.error().code() == ErrorCode::denied);
  CHECK(holds(waits.error().sentence(), "the next one is looked at in 1 s"));
  ward.clock().move(1000);
  CHECK(holds(ward.ledger().unlock("ana", "2").error().sentence(), "not the PIN"));
  ward.clock().move(1000);
  CHECK(holds(ward.ledger().unlock("ana", "483920").error().sentence(), "in 1 s"));
  ward.clock().move(1000);
  CHECK(ward.ledger().unlock("ana", "483920").ok());
  for (int i = 0; i < 2; ++i) CHECK(holds(ward.ledger().unlock("ana", "1").error().sentence(), "not the PIN"));
  CHECK(ward.ledger().unlock("ana", "483920").ok());
  struct stat info {};
  REQUIRE(::stat(people::key_path(ward.path()).c_str(), &info) == 0);
  CHECK_EQ(info.st_mode & 0777U, 0600U);
}

TEST_CASE("a new PIN retires the key before it and leaves the old record whole") {
  WardLedger ward;
  give(ward, "ana", "483920");
  const SignerPtr before = sign_in(ward, "ana", "483920");
  ward.append({opening("PK-1")}, as(before));
  give(ward, "ana", "771204");
  CHECK(!ward.ledger().unlock("ana", "483920").ok());
  const SignerPtr after = sign_in(ward, "ana", "771204");
  CHECK(before->key.public_key() != after->key.public_key());
  const auto late = ward.ledger().append({{1, opening("PK-2")}}, as(before));
  REQUIRE(!late.ok());
  CHECK(late.error().code() == ErrorCode::denied);
  ward.append({opening("PK-3")}, as(after));
  CHECK(problems(ward.ledger()).empty());
  const people::KeyBook book = ward.ledger().key_book().value();
  CHECK_EQ(book.find(hex(before->key.public_key()))->retired->cause, "pin-forgotten");
  CHECK(people::KeyFile::read(people::key_path(ward.path())).value().persons.size() == 1);
  give(ward, "ana", "660718", after);
  CHECK_EQ(ward.ledger().key_book().value().find(hex(after->key.public_key()))->retired->cause, "rotated");
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("who left signs nothing any more and their sealed key is gone") {
  WardLedger ward;
  give(ward, "ana", "483920");
  const SignerPtr ana = sign_in(ward, "ana", "483920");
  const auto gone = leave(ward.ledger(), {.person = "ana", .at = {noon(), 0}});
  REQUIRE(gone.ok());
  CHECK_EQ(*ward.entry(gone.value()).text_at("cause"), "left");
  CHECK_EQ(*ward.entry(gone.value() - 1).text_at("kind"), "person-left");
  CHECK(!ward.ledger().unlock("ana", "483920").ok());
  CHECK(!ward.ledger().append({{1, opening("PK-1")}}, as(ana)).ok());
  CHECK(people::KeyFile::read(people::key_path(ward.path())).value().persons.empty());
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a key that was prepared but never came into force serves nobody and the old PIN goes on") {
  WardLedger ward;
  give(ward, "ana", "483920");
  const auto changed =
      people::KeyFile::change(people::key_path(ward.path()), [](people::KeyFile& file) -> Result<void> {
        const auto key = crypto::SigningKey::from_seed(Digest{7});
        file.persons.insert(file.persons.begin(),
                            people::seal_key(key, "ana", "771204", file.station_secret(), cheap).value());
        return {};
      });
  REQUIRE(changed.ok());
  CHECK(!ward.ledger().unlock("ana", "771204").ok());
  CHECK(ward.ledger().unlock("ana", "483920").ok());
  give(ward, "ana", "660718");
  CHECK(ward.ledger().unlock("ana", "660718").ok());
  CHECK(people::KeyFile::read(people::key_path(ward.path())).value().persons.size() == 1);
}

TEST_CASE("a countersignature is a second person's own signature and counts once") {
  WardLedger ward;
  give(ward, "ana", "483920");
  give(ward, "mara", "550731");
  give(ward, "ines", "114477");
  const SignerPtr ana = sign_in(ward, "ana", "483920");
  const SignerPtr mara = sign_in(ward, "mara", "550731");
  const SignerPtr ines = sign_in(ward, "ines", "114477");
  const std::int64_t opened = ward.append({opening("PK-1", "mara")}, as(ana)).last;
  json::Value correction =
      event_of(R"({"kind":"corrected","at":"2026-10-05T10:00:00+05:00","replacement":null,"why":"twice"})");
  correction.set("of", opened);
  const std::int64_t corrected = ward.append({correction}, as(ana)).last;
  CHECK(ward.ledger().second(opened).value().second == people::Second::none_needed);
  CHECK(ward.ledger().second(corrected).value().second == people::Second::awaiting);

  CHECK(holds(why_not(ward.ledger().countersign(opened, mara)), "mara did it"));
  CHECK(holds(why_not(ward.ledger().countersign(opened, ana)), "entered and signed"));
  CHECK(holds(why_not(ward.ledger().countersign(corrected, ana)), "ana did it"));
  CHECK(holds(why_not(ward.ledger().countersign(999, ines)), "no event with seq 999"));
  const auto counted = ward.ledger().countersign(corrected, ines);
  REQUIRE(counted.ok());
  CHECK(is_signed(ward, counted.value()));
  CHECK_EQ(*ward.entry(counted.value()).text_at("by"), "ines");
  const auto answer = ward.ledger().second(corrected);
  CHECK(answer.value().second == people::Second::confirmed);
  CHECK(answer.value().confirmed_by == counted.value());
  CHECK(holds(why_not(ward.ledger().countersign(corrected, ines)), "already"));
  CHECK(holds(why_not(ward.ledger().countersign(counted.value(), mara)), "itself a countersignature"));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("where a second is named only that person's countersignature counts") {
  WardLedger ward;
  give(ward, "mara", "550731");
  give(ward, "ines", "114477");
  const SignerPtr mara = sign_in(ward, "mara", "550731");
  const SignerPtr ines = sign_in(ward, "ines", "114477");
  const std::int64_t released =
      ward.take(R"({"kind":"load-released","at":"2026-10-05T10:00:00+05:00","by":"ana","load":"L-1","second":"ines"})");
  CHECK(ward.ledger().second(released).value().second == people::Second::awaiting);
  CHECK(holds(why_not(ward.ledger().countersign(released, mara)), "names ines"));
  CHECK(ward.ledger().countersign(released, ines).ok());
  CHECK(ward.ledger().second(released).value().second == people::Second::confirmed);
}

TEST_CASE("a key reported stolen seconds nothing from that time on") {
  WardLedger ward;
  give(ward, "ines", "114477");
  const SignerPtr ines = sign_in(ward, "ines", "114477");
  const std::string release =
      R"({"kind":"load-released","at":"2026-10-05T10:00:00+05:00","by":"ana","second":"ines","load":")";
  const std::int64_t early = ward.take(release + "L-1\"}");
  REQUIRE(ward.ledger().countersign(early, ines).ok());
  ward.clock().move(3'600'000);
  const DateTime since{ward.clock().now(), 0};
  ward.clock().move(3'600'000);
  const std::int64_t late = ward.take(release + "L-2\"}");
  REQUIRE(ward.ledger().countersign(late, ines).ok());
  const auto retired =
      retire_key(ward.ledger(), {.public_key = hex(ines->key.public_key()), .cause = "stolen", .since = since});
  REQUIRE(retired.ok());
  CHECK(ward.ledger().second(early).value().second == people::Second::confirmed);
  CHECK(ward.ledger().second(late).value().second == people::Second::awaiting);
}

TEST_CASE("the program's own keys are rotated and not merely retired") {
  WardLedger ward;
  for (const crypto::SigningKey* key : {&ward.ledger().keys()->station_key, &ward.ledger().keys()->ledger_key}) {
    const auto retired =
        retire_key(ward.ledger(), {.public_key = hex(key->public_key()), .cause = "lost", .since = {noon(), 0}});
    REQUIRE(!retired.ok());
    CHECK(retired.error().code() == ErrorCode::invalid);
    CHECK(holds(retired.error().sentence(), "key rotate"));
  }
  CHECK(!retire_key(ward.ledger(), {.public_key = std::string(64, '0'), .cause = "lost", .since = {noon(), 0}}).ok());
}

TEST_CASE("an edition is put in force and confirmed by who has the right once somebody who has it can sign in") {
  WardLedger ward;
  const auto enrol = [&](const std::string& person, const std::string& role) {
    ward.take(R"({"kind":"person-enrolled","at":"2026-10-05T08:00:00+05:00","by":"mara","person":")" + person +
              R"(","name":"N","roles":[")" + role + R"("]})");
  };
  enrol("mara", "steward");
  enrol("ana", "nurse");
  const std::string confirmed =
      R"({"kind":"sop-confirmed","at":"2026-10-05T09:00:00+05:00","by":"ana","sop":5,"slip":")";
  ward.take(confirmed + R"(one"})");  // nobody can sign in yet
  give(ward, "mara", "483920");
  CHECK(any_holds(ward.refusals(confirmed + R"(two"})"), "kind: to confirm an SOP"));
  give(ward, "ana", "583920", sign_in(ward, "mara", "483920"));
  const auto signed_by = [&](const std::string& person, const std::string& pin) {
    const auto done = ward.append({event_of(confirmed + person + R"("})")}, as(sign_in(ward, person, pin)));
    return done.taken;
  };
  CHECK_EQ(signed_by("ana", "583920"), 0);
  CHECK_EQ(signed_by("mara", "483920"), 1);
  // What a correction makes of an event is looked at too.
  const std::int64_t seq = ward.size();
  CHECK(any_holds(
      ward.refusals(R"({"kind":"corrected","at":"2026-10-05T10:00:00+05:00","by":"ana","of":)" + std::to_string(seq) +
                    R"(,"why":"other hour","replacement":{"kind":"sop-confirmed","at":)" +
                    R"("2026-10-05T09:30:00+05:00","by":"ana","sop":5}})"),
      "kind: to confirm an SOP"));
}
