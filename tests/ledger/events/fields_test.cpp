#include "ledger/events/fields.h"

#include "tests/support/test.h"

using namespace trayproof;
using events::Field;
using events::Needed;
using events::Type;
using json::Value;

namespace {

// The settled value in canonical JSON, or "refused: why".
std::string settled(Type type, Value value, events::StandIns stand_ins = events::StandIns::refused) {
  const Field field{"field", type, Needed::yes};
  events::Refusals refusals;
  events::settle(value, field, "field", refusals, stand_ins);
  return refusals.empty() ? json::canonical(value) : "refused: " + refusals.front().why;
}

bool refused(Type type, Value value) { return settled(type, std::move(value)).starts_with("refused: "); }

}  // namespace

TEST_CASE("an id has letters of any script and digits and a few marks") {
  for (const char* good : {"a", "A-1", "pack_1", "a.b", "a/b", "a:b", "7", "_x", ":x", "सेट-१", "Satz-Ä", "طقم-٣", "a-",
                           "a.", "a/", "क\u093F", "می\u200Cروم"}) {
    INFO(std::string(good));
    CHECK(events::is_id(good));
  }
  CHECK(events::is_id(std::string(64, 'a')));
  CHECK(!events::is_id(std::string(65, 'a')));
  std::string umlauts;
  for (int i = 0; i < 64; ++i) umlauts += "ä";
  CHECK(events::is_id(umlauts));  // counted in characters
  for (const char* bad : {"",     ".a",  "-a",   "/a",  "a..b", "a//b",     "..",       "a b",      "a\tb",
                          "a\nb", "a+b", "a\\b", "a'b", "a\"b", "a,b",      "a#b",      "a%20b",    "a?b",
                          "a&b",  "a=b", "a<b",  "a—b", "😂",    "a\u202Eb", "a\u00A0b", "a\u200Bb", "\xC3"}) {
    INFO(std::string(bad));
    CHECK(!events::is_id(bad));
  }
}

TEST_CASE("ids and texts are brought to NFC") {
  CHECK_EQ(settled(Type::id, "Satz-A\u0308"), "\"Satz-\u00C4\"");
  CHECK_EQ(settled(Type::text, "A\u030A"), "\"\u00C5\"");
  CHECK_EQ(settled(Type::free_text, "A\u030A"), "\"\u00C5\"");
  CHECK_EQ(settled(Type::patient, "A\u030A-1"), "\"\u00C5-1\"");
}

TEST_CASE("control characters are refused but for line feeds in free text and tabs in TOML") {
  for (const unsigned c : {0x00U, 0x01U, 0x08U, 0x09U, 0x0BU, 0x1BU, 0x1DU, 0x1FU, 0x7FU, 0x80U, 0x85U, 0x9FU}) {
    std::string text = "a";
    if (c < 0x80)
      text += static_cast<char>(c);
    else
      text += {static_cast<char>(0xC2), static_cast<char>(c)};
    INFO(c);
    CHECK(refused(Type::text, text));
    CHECK(refused(Type::free_text, text));
    CHECK(refused(Type::toml, text) == (c != 0x09));
    CHECK(refused(Type::id, text));
    CHECK(refused(Type::patient, text + "1"));
  }
  CHECK(refused(Type::text, "two\nlines"));
  CHECK_EQ(settled(Type::free_text, "two\nlines"), "\"two\\nlines\"");
  CHECK_EQ(settled(Type::toml, "a = 1\n\tb = 2\n"), "\"a = 1\\n\\tb = 2\\n\"");
}

TEST_CASE("every line end becomes a line feed in free text and TOML") {
  for (const Type type : {Type::free_text, Type::toml}) {
    CHECK_EQ(settled(type, "a\r\nb"), "\"a\\nb\"");
    CHECK_EQ(settled(type, "a\rb"), "\"a\\nb\"");
    CHECK_EQ(settled(type, "a\r\rb\r\n\r\nc\r"), "\"a\\n\\nb\\n\\nc\\n\"");
  }
  CHECK(refused(Type::text, "a\r\nb"));
}

TEST_CASE("marks that turn the direction of text are refused in every text") {
  for (const char* mark : {"\u202A", "\u202B", "\u202C", "\u202D", "\u202E", "\u2066", "\u2067", "\u2068", "\u2069"}) {
    for (const Type type : {Type::text, Type::free_text, Type::toml, Type::id, Type::patient}) {
      CHECK(refused(type, std::string("a") + mark + "b"));
    }
  }
  CHECK(!refused(Type::text, "עברית \u200F(1)"));  // a mark of direction without override is a part of writing
}

TEST_CASE("texts are taken to their limit in code points") {
  std::string two_hundred;
  for (int i = 0; i < 200; ++i) two_hundred += "ä";
  CHECK(!refused(Type::text, two_hundred));
  CHECK(refused(Type::text, two_hundred + "a"));
  std::string two_thousand;
  for (int i = 0; i < 10; ++i) two_thousand += two_hundred;
  CHECK(!refused(Type::free_text, two_thousand));
  CHECK(refused(Type::free_text, two_thousand + "a"));
  CHECK(!refused(Type::toml, std::string(128 * 1024, '#')));
  CHECK(refused(Type::toml, std::string(128 * 1024 + 1, '#')));
  CHECK(!refused(Type::patient, std::string(64, '1')));
  CHECK(refused(Type::patient, std::string(65, '1')));
}

TEST_CASE("lists are taken to two thousand items and hold each once") {
  json::List many;
  for (int i = 0; i < 2000; ++i) many.emplace_back("PK-" + std::to_string(i));
  CHECK(!refused(Type::id_list, many));
  many.emplace_back("PK-2000");
  CHECK(refused(Type::id_list, many));
  CHECK(refused(Type::id_list, json::List{Value("a"), Value("b"), Value("a")}));
  CHECK(refused(Type::id_list, json::List{Value("\u00C4"), Value("A\u0308")}));  // the same after NFC
  CHECK(!refused(Type::id_list, json::List{Value("a"), Value("A")}));            // look-alikes are a gap and no error
  CHECK(!refused(Type::id_list, json::List{}));
}

TEST_CASE("a patient's number loses its outer blanks and keeps its inner ones") {
  CHECK_EQ(settled(Type::patient, "  12 34 "), "\"12 34\"");
  CHECK(refused(Type::patient, "    "));
  CHECK(refused(Type::patient_list, json::List{Value("12"), Value("12 ")}));
}

TEST_CASE("a refused patient number is masked and a refused other value is shown") {
  const std::string why = settled(Type::patient, std::string(60, '1') + "23456789");
  CHECK(why.find("23456789") == std::string::npos);
  CHECK(why.find("masked") != std::string::npos);
  CHECK(settled(Type::patient, Value(12345678)).find("12345678") == std::string::npos);
  CHECK(settled(Type::patient_list, json::List{Value("12345678"), Value("12345678")}).find("12345678") ==
        std::string::npos);
  CHECK(settled(Type::id, "PK 1").find("\"PK 1\"") != std::string::npos);
  CHECK(settled(Type::percent, 101).find("101") != std::string::npos);
}

TEST_CASE("stand-ins are taken inside corrections only") {
  const Value number = Value::object().set("pseudonym", std::string(32, 'a'));
  const Value text = Value::object().set("sha256", std::string(64, 'a'));
  CHECK(refused(Type::patient, number));
  CHECK(refused(Type::free_text, text));
  CHECK_EQ(settled(Type::patient, number, events::StandIns::taken), json::canonical(number));
  CHECK_EQ(settled(Type::free_text, text, events::StandIns::taken), json::canonical(text));
  Value more = text;
  more.set("x", 1);
  CHECK(settled(Type::free_text, more, events::StandIns::taken).starts_with("refused: "));
  CHECK(
      settled(Type::free_text, Value::object().set("sha256", "abc"), events::StandIns::taken).starts_with("refused: "));
}

TEST_CASE("numbers are bounded as their meaning is") {
  CHECK(!refused(Type::percent, 0));
  CHECK(!refused(Type::percent, 100));
  CHECK(!refused(Type::temperature, -90));
  CHECK(!refused(Type::temperature, 1500));
  CHECK(!refused(Type::integer, 0));
  CHECK(!refused(Type::integer, 999999999999999.0));
  CHECK(!refused(Type::amount, 0));
  CHECK(!refused(Type::number, -999999999999999.0));
  CHECK(!refused(Type::indicator_type, 6));
}

TEST_CASE("free shapes are taken to eight levels and two hundred characters") {
  // The event is level 1 and the field's own object level 2.
  std::string deep = "1";
  for (int i = 0; i < 7; ++i) deep = "[" + deep + "]";
  CHECK(!refused(Type::any, json::parse(deep).value()));
  CHECK(refused(Type::any, json::parse("[[" + deep + "]]").value()));
  CHECK(refused(Type::object, Value::object().set("x", std::string(201, 'a'))));
  CHECK(!refused(Type::object, Value::object().set("note", std::string(201, 'a'))));
  CHECK(refused(Type::object, Value::object().set("x", "a\u202Eb")));
  CHECK(refused(Type::object, Value::object().set("a\u202Eb", 1)));
}

TEST_CASE("date-times are rewritten and dates stay as they are") {
  CHECK_EQ(settled(Type::date_time, "2026-10-05T09:00Z"), "\"2026-10-05T09:00:00+00:00\"");
  CHECK_EQ(settled(Type::date_or_time, "2026-10-05"), "\"2026-10-05\"");
  CHECK_EQ(settled(Type::date_or_time, "2026-10-05T09:00Z"), "\"2026-10-05T09:00:00+00:00\"");
  CHECK_EQ(settled(Type::flag_or_date, true), "true");
  CHECK_EQ(settled(Type::flag_or_date, "2026-10-05"), "\"2026-10-05\"");
}
