#include "importer/judging/likeness.h"

#include "importer/judging/trace.h"
#include "tests/importer/judging/invented_cycles.h"
#include "tests/importer/judging/invented_library.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

InventedLibrary library_of(const std::vector<Recorded>& stored) {
  InventedLibrary library;
  for (const Recorded& one : stored) library.add(one);
  REQUIRE(library.size() == stored.size());
  return library;
}

std::vector<Recorded> cycles(const Machine& machine, int count, std::mt19937& random) {
  std::vector<Recorded> out;
  for (int i = 0; i < count; ++i) out.push_back(cycle_of(machine, random));
  return out;
}

constexpr Machine even{.control_k = 0.15, .repeat = 0.01, .hold_jitter_s = 2, .settle_k = 0.03};

}  // namespace

TEST_SUITE("importer/judging/likeness.h") {
  TEST_CASE("a copy is found as it is or shifted or with a constant or at another step or with a little noise") {
    std::mt19937 random(11);
    for (const Machine& machine : {Machine{}, even}) {
      const auto stored = cycles(machine, 40, random);
      InventedLibrary library = library_of(stored);
      const Copying ways[] = {{},
                              {.shift_s = 90'061.5},
                              {.offset_k = 0.7},
                              {.offset_k = -1.3},
                              {.step_s = 20},
                              {.step_s = 7},
                              {.noise_k = 0.05},
                              {.shift_s = 3600, .offset_k = 0.2, .noise_k = 0.04}};
      int missed = 0;
      for (const Copying& way : ways) {
        for (std::size_t i = 0; i < 10; ++i) {
          const auto found = library.find(copy_of(stored[i], way, machine.resolution_k, random));
          missed += found == i ? 0 : 1;
        }
      }
      CHECK(missed <= 1);
    }
  }

  TEST_CASE("a copy at one reading a minute is found among many and no other cycle is taken for one") {
    std::mt19937 random(13);
    for (const double step_s : {10.0, 60.0}) {
      for (Machine machine : {Machine{}, even}) {
        machine.step_s = step_s;
        const auto stored = cycles(machine, 200, random);
        InventedLibrary library = library_of(stored);
        int missed = 0;
        for (std::size_t i = 0; i < 20; ++i) {
          const Copying way{.shift_s = 90'061.5, .offset_k = 0.3, .step_s = 60};
          const auto found = library.find(copy_of(stored[i], way, machine.resolution_k, random));
          missed += found == i ? 0 : 1;
        }
        CHECK(missed <= 1);
        Machine slow = machine;
        slow.step_s = 60;
        int alarms = 0;
        for (const Recorded& one : cycles(slow, 40, random)) alarms += library.find(one) ? 1 : 0;
        CHECK(alarms == 0);
      }
    }
  }

  TEST_CASE("a copy by averages is found and a logger that writes averages is not accused") {
    std::mt19937 random(19);
    const Copying means{.shift_s = 90'061.5, .step_s = 60, .averaged = true};
    const auto stored = cycles(Machine{}, 120, random);
    InventedLibrary library = library_of(stored);
    int missed = 0;
    int alarms = 0;
    for (std::size_t i = 0; i < 20; ++i) {
      missed += library.find(copy_of(stored[i], means, 0.1, random)) == i ? 0 : 1;
      alarms += library.find(copy_of(cycle_of({}, random), means, 0.1, random)) ? 1 : 0;
    }
    CHECK(missed <= 2);
    CHECK(alarms == 0);
  }

  TEST_CASE("a noisy copy at one reading a minute stands out of the crowd of genuine cycles") {
    std::mt19937 random(23);
    const Machine minute{.step_s = 60};
    const auto stored = cycles(minute, 120, random);
    InventedLibrary library = library_of(stored);
    const Copying noisy{.offset_k = 0.2, .noise_k = 0.05};
    int missed = 0;
    int alarms = 0;
    for (std::size_t i = 0; i < 20; ++i) {
      missed += library.find(copy_of(stored[i], noisy, 0.1, random)) == i ? 0 : 1;
      alarms += library.find(cycle_of(minute, random)) ? 1 : 0;
    }
    CHECK(missed <= 6);
    CHECK(alarms == 0);
  }

  TEST_CASE("a crowd tells how improbable a place in it is and a few curves tell nothing") {
    std::mt19937 random(29);
    std::normal_distribution<double> spread(0, 1);
    const auto apart = [&] {
      double sum = 0;
      for (int i = 0; i < 30; ++i) sum += std::pow(spread(random), 2);
      return judging::Apart{.top_k = 0.1 * std::sqrt(sum / 30), .ramp_k = 0.3 * std::abs(spread(random)) + 0.1};
    };
    judging::Crowd crowd;
    for (int i = 0; i < 39; ++i) crowd.add(apart());
    CHECK_FALSE(crowd.improbable({.top_k = 0.001, .ramp_k = 0.001}));
    for (int i = 0; i < 400; ++i) crowd.add(apart());
    CHECK(*crowd.improbable({.top_k = 0.1, .ramp_k = 0.3}) == 0);
    CHECK(*crowd.improbable({.top_k = 0.02, .ramp_k = 0.02}) > 13);
    double least = 0;
    for (int i = 0; i < 2000; ++i) least = std::max(least, *crowd.improbable(apart()));
    CHECK(least < 6);
  }

  TEST_CASE("a trace is the readings of the top where they lie evenly") {
    std::mt19937 random(17);
    const Recorded one = cycle_of({.step_s = 60}, random);
    const auto curve = judging::outline_of(one.curve());
    REQUIRE(curve);
    const judging::Trace trace = judging::trace_of(*curve);
    CHECK(trace.step_s == 60);
    CHECK(judging::apart_from(*curve, 60, trace).top_k < 1e-4);
    CHECK(judging::has_few_readings(*curve));
    CHECK_FALSE(judging::has_few_readings(*judging::outline_of(cycle_of({.step_s = 5}, random).curve())));
    CHECK_FALSE(judging::outline_of(judging::Curve{}));
  }

  TEST_CASE("an outline comes back from its bytes as it was and other bytes are none") {
    std::mt19937 random(18);
    for (const double resolution_k : {0.1, 1e-9}) {
      const auto outline = judging::outline_of(cycle_of({.step_s = 7, .resolution_k = resolution_k}, random).curve());
      REQUIRE(outline);
      const Bytes bytes = judging::encode_outline(*outline);
      const auto back = judging::decode_outline(bytes);
      REQUIRE(back);
      CHECK(back->at_s == outline->at_s);
      CHECK(back->cold_c == outline->cold_c);
      CHECK(back->top.from_s == outline->top.from_s);
      CHECK(back->top.until_s == outline->top.until_s);
      CHECK(back->top.top_c == outline->top.top_c);
      CHECK(back->step_s == outline->step_s);
      for (std::size_t size = 0; size < bytes.size(); ++size)
        CHECK_FALSE(judging::decode_outline(ByteView(bytes).first(size)));
    }
  }

  TEST_CASE("of many the likest is told with what comes next to it in whatever order they are offered") {
    const judging::Overlaid near{.shift_s = 1, .rms_k = 0.1};
    const judging::Overlaid next{.shift_s = 2, .rms_k = 0.2};
    const judging::Overlaid far{.shift_s = 3, .rms_k = 0.3};
    for (const auto& order : {std::vector{near, next, far}, {far, next, near}, {next, far, near}, {next, near, far}}) {
      judging::Likest likest;
      for (const auto& one : order) likest.offer(static_cast<std::size_t>(one.shift_s), one);
      CHECK(likest.place() == 1U);
      CHECK(likest.lie().rms_k == 0.1);
      CHECK(likest.next_rms_k() == 0.2);
    }
  }

  TEST_CASE("a cycle of the same sterilizer is not taken for a copy") {
    std::mt19937 random(12);
    for (const Machine& machine :
         {Machine{}, even, Machine{.step_s = 60}, Machine{.step_s = 60, .resolution_k = 0.5}}) {
      const auto stored = cycles(machine, 80, random);
      InventedLibrary library = library_of(stored);
      int alarms = 0;
      for (const Recorded& one : cycles(machine, 40, random)) alarms += library.find(one) ? 1 : 0;
      CHECK(alarms <= 1);
    }
  }

  TEST_CASE("shift and offset are told") {
    std::mt19937 random(13);
    const Recorded original = cycle_of({}, random);
    const auto found = judging::likeness(original.curve(), copy_of(original, {.offset_k = 0.5}, 0.1, random).curve());
    REQUIRE(found);
    CHECK(std::abs(found->offset_k - 0.5) < 0.01);
    CHECK(std::abs(found->shift_s) < 0.1);
    CHECK(found->shared > 0.99);
    const auto stranger = judging::likeness(original.curve(), cycle_of({}, random).curve());
    if (stranger) CHECK(stranger->shared < 0.45);
  }

  TEST_CASE("a curve that does not rise and fall has no sketch") {
    CHECK_FALSE(judging::sketch_of(recorded(std::vector<double>(50, 121.0), 10, 0.1).curve(), 10));
    CHECK_FALSE(judging::sketch_of(recorded({20, 30, 20}, 10, 0.1).curve(), 10));
    CHECK_FALSE(judging::sketch_of(judging::Curve{}, 1));
  }

  TEST_CASE("a sketch comes back from its bytes and other bytes are none") {
    std::mt19937 random(14);
    const auto sketch = judging::sketch_of(cycle_of({}, random).curve(), 10);
    REQUIRE(sketch);
    const Bytes bytes = judging::encode_sketch(sketch);
    CHECK(bytes.size() < 150);
    const auto back = judging::decode_sketch(bytes);
    REQUIRE(back);
    CHECK(*judging::apart_k(*sketch, *back) < 0.01);
    for (std::size_t size = 0; size < bytes.size(); ++size)
      CHECK_FALSE(judging::decode_sketch(ByteView(bytes).first(size)));
    CHECK(judging::encode_sketch(std::nullopt).empty());
  }
}
