// The line of an entry, read fast where it is spelt as `export` prints it: always what the JSON reader reads.
#include "report/evidence/check/entry_line.h"

#include "ledger/text/json.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

std::optional<evidence::EntryLine> read_entry_line(const std::string& line) {
  // What stood there before must not shine through.
  evidence::EntryLine row{.entry = std::string(100, 'e'), .hash = "before", .key = "before", .sig = "before"};
  if (!evidence::read_entry_line(line, row)) return std::nullopt;
  return row;
}

std::string line_of(const std::string& entry) {
  return json::plain(json::Value::object().set("entry", entry).set("hash", "ab12").set("key", "cd").set("sig", ""));
}

// By the JSON reader alone.
std::optional<std::string> slowly(const std::string& line, std::string_view name) {
  const auto row = json::parse_carefully(line);
  if (!row.ok() || !row.value().is_object() || row.value().members().size() != 4) return std::nullopt;
  for (const std::string_view one : {"entry", "hash", "key", "sig"}) {
    if (!row.value().text_at(one)) return std::nullopt;
  }
  return std::string(*row.value().text_at(name));
}

void agree(const std::string& line) {
  const auto found = read_entry_line(line);
  const auto wanted = slowly(line, "entry");
  REQUIRE_MESSAGE(found.has_value() == wanted.has_value(), line);
  if (!found) return;
  CHECK(found->entry == *wanted);
  CHECK(found->hash == *slowly(line, "hash"));
  CHECK(found->key == *slowly(line, "key"));
  CHECK(found->sig == *slowly(line, "sig"));
}

}  // namespace

TEST_CASE("a line as export prints it and every other spelling read as JSON") {
  for (const std::string entry : {R"({"a":"b"})", R"({"a":"quoted \"b\" and \\ and \n"})", "{\"a\":\"\xC3\xA9\"}", "",
                                  "plain", "{\"a\":\"tab\tand line\n\"}", "\x01"}) {
    CHECK(read_entry_line(line_of(entry)).has_value());
    agree(line_of(entry));
  }
  const std::string usual = line_of(R"({"a":"b"})");
  for (const char* const other :
       {R"({"hash":"ab12","entry":"{}","key":"cd","sig":""})", R"({"entry":"{}","hash":"AB","key":"x y","sig":"é"})",
        R"({"entry":"\u007b}","hash":"ab","key":"cd","sig":""})", R"( {"entry":"{}","hash":"ab","key":"cd","sig":""} )",
        R"({"entry":"{}","hash":"ab","key":"cd","sig":"","more":1})", R"({"entry":"{}","hash":"ab","key":"cd"})",
        R"({"entry":{},"hash":"ab","key":"cd","sig":""})", R"({"entry":"{}","hash":"ab","key":"cd","sig":""}})",
        R"({"entry":"{}","entry":"{}","key":"cd","sig":""})", R"({"entry":"\)",
        R"({"entry":"\x","hash":"","key":"","sig":""})", R"(["entry"])", "", "{"})
    agree(other);
  for (std::size_t cut = 0; cut < usual.size(); ++cut) agree(usual.substr(0, cut));
  for (std::size_t at = 0; at < usual.size(); ++at) {
    for (const char c : {'"', '\\', '\x01', '0', ' ', '}'}) {
      std::string changed = usual;
      changed[at] = c;
      agree(changed);
    }
  }
}
