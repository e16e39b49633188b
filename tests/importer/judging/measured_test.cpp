#include "importer/judging/measured.h"

#include <bit>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <random>

#include "importer/judging/packed.h"
#include "importer/judging/verdict.h"
#include "importer/physics/units.h"
#include "tests/importer/judging/curves.h"
#include "tests/support/test.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

namespace fs = std::filesystem;

bool same(double a, double b) {
  return (std::isnan(a) && std::isnan(b)) || std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b);
}

void check_same(const judging::Series& a, const judging::Series& b) {
  CHECK(a.temperatures == b.temperatures);
  CHECK(a.in_load == b.in_load);
  CHECK(a.pressure_name == b.pressure_name);
  CHECK(a.pressure_sense == b.pressure_sense);
  CHECK(a.has_barometer == b.has_barometer);
  CHECK(a.pressure_unusable == b.pressure_unusable);
  CHECK(a.conflicts == b.conflicts);
  CHECK(a.backward == b.backward);
  CHECK(a.interval_s == b.interval_s);
  REQUIRE(a.samples.size() == b.samples.size());
  std::size_t differ = 0;
  for (std::size_t i = 0; i < a.samples.size(); ++i) {
    const judging::Sample& x = a.samples[i];
    const judging::Sample& y = b.samples[i];
    bool all = x.at == y.at && same(x.elapsed_s, y.elapsed_s) && x.line == y.line &&
               same(x.pressure_kpa, y.pressure_kpa) && same(x.room_kpa, y.room_kpa) &&
               same(x.pressure_kpa_abs, y.pressure_kpa_abs) && x.temperature_c.size() == y.temperature_c.size();
    for (std::size_t k = 0; all && k < x.temperature_c.size(); ++k) all = same(x.temperature_c[k], y.temperature_c[k]);
    differ += all ? 0 : 1;
  }
  CHECK(differ == 0);
}

// A stretch of rows as a logger of that kind writes them.
judging::Series invented(std::size_t rows, physics::TemperatureUnit unit, double step, std::uint32_t seed) {
  std::mt19937 random(seed);
  judging::Series series;
  series.temperatures = {"T1", "T2 \xC2\xB0"};
  series.in_load = {true, false};
  series.pressure_name = std::string("P");  // g++ 12 warns of `= "P"`
  series.pressure_sense = reading::Sense::gauge;
  series.interval_s = 10;
  for (std::size_t i = 0; i < rows; ++i) {
    const auto digit = [&] { return static_cast<double>(random() % 40) - 20; };
    const double shown = std::round((200 + 50 * std::sin(static_cast<double>(i) / 30) + digit() * step) / step);
    judging::Sample sample{.at = Instant{1'700'000'000'000 + static_cast<std::int64_t>(i) * 10'000},
                           .elapsed_s = static_cast<double>(i) * 10,
                           .line = static_cast<std::int64_t>(i) + 12,
                           .temperature_c = {},
                           .pressure_kpa = physics::kilopascals(std::round(digit()) / 100, physics::PressureUnit::bar),
                           .room_kpa = std::numeric_limits<double>::quiet_NaN(),
                           .pressure_kpa_abs = 0};
    sample.temperature_c.push_back(physics::celsius(shown / std::round(1 / step), unit).value);
    sample.temperature_c.push_back(i % 7 == 0 ? std::numeric_limits<double>::quiet_NaN() : digit() / 1000);
    sample.pressure_kpa_abs = sample.pressure_kpa + 84.5;
    series.samples.push_back(std::move(sample));
  }
  return series;
}

constexpr judging::Around highland{.ambient_kpa = 84.5, .error_k = 0};

std::string whole(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

}  // namespace

TEST_SUITE("importer/judging/measured.h") {
  TEST_CASE("what was measured comes back bit for bit and in few bytes") {
    for (const auto unit :
         {physics::TemperatureUnit::celsius, physics::TemperatureUnit::fahrenheit, physics::TemperatureUnit::kelvin}) {
      for (const double step : {1.0, 0.1, 0.01, 0.0001}) {
        const judging::Series series = invented(400, unit, step, 7);
        const judging::Stretch stretch{.first = 0, .last = 399, .hot_first = 20, .hot_last = 300};
        const Bytes bytes = judging::encode(series, stretch);
        const auto back = judging::decode(bytes, highland);
        REQUIRE(back);
        check_same(back->series, series);
        CHECK(back->stretch.hot_first == 20);
        CHECK(back->stretch.hot_last == 300);
        // Six columns of eight bytes would be 19,200.
        CHECK(bytes.size() < 400 * 10);
      }
    }
  }

  TEST_CASE("what is no decimal number comes back bit for bit too") {
    judging::Series series = invented(50, physics::TemperatureUnit::celsius, 0.1, 3);
    std::mt19937 random(5);
    for (judging::Sample& sample : series.samples) {
      sample.temperature_c[0] = 20 + static_cast<double>(random()) / 1e8;
      sample.elapsed_s += 1.0 / 7;
    }
    const auto back =
        judging::decode(judging::encode(series, {.first = 0, .last = 49, .hot_first = 0, .hot_last = 9}), highland);
    REQUIRE(back);
    check_same(back->series, series);
  }

  TEST_CASE("only the stretch is kept and its marks and its hot part with it") {
    judging::Series series = invented(100, physics::TemperatureUnit::celsius, 0.1, 9);
    series.conflicts = {3, 30, 31, 99};
    series.backward = {20};
    const judging::Stretch stretch{.first = 20, .last = 69, .hot_first = 25, .hot_last = 60};
    const auto back = judging::decode(judging::encode(series, stretch), highland);
    REQUIRE(back);
    const judging::Measured expected = judging::measured_of(series, stretch);
    check_same(back->series, expected.series);
    CHECK(back->series.conflicts == std::vector<std::size_t>{10, 11});
    CHECK(back->series.backward == std::vector<std::size_t>{0});
    CHECK(back->stretch.hot_first == 5);
    CHECK(back->stretch.hot_last == 40);
  }

  TEST_CASE("the room's pressure and the logger's error are the reader's and not the bytes'") {
    const judging::Series series = invented(30, physics::TemperatureUnit::fahrenheit, 0.1, 2);
    const Bytes bytes = judging::encode(series, {.first = 0, .last = 29, .hot_first = 0, .hot_last = 9});
    const auto lower = judging::decode(bytes, {.ambient_kpa = 101.325, .error_k = 1.5});
    REQUIRE(lower);
    for (std::size_t i = 0; i < 30; ++i) {
      CHECK(lower->series.samples[i].temperature_c[0] == series.samples[i].temperature_c[0] - 1.5);
      CHECK(lower->series.samples[i].pressure_kpa_abs == series.samples[i].pressure_kpa + 101.325);
    }
    CHECK_FALSE(lower->series.pressure_unusable);
    CHECK(judging::decode(bytes, {})->series.pressure_unusable);
  }

  TEST_CASE("every prefix and every change of a byte is nothing or a curve that is written again as itself") {
    judging::Series series = invented(12, physics::TemperatureUnit::celsius, 0.1, 4);
    series.conflicts = {2, 5};
    const Bytes bytes = judging::encode(series, {.first = 0, .last = 11, .hot_first = 1, .hot_last = 9});
    for (std::size_t size = 0; size < bytes.size(); ++size)
      CHECK_FALSE(judging::decode(ByteView(bytes).first(size), highland));
    Bytes longer = bytes;
    longer.push_back(0);
    CHECK_FALSE(judging::decode(longer, highland));
    std::size_t taken = 0;
    for (std::size_t at = 0; at < bytes.size(); ++at) {
      for (const int change : {1, 2, 0x80, 0xFF}) {
        Bytes other = bytes;
        other[at] = static_cast<std::uint8_t>(other[at] ^ change);
        const auto read = judging::decode(other, highland);
        if (!read) continue;
        ++taken;
        const auto again = judging::decode(judging::encode(read->series, read->stretch), highland);
        REQUIRE(again);
        check_same(again->series, read->series);
      }
    }
    CHECK(taken > 100);
  }

  TEST_CASE("every cycle of the cases is judged from its bytes as it was from the file") {
    const sop::Editions editions = invented_editions();
    std::size_t cycles = 0;
    for (const auto& entry : fs::directory_iterator(fs::path(TRAYPROOF_SOURCE_DIR) / "tests/cases/importer")) {
      if (entry.path().extension() != ".csv") continue;
      const std::string text = whole(entry.path());
      importer::Surroundings around;
      around.editions = &editions;
      around.altitude_m = 1500;
      const importer::Import import = importer::read_and_judge(as_bytes(text), {}, around);
      if (!import.asks.empty()) continue;
      REQUIRE(import.measured.size() == import.cycles.size());
      for (std::size_t i = 0; i < import.cycles.size(); ++i) {
        const auto back = judging::decode(import.measured[i].bytes, {.ambient_kpa = 84.55598});
        REQUIRE_MESSAGE(back, entry.path().filename().string());
        const importer::Cycle again = judging::judge(back->series, back->stretch, nullptr, around);
        CHECK_MESSAGE(again.verdict == import.cycles[i].verdict, entry.path().filename().string());
        CHECK(json::plain(*again.judged.find("hold")) == json::plain(*import.cycles[i].judged.find("hold")));
        CHECK(json::plain(*again.judged.find("f0_low")) == json::plain(*import.cycles[i].judged.find("f0_low")));
        CHECK(again.findings.size() == import.cycles[i].findings.size());
        ++cycles;
      }
    }
    CHECK(cycles > 25);
  }
}

TEST_SUITE("importer/judging/packed.h") {
  TEST_CASE("numbers of every size come back and only in their shortest spelling") {
    judging::Packer out;
    std::vector<std::uint64_t> values = {0, 1, 127, 128, 16383, 16384, ~0ULL, 1ULL << 63U};
    for (const std::uint64_t value : values) out.number(value);
    out.signed_number(std::numeric_limits<std::int64_t>::min());
    out.signed_number(-1);
    const Bytes bytes = out.done();
    judging::Unpacker in(bytes);
    for (const std::uint64_t value : values) CHECK(in.number(~0ULL) == value);
    CHECK(in.signed_number() == std::numeric_limits<std::int64_t>::min());
    CHECK(in.signed_number() == -1);
    CHECK(in.at_end());
    CHECK_FALSE(in.number(~0ULL));
    const Bytes padded = {0x80, 0x00};
    CHECK_FALSE(judging::Unpacker(padded).number(~0ULL));
    const Bytes endless(11, 0xFF);
    CHECK_FALSE(judging::Unpacker(endless).number(~0ULL));
  }
}
