// Who may do what: rights come of enrolments that count, not of what anybody wrote down.
#include "ledger/people/roster.h"

#include <algorithm>

#include "ledger/persons.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;
using people::Right;

namespace {

using SignerPtr = std::shared_ptr<const people::Signer>;

std::int64_t enrol(WardLedger& ward, const std::string& person, const std::string& roles, SignerPtr signer = nullptr) {
  json::Value event = event_of(
      R"({"kind":"person-enrolled","at":"2026-10-05T08:00:00+05:00","by":"station-1","name":"A person","roles":)" +
      roles + "}");
  event.set("person", person);
  AppendOptions options;
  options.signer = std::move(signer);
  return ward.append({event}, options).last;
}

SignerPtr with_key(WardLedger& ward, const std::string& person, SignerPtr signer = nullptr) {
  REQUIRE(
      give_key(ward.ledger(),
               {.person = person, .pin = "483920", .signer = std::move(signer), .cost = {.passes = 1, .memory_kib = 8}})
          .ok());
  return ward.ledger().unlock(person, "483920").value();
}

bool may(WardLedger& ward, const std::string& person, Right right) {
  return ward.ledger().roster().value().may(person, right);
}

}  // namespace

TEST_CASE("the table names each right once and a role that exists for each") {
  std::size_t index = 0;
  for (const people::RightRow& row : people::rights()) {
    CHECK_EQ(static_cast<std::size_t>(row.right), index++);
    CHECK(!row.name.empty());
    for (const std::string_view role : row.roles) {
      const events::Field* roles = events::find_kind("person-enrolled")->field("roles");
      CHECK(std::find(roles->choices.begin(), roles->choices.end(), role) != roles->choices.end());
    }
  }
}

TEST_CASE("until somebody can sign in with the right to enrol every enrolment counts") {
  WardLedger ward;
  enrol(ward, "mara", R"(["steward"])");
  enrol(ward, "ana", R"(["nurse"])");
  CHECK(may(ward, "mara", Right::enrol));
  CHECK(may(ward, "ana", Right::read_numbers));
  CHECK(!may(ward, "ana", Right::enrol));
  CHECK(!may(ward, "nobody", Right::correct));
  CHECK(ward.ledger().may(Right::enrol, nullptr).ok());
  CHECK(ward.ledger().roster().value().who_may(Right::enrol).empty());
}

TEST_CASE("afterwards an enrolment by the station gives roles to look at and no rights") {
  WardLedger ward;
  enrol(ward, "mara", R"(["steward"])");
  enrol(ward, "ana", R"(["nurse"])");
  const SignerPtr mara = with_key(ward, "mara");
  enrol(ward, "eva", R"(["steward","quality"])");
  const people::Roster roster = ward.ledger().roster().value();
  CHECK_EQ(joined(roster.find("eva")->roles), joined({"steward", "quality"}));
  CHECK(roster.find("eva")->trusted_roles.empty());
  CHECK(!roster.may("eva", Right::enrol));
  CHECK(!roster.may("eva", Right::correct));
  CHECK(roster.may("ana", Right::read_numbers));
  CHECK(!ward.ledger().may(Right::enrol, nullptr).ok());
  CHECK(ward.ledger().may(Right::enrol, mara).ok());
  enrol(ward, "eva", R"(["quality"])", mara);
  CHECK(may(ward, "eva", Right::erase));
  CHECK(!may(ward, "eva", Right::enrol));
}

TEST_CASE("a person without the right cannot give it") {
  WardLedger ward;
  enrol(ward, "mara", R"(["steward"])");
  enrol(ward, "ana", R"(["nurse"])");
  const SignerPtr mara = with_key(ward, "mara");
  const SignerPtr ana = with_key(ward, "ana", mara);
  enrol(ward, "ana", R"(["nurse","steward"])", ana);
  CHECK(!may(ward, "ana", Right::enrol));
  const auto refused = ward.ledger().may(Right::enrol, ana);
  REQUIRE(!refused.ok());
  CHECK(refused.error().code() == ErrorCode::denied);
  CHECK_EQ(refused.error().sentence(),
           "ana may not enrol people and give them keys; that takes one of the roles: steward. Who may and can sign "
           "in: mara");
}

TEST_CASE("nor can a correction that the station enters") {
  WardLedger ward;
  enrol(ward, "mara", R"(["steward"])");
  const std::int64_t ana = enrol(ward, "ana", R"(["nurse"])");
  const SignerPtr mara = with_key(ward, "mara");
  const std::string correction =
      R"({"kind":"corrected","at":"2026-10-05T09:00:00+05:00","by":"ana","why":"typed wrong","of":)" +
      std::to_string(ana) +
      R"(,"replacement":{"kind":"person-enrolled","at":"2026-10-05T08:00:00+05:00","by":"ana","person":"ana",)"
      R"("name":"A person","roles":["steward"]}})";
  ward.take(correction);
  CHECK_EQ(joined(ward.ledger().roster().value().find("ana")->roles), joined({"steward"}));
  CHECK(!may(ward, "ana", Right::enrol));
  CHECK(may(ward, "ana", Right::read_numbers));
  AppendOptions signed_by_mara;
  signed_by_mara.signer = mara;
  signed_by_mara.same_content_repeats = false;
  ward.append({event_of(correction)}, signed_by_mara);
  CHECK(may(ward, "ana", Right::enrol));
}

TEST_CASE("who left has no rights when somebody who may said so") {
  WardLedger ward;
  enrol(ward, "mara", R"(["steward"])");
  enrol(ward, "ana", R"(["nurse"])");
  const SignerPtr mara = with_key(ward, "mara");
  ward.take(R"({"kind":"person-left","at":"2026-10-05T09:00:00+05:00","by":"station-1","person":"mara"})");
  CHECK(ward.ledger().roster().value().find("mara")->left);
  CHECK(may(ward, "mara", Right::enrol));
  REQUIRE(leave(ward.ledger(), {.person = "ana", .at = {noon(), 0}, .signer = mara}).ok());
  CHECK(!may(ward, "ana", Right::read_numbers));
  CHECK(ward.ledger().roster().value().find("ana")->left);
}

TEST_CASE("rights that nobody can have yet are the station's and numbers never are") {
  WardLedger ward;
  CHECK(ward.ledger().may(Right::retire_key, nullptr).ok());
  CHECK(ward.ledger().may(Right::adopt_sop, nullptr).ok());
  const auto numbers = ward.ledger().may(Right::read_numbers, nullptr);
  REQUIRE(!numbers.ok());
  CHECK(holds(numbers.error().sentence(), "--as PERSON"));
  CHECK(holds(numbers.error().sentence(), "nobody yet"));
  CHECK(!ward.ledger().may(Right::erase, nullptr).ok());
}

TEST_CASE("who may release is the SOP's to say") {
  WardLedger ward;
  enrol(ward, "mara", R"(["steward"])");
  const SignerPtr mara = with_key(ward, "mara");
  const sop::Editions editions = ward.ledger().editions().value();
  const auto& roles = editions.at(noon())->sop.release_roles;
  REQUIRE(roles);
  enrol(ward, "ana", "[\"" + roles->front() + "\"]", mara);
  const SignerPtr ana = with_key(ward, "ana", mara);
  CHECK(ward.ledger().may(Right::release, ana).ok());
  CHECK(!ward.ledger().may(Right::release, mara).ok());
}
