// What an import leaves in a ledger: several appends where a file holds many cycles, and the rest taken in where the
// first time was cut short.
#include <string>

#include "importer/evidence.h"
#include "importer/read_again.h"
#include "ledger/events/kinds.h"
#include "ledger/kept_curves.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;

namespace {

// Cycles of half an hour, one after the other.
std::string export_of(int cycles) {
  std::string out = "Time,T1 (°C)\n";
  std::int64_t minute = tests::noon().ms / minute_ms - cycles * 60;
  for (int cycle = 0; cycle < cycles; ++cycle) {
    for (int at = 0; at < 60; ++at, ++minute) {
      const double hot = at < 5 ? 25 : at < 15 ? 25 + 9.65 * (at - 5) : at < 35 ? 121.5 + 0.1 * ((at + cycle) % 5) : 30;
      char value[16];
      std::snprintf(value, sizeof value, ",%.1f\n", hot);
      out += format_date_time({{minute * minute_ms}, 0}) + value;
    }
  }
  return out;
}

struct Ward {
  tests::WardLedger ward;
  links::Links tables;
  sop::Editions editions;
  importer::Source source{.equipment = "AC-1", .logger = {}, .load = {}};
  importer::Import import;
  std::string text;

  explicit Ward(int cycles) : Ward(export_of(cycles)) {}
  explicit Ward(std::string written) : tables(links::Links::open(ward.ledger()).value()), text(std::move(written)) {
    REQUIRE(tables.catch_up().ok());
    editions = ward.ledger().editions().value();
    const auto around = importer::surroundings(ward.ledger(), tables, editions, source).value();
    import = importer::read_and_judge(as_bytes(text), {}, around);
  }
  importer::Kept keep() {
    REQUIRE(tables.catch_up().ok());
    return importer::keep(ward.ledger(), tables, import, as_bytes(text), source).value();
  }
  bool repeated() {
    REQUIRE(tables.catch_up().ok());
    return importer::is_repeated(tables, import).value();
  }
};

}  // namespace

TEST_CASE("a file of more cycles than one append takes is kept whole in several") {
  Ward one(230);
  REQUIRE(one.import.cycles.size() == 230);
  const std::int64_t before = one.ward.size();
  CHECK_FALSE(one.repeated());
  const importer::Kept kept = one.keep();
  CHECK(kept.refusals.empty());
  CHECK(kept.curves == 230);
  CHECK(kept.first == before + 1);
  CHECK(kept.last == one.ward.size());
  CHECK(kept.last - kept.first + 1 == 3 * 230);
  std::int64_t part = 0;
  for (std::int64_t seq = kept.first; seq <= kept.last; seq += 3) {
    CHECK(one.ward.entry(seq).number_at("part") == ++part);
    CHECK(one.ward.entry(seq + 1).number_at("curve") == seq);
    CHECK(one.ward.entry(seq + 2).number_at("curve") == seq);
  }
  CHECK(kept_curve(one.ward.ledger(), one.import.file, 230).value());
  CHECK(one.repeated());
  CHECK(tests::problems(one.ward.ledger()).empty());
}

TEST_CASE("what was cut short is taken in to its end and not a second time") {
  Ward whole(3);
  const importer::Kept all = whole.keep();
  REQUIRE(all.curves == 3);
  Ward cut(3);
  REQUIRE(cut.ward.size() + 1 == all.first);
  std::vector<GivenEvent> events;
  for (std::int64_t seq = all.first; seq < all.first + 3; ++seq) {
    json::Value event = json::Value::object();
    const json::Value entry = whole.ward.entry(seq);
    for (const json::Member& member : entry.members()) {
      if (!events::is_added_by_ledger(member.name)) event.set(member.name, member.value);
    }
    events.push_back({0, std::move(event)});
  }
  AppendOptions options;
  options.giver = events::Giver::program;
  REQUIRE(cut.ward.ledger().append(std::move(events), options).value().taken == 3);
  CHECK_FALSE(cut.repeated());
  const importer::Kept rest = cut.keep();
  CHECK_FALSE(rest.repeated);
  CHECK(rest.curves == 2);
  CHECK(cut.ward.size() == whole.ward.size());
  CHECK(cut.ward.entry(cut.ward.size() - 2).number_at("part") == 3);
  CHECK(cut.repeated());
}

TEST_CASE("the curves of one export are read again in one reading and each by its place") {
  Ward one(4);
  const importer::Kept kept = one.keep();
  REQUIRE(kept.curves == 4);
  REQUIRE(one.tables.catch_up().ok());
  std::vector<importer::WantedCurve> wanted;
  for (const std::int64_t part : {4, 1, 3}) {
    wanted.push_back({.measured = one.ward.entry(kept.first + 3 * (part - 1)), .load = {}, .error_k = {}});
  }
  auto again = importer::read_again(one.ward.ledger(), one.tables, one.editions, wanted).value();
  CHECK(again.exports_read == 1);
  REQUIRE(again.curves.size() == 3);
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    REQUIRE(again.curves[i].cycle);
    REQUIRE(again.curves[i].cycle->from);
    CHECK(format_date_time({*again.curves[i].cycle->from, 0}).substr(0, 19) ==
          format_date_time({parse_date_time(*wanted[i].measured.text_at("from"))->instant, 0}).substr(0, 19));
    CHECK(again.curves[i].series.samples.size() > 20);
    CHECK(again.curves[i].import->file == one.import.file);
  }
  // With another error taken off it is another reading, and of a load that nobody knows none.
  wanted[1].error_k = 0.5;
  wanted[2].load = "L-nowhere";
  again = importer::read_again(one.ward.ledger(), one.tables, one.editions, wanted).value();
  CHECK(again.exports_read == 2);
  CHECK(again.curves[1].cycle);
  CHECK_FALSE(again.curves[2].cycle);
  CHECK(again.curves[2].missing);
}

TEST_CASE("a curve of a file that names the offset of its times is found again") {
  std::string text = export_of(1);
  text.replace(0, text.find(','), "\"Date Time, GMT+03:00\"");
  for (const std::string_view offset : {"+00:00", "Z"}) {
    for (std::size_t at = text.find(offset); at != std::string::npos; at = text.find(offset)) {
      text.erase(at, offset.size());
    }
  }
  Ward one(text);
  REQUIRE(one.import.asks.empty());
  CHECK(one.import.reading.number_at("offset_minutes") == 180);
  const importer::Kept kept = one.keep();
  REQUIRE(kept.curves == 1);
  REQUIRE(one.tables.catch_up().ok());
  const json::Value measured = one.ward.entry(kept.first);
  const json::Value* reading = measured.find("reading");
  REQUIRE(reading != nullptr);
  // The facility's zone stands in the entry too; as a person's word it would hold before the file's own offset.
  CHECK(reading->text_at("zone"));
  CHECK_FALSE(importer::choices_of(*reading).zone);
  const auto again = importer::read_again(one.ward.ledger(), one.tables, one.editions,
                                          {{.measured = measured, .load = {}, .error_k = {}}})
                         .value();
  REQUIRE(again.curves.size() == 1);
  REQUIRE(again.curves[0].cycle);
  CHECK(again.curves[0].cycle->from == one.import.cycles[0].from);
}
