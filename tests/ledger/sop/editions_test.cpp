#include "ledger/sop/sop.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

sop::Sop named(const char* edition) {
  sop::Sop sop;
  sop.edition = edition;
  return sop;
}

std::string at(const sop::Editions& editions, std::int64_t ms) {
  const sop::Edition* edition = editions.at(Instant{ms});
  return edition == nullptr ? "none" : edition->sop.edition;
}

}  // namespace

TEST_CASE("a ledger without an edition has none at any time") { CHECK_EQ(at(sop::Editions(), 5), "none"); }

TEST_CASE("the first edition covers all time before it and is never backdated") {
  sop::Editions editions;
  editions.add(5, named("a"), Instant{100}, Instant{200});
  CHECK_EQ(at(editions, 0), "a");
  CHECK_EQ(at(editions, 1000), "a");
  CHECK(!editions.all().front().backdated);
}

TEST_CASE("a later edition put in force before its recording judges from its recording on") {
  sop::Editions editions;
  editions.add(5, named("a"), Instant{100}, Instant{100});
  editions.add(9, named("b"), Instant{200}, Instant{500});
  CHECK_EQ(at(editions, 499), "a");
  CHECK_EQ(at(editions, 500), "b");
  CHECK(editions.all()[1].backdated);
}

TEST_CASE("a later edition with a future date judges from that date on") {
  sop::Editions editions;
  editions.add(5, named("a"), Instant{100}, Instant{100});
  editions.add(9, named("b"), Instant{900}, Instant{500});
  CHECK_EQ(at(editions, 899), "a");
  CHECK_EQ(at(editions, 900), "b");
  CHECK(!editions.all()[1].backdated);
}

TEST_CASE("of two editions that judge from the same instant the later seq holds whatever the order of adding") {
  sop::Editions editions;
  editions.add(9, named("c"), Instant{300}, Instant{300});
  editions.add(5, named("a"), Instant{100}, Instant{100});
  editions.add(7, named("b"), Instant{300}, Instant{300});
  CHECK_EQ(at(editions, 300), "c");
  CHECK_EQ(at(editions, 0), "a");
  CHECK_EQ(editions.all()[1].seq, 7);
}

TEST_CASE("a load takes the program nearest to its temperature within the band") {
  sop::Sop sop;
  sop.steam_programs = {
      {.temperature_c = 121, .band_k = 3, .hold_minutes_wrapped = {}, .hold_minutes_unwrapped = {}, .f0_min = {}},
      {.temperature_c = 132, .band_k = 3, .hold_minutes_wrapped = {}, .hold_minutes_unwrapped = {}, .f0_min = {}},
      {.temperature_c = 134, .band_k = 3, .hold_minutes_wrapped = {}, .hold_minutes_unwrapped = {}, .f0_min = {}}};
  CHECK_EQ(sop.program_for(124)->temperature_c, 121);
  CHECK(sop.program_for(124.5) == nullptr);
  CHECK_EQ(sop.program_for(133)->temperature_c, 134);
  CHECK_EQ(sop.program_for(132.9)->temperature_c, 132);
  CHECK_EQ(sop.nearest_program(124.5)->temperature_c, 121);
  CHECK(sop::Sop().nearest_program(121) == nullptr);
}

TEST_CASE("a program without a band takes every temperature") {
  sop::Sop sop;
  sop.steam_programs = {
      {.temperature_c = 121, .band_k = {}, .hold_minutes_wrapped = {}, .hold_minutes_unwrapped = {}, .f0_min = {}}};
  CHECK_EQ(sop.program_for(100)->temperature_c, 121);
}
