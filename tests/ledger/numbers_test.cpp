// Patients' numbers and free texts: what stands in the chain, what stands beside it, and what is told to nobody.
#include <set>

#include "ledger/crypto/hash.h"
#include "tests/support/test.h"
#include "tests/support/ward_ledger.h"

using namespace trayproof;
using namespace trayproof::tests;

namespace {

std::string delivery(const std::string& procedure, const std::string& more) {
  return R"({"kind":"procedure-done","at":"2026-10-05T09:00:00+05:00","by":"ana","procedure":")" + procedure +
         R"(","sort":"delivery","place":"room","packs":[])" + more + "}";
}

std::string remark(const std::string& text) {
  return R"({"kind":"remarked","at":"2026-10-05T09:00:00+05:00","by":"ana","subject":{"kind":"set","id":"DS-1"},"text":")" +
         text + "\"}";
}

constexpr const char* number = "12-345-678";

}  // namespace

TEST_CASE("the entry holds a pseudonym and the number opens under the station's key only") {
  WardLedger ward;
  ward.take(delivery("P-1", R"(,"patient":"12-345-678","newborns":["12-345-679","12-345-680"])"));
  const json::Value entry = ward.entry(6);
  const std::string patient(*entry.text_at("patient"));
  CHECK(is_hex(patient, 16));
  CHECK(ward.ledger().patient_number(patient).value() == number);
  CHECK(ward.ledger().patient_number(entry.find("newborns")->items()[0].text()).value() == "12-345-679");
  CHECK(ward.ledger().patient_number(entry.find("newborns")->items()[1].text()).value() == "12-345-680");
  CHECK(!ward.ledger().patient_number(std::string(32, '0')).value());
  CHECK(!ward.ledger().patient_number("nonsense").value());
}

TEST_CASE("one number has one pseudonym and two numbers have two") {
  WardLedger ward;
  ward.take(delivery("P-1", R"(,"patient":"12-345-678")") + "\n" + delivery("P-2", R"(,"patient":" 12-345-678  ")") +
            "\n" + delivery("P-3", R"(,"newborns":["12-345-678"])"));
  ward.take(delivery("P-4", R"(,"patient":"12-345-678")"));
  ward.take(delivery("P-5", R"(,"patient":"12-345-679")"));
  const std::string pseudonym(*ward.entry(6).text_at("patient"));
  CHECK(ward.entry(7).text_at("patient") == pseudonym);
  CHECK(ward.entry(8).find("newborns")->items()[0].text() == pseudonym);
  CHECK(ward.entry(9).text_at("patient") == pseudonym);
  CHECK(ward.entry(10).text_at("patient") != pseudonym);
  WardLedger other;
  other.take(delivery("P-1", R"(,"patient":"12-345-678")"));
  CHECK(other.entry(6).text_at("patient") != pseudonym);
}

TEST_CASE("neither numbers nor their plain digests stand in the bytes of the file") {
  WardLedger ward;
  std::string file;
  for (int i = 0; i < 50; ++i) {
    const std::string last = std::to_string(100 + i);
    file += delivery("P-" + last, R"(,"patient":"7700)" + last + R"(1","newborns":["8800)" + last + "2\"]") + "\n";
  }
  ward.take(file);
  const std::string bytes = file_bytes(ward.path());
  for (int i = 0; i < 50; ++i) {
    for (const std::string& one : {"7700" + std::to_string(100 + i) + "1", "8800" + std::to_string(100 + i) + "2"}) {
      CHECK(!holds(bytes, one));
      const Digest digest = crypto::sha256(as_bytes(one));
      CHECK(!holds(bytes, as_text(digest)));
      CHECK(!holds(bytes, hex(digest)));
    }
  }
  CHECK(holds(bytes, "P-149"));  // the test looks where it should
}

TEST_CASE("a text or an id with a known number is refused and the refusal does not show it") {
  WardLedger ward;
  ward.take(delivery("P-1", R"(,"patient":"12-345-678")"));
  struct Row {
    const char* field;
    std::string line;
  };
  const std::string head = R"("at":"2026-10-05T09:00:00+05:00","by":"ana",)";
  const Row rows[] = {
      {"text", remark("asked about 12-345-678")},
      {"text", remark("12-345-678")},
      {"text", remark("(12-345-678).")},
      {"text", remark("first\\nthen 12-345-678\\nend")},
      {"procedure", delivery("12-345-678", "")},
      {"procedure", delivery("room/12-345-678", "")},
      {"note", delivery("P-2", R"(,"note":"mother 12-345-678")")},
      {"place", R"({"kind":"pack-issued",)" + head + R"("pack":"PK-1","place":"bed of 12-345-678"})"},
      {"pack", R"({"kind":"pack-opened",)" + head + R"("pack":"12-345-678"})"},
      {"packs", delivery("P-2", "").replace(delivery("P-2", "").find("[]"), 2, R"(["12-345-678"])")},
      {"slip", R"({"kind":"pack-opened",)" + head + R"("pack":"PK-1","slip":"12-345-678"})"},
      {"paper", R"({"kind":"pack-opened",)" + head + R"("pack":"PK-1","paper":"sheet 12-345-678"})"},
      {"by", R"({"kind":"pack-opened","at":"2026-10-05T09:00:00+05:00","pack":"PK-1","by":"12-345-678"})"},
      {"as_read.pack", R"({"kind":"pack-opened",)" + head + R"("pack":"PK-1","as_read":{"pack":"]C1 12-345-678"}})"},
      {"as_read.patient", delivery("P-2", R"(,"as_read":{"patient":"12-345-678"})")},
      {"as_read", delivery("P-2", R"(,"as_read":{"12-345-678":"x"})")},
      {"subject.id", R"({"kind":"remarked",)" + head + R"("subject":{"kind":"patient","id":"12-345-678"},"text":"x"})"},
      {"items.item", R"({"kind":"set-defined",)" + head +
                         R"("set":"DS-2","title":"x","contact":"critical","items":[{"item":"12-345-678","count":1}]})"},
      {"why", R"({"kind":"corrected",)" + head + R"("of":6,"replacement":null,"why":"not 12-345-678"})"},
      {"replacement.note", R"({"kind":"corrected",)" + head + R"("of":6,"why":"x","replacement":)" +
                               delivery("P-1", R"(,"note":"12-345-678")") + "}"},
      {"name", R"({"kind":"person-enrolled",)" + head + R"("person":"cleo","name":"12-345-678","roles":["nurse"]})"},
  };
  for (const Row& row : rows) {
    INFO(row.line);
    const auto refusals = ward.refusals(row.line);
    REQUIRE(refusals.size() == 1);
    CHECK(refusals[0].starts_with(std::string(row.field) + ": "));
    CHECK(!holds(refusals[0], "345"));
  }
  CHECK_EQ(ward.size(), first_seq);
}

TEST_CASE("a number is found as a whole word only") {
  WardLedger ward;
  ward.take(delivery("P-1", R"(,"patient":"12345")"));
  for (const char* taken : {"112345", "123456", "a12345", "12345a", "12345ä", "1234 5", "12 345", "1234"}) {
    INFO(std::string(taken));
    CHECK(ward.refusals(remark(taken)).empty());
  }
  for (const char* refused :
       {"12345", "no 12345", "12345.", "x:12345", "12345/2", "#12345#", "äh 12345", "12345_", "-12345-"}) {
    INFO(std::string(refused));
    CHECK_EQ(ward.refusals(remark(refused)).size(), 1U);
  }
}

TEST_CASE("numbers of several words and of other scripts are found too") {
  WardLedger ward;
  ward.take(delivery("P-1", R"(,"patient":"AB 12 / 34")") + "\n" +
            delivery("P-2", R"(,"patient":"\u0661\u0662\u0663\u0664\u0665")") + "\n" +
            delivery("P-3", R"(,"patient":"A\u030Angel-7")"));
  CHECK_EQ(ward.refusals(remark("the one of AB 12 / 34 again")).size(), 1U);
  CHECK(ward.refusals(remark("AB 12 / 345")).empty());
  CHECK_EQ(ward.refusals(remark("\\u0661\\u0662\\u0663\\u0664\\u0665")).size(), 1U);
  CHECK_EQ(ward.refusals(remark("see \u00C5ngel-7")).size(), 1U);
}

TEST_CASE("a number shorter than five characters is not looked for") {
  WardLedger ward;
  ward.take(delivery("P-1", R"(,"patient":"1234")"));
  CHECK(ward.refusals(remark("1234 forceps")).empty());
}

TEST_CASE("a number that comes later in the file is found in earlier lines and kept from all of them") {
  WardLedger ward;
  for (const std::string& naming :
       {delivery("P-1", R"(,"patient":"12-345-678")"), delivery("P-1", R"(,"newborns":["12-345-678"])"),
        delivery("P-1", R"(,"p\u0061tient":"12-345-678")")}) {
    const auto refusals = ward.refusals(remark("asked about 12-345-678") + "\n" + naming);
    REQUIRE(refusals.size() == 1);
    CHECK(refusals[0].starts_with("text: "));
  }
  const std::string correction =
      R"({"kind":"corrected","at":"2026-10-05T10:00:00+05:00","by":"ana","of":6,"why":"x","replacement":)" +
      delivery("P-1", R"(,"patient":"12-345-678")") + "}";
  ward.take(delivery("P-1", ""));
  CHECK_EQ(ward.refusals(remark("asked about 12-345-678") + "\n" + correction).size(), 1U);
  CHECK(!holds(file_bytes(ward.path()), number));
}

TEST_CASE("a refused patient number is masked whatever is wrong with it") {
  WardLedger ward;
  const std::string lines[] = {delivery("P-1", R"(,"patient":123456789)"),
                               delivery("P-1", R"(,"patient":["123456789"])"),
                               delivery("P-1", R"(,"patient":")" + std::string(60, '0') + R"(123456789")"),
                               delivery("P-1", R"(,"patient":"123456789\u0007")"),
                               delivery("P-1", R"(,"newborns":"123456789")"),
                               delivery("P-1", R"(,"newborns":["123456789","123456789"])"),
                               delivery("P-1", R"(,"newborns":[123456789])")};
  for (const std::string& line : lines) {
    INFO(line);
    const auto refusals = ward.refusals(line);
    REQUIRE(!refusals.empty());
    CHECK(!any_holds(refusals, "123456789"));
    CHECK(any_holds(refusals, "masked"));
  }
  CHECK(!holds(file_bytes(ward.path()), "123456789"));
}

TEST_CASE("a refused file leaves no number and no text in the file's bytes") {
  WardLedger ward;
  CHECK(!ward.refusals(delivery("P-1", R"(,"patient":"12-345-678","note":"calm night")") + "\nnot json").empty());
  CHECK(!holds(file_bytes(ward.path()), "calm night"));
  auto patients = ward.ledger().file().database().prepare("SELECT count(*) FROM patients");
  REQUIRE(patients.ok());
  REQUIRE(patients.value().step().ok());
  CHECK_EQ(patients.value().integer(0), 0);
}

TEST_CASE("free texts stand beside the chain at any depth and under a salt of their own") {
  WardLedger ward;
  ward.take(
      remark("new hinge") + "\n" +
      R"({"kind":"person-enrolled","at":"2026-10-05T09:00:00+05:00","by":"ana","person":"cleo","name":"Cleo Invented",)"
      R"("roles":["nurse"],"note":"new hinge","as_read":{"note":"as scrawled"}})");
  const json::Value remarked = ward.entry(6);
  const json::Value enrolled = ward.entry(7);
  const auto text_of = [&](const json::Value* stand_in) {
    REQUIRE(stand_in != nullptr);
    Digest digest{};
    REQUIRE(stand_in->text_at("sha256"));
    REQUIRE(stand_in->members().size() == 1);
    REQUIRE(from_hex(*stand_in->text_at("sha256"), digest));
    return ward.ledger().text(digest).value().value_or("");
  };
  CHECK_EQ(text_of(remarked.find("text")), "new hinge");
  CHECK_EQ(text_of(enrolled.find("name")), "Cleo Invented");
  CHECK_EQ(text_of(enrolled.find("note")), "new hinge");
  CHECK_EQ(text_of(enrolled.find("as_read")->find("note")), "as scrawled");
  CHECK(remarked.find("text")->text_at("sha256") != enrolled.find("note")->text_at("sha256"));
  for (std::int64_t seq = 1; seq <= 7; ++seq) CHECK(!holds(ward.bytes_of(seq), "hinge"));
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("a reason for an unknown text is no text") {
  WardLedger ward;
  ward.take(
      R"({"kind":"load-rejected","at":"2026-10-05T09:00:00+05:00","by":"ana","load":"L-1","unknown":{"why":"not-recorded"}})");
  CHECK(ward.entry(6).find("unknown")->text_at("why") == "not-recorded");
  CHECK(problems(ward.ledger()).empty());
}

TEST_CASE("an unknown patient is no number that other lines could hold") {
  WardLedger ward;
  const auto report = ward.record(
      delivery("P-1", R"(,"unknown":{"patient":"not-recorded","newborns":"not-readable"})") + "\n" +
      delivery("P-2", R"(,"unknown":{"patient":"not-recorded"})") + "\n" + remark("not-recorded by the night shift"));
  CHECK(report.refusals.empty());
  CHECK_EQ(report.taken, 3);
  CHECK(ward.entry(6).find("unknown")->text_at("patient") == "not-recorded");
  CHECK(problems(ward.ledger()).empty());
}
