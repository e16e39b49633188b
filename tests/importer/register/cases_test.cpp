// Text cases: tests/cases/register/NAME.csv (or .json) is an invented register, NAME.txt says why it is there, which
// kind it holds, what the person chose and what a reading must give. Each file holds one nastiness.
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <string>
#include <vector>

#include "importer/register/register.h"
#include "importer/register/shown.h"
#include "tests/support/test.h"

using namespace trayproof;

namespace {

namespace fs = std::filesystem;
using json::Value;

std::string whole(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

std::pair<std::string, std::string> cut(const std::string& text, std::string_view mark) {
  const std::size_t at = text.find(mark);
  if (at == std::string::npos) return {text, ""};
  return {text.substr(0, at), text.substr(at + mark.size())};
}

struct Case {
  std::string why;
  const events::Kind* kind = nullptr;
  registers::Choices choices;
  std::vector<std::pair<std::string, std::string>> expected;
};

void choose(registers::Choices& choices, const std::string& text) {
  const auto [name, value] = cut(text, "=");
  const std::map<std::string, std::optional<std::string>*> texts = {
      {"date_order", &choices.date_order}, {"zone", &choices.zone},           {"at", &choices.at},
      {"decimal", &choices.decimal},       {"delimiter", &choices.delimiter}, {"encoding", &choices.encoding}};
  if (const auto found = texts.find(name); found != texts.end())
    *found->second = value;
  else if (name == "column")
    choices.columns.push_back(cut(value, "="));
  else if (name == "fixed")
    choices.fixed.push_back(cut(value, "="));
  else if (name == "word")
    choices.words.push_back(cut(value, "="));
  else if (name == "header_row")
    choices.header_row = std::stoll(value);
  else if (name == "from_row")
    choices.from_row = std::stoll(value);
  else if (name == "empty")
    choices.empty_not_recorded = true;
  else
    FAIL("no such choice: ", name);
}

Case case_of(const fs::path& path) {
  Case out;
  std::ifstream file(path);
  for (std::string line; std::getline(file, line);) {
    const auto [name, rest] = cut(line, ": ");
    if (name == "why")
      out.why = rest;
    else if (name == "kind")
      out.kind = events::find_kind(rest);
    else if (name == "choose")
      choose(out.choices, rest);
    else if (name == "expect")
      out.expected.push_back(cut(rest, " "));
    else
      FAIL("no such line: ", line);
  }
  return out;
}

// What was read, as one document to look into.
Value told(const registers::Register& read) {
  Value asks = Value::list();
  for (const reading::Ask& ask : read.asks)
    asks.push(Value::object().set("what", ask.what).set("choices", ask.choices).set("option", ask.option));
  Value missing = Value::list();
  for (const std::string& one : read.missing) missing.push(one);
  Value refused = Value::list();
  for (const auto& one : read.refused)
    refused.push(
        Value::object().set("row", one.row).set("column", one.column).set("field", one.field).set("why", one.why));
  Value events = Value::list();
  std::string text = read.lines;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text.find('\n', at);
    if (end > at) {
      auto event = json::parse(text.substr(at, end - at));
      REQUIRE(event.ok());
      Value value = std::move(event).value();
      const std::string paper(value.text_at("paper").value_or(""));
      REQUIRE(paper.starts_with(hex(read.file) + ":"));
      value.set("paper_row", paper.substr(65));
      events.push(std::move(value));
    }
    at = end + 1;
  }
  Value notes = Value::list();
  for (const std::string& one : read.notes) notes.push(one);
  Value words = Value::list();
  for (const auto& [word, count] : read.understood) words.push(word);
  Value matching = Value::object();
  for (const auto& column : read.matching.columns) matching.set(column.field->name, column.heading);
  return Value::object()
      .set("asks", std::move(asks))
      .set("missing", std::move(missing))
      .set("rows", read.rows)
      .set("skipped", read.skipped)
      .set("sort", read.sort)
      .set("reading", read.reading)
      .set("refused", std::move(refused))
      .set("events", std::move(events))
      .set("words", std::move(words))
      .set("notes", std::move(notes))
      .set("matching", std::move(matching));
}

const Value* at_path(const Value& document, std::string path) {
  const Value* value = &document;
  while (value != nullptr && !path.empty()) {
    const auto [step, rest] = cut(path, ".");
    path = rest;
    if (value->is_list()) {
      const std::size_t place = std::stoul(step);
      value = place < value->items().size() ? &value->items()[place] : nullptr;
    } else {
      value = value->find(step);
    }
  }
  return value;
}

}  // namespace

TEST_CASE("every register of the cases is read as its text says") {
  const fs::path folder = fs::path(TRAYPROOF_SOURCE_DIR) / "tests/cases/register";
  std::size_t cases = 0;
  for (const auto& entry : fs::directory_iterator(folder)) {
    if (entry.path().extension() != ".txt") continue;
    fs::path file = entry.path();
    file.replace_extension(".csv");
    if (!fs::exists(file)) file.replace_extension(".json");
    CAPTURE(entry.path().filename().string());
    REQUIRE(fs::exists(file));
    const Case one = case_of(entry.path());
    REQUIRE(one.kind != nullptr);
    CHECK(!one.why.empty());
    CHECK(!one.expected.empty());
    CHECK(!registers::unknown_choice(one.choices, *one.kind));
    const std::string bytes = whole(file);
    const Value document =
        told(registers::read_register(as_bytes(bytes), *one.kind, one.choices, Zone::find("Asia/Karachi").value()));
    for (const auto& [path, wanted] : one.expected) {
      const Value* found = at_path(document, path);
      CAPTURE(path);
      CHECK((found == nullptr ? "null" : json::plain(*found)) == json::plain(json::parse(wanted).value()));
    }
    ++cases;
  }
  CHECK(cases >= 30);
}

TEST_CASE("what is told of a register holds no number of a patient") {
  const fs::path folder = fs::path(TRAYPROOF_SOURCE_DIR) / "tests/cases/register";
  for (const char* name : {"merged-headings.csv", "patients-with-blanks.csv", "number-slipped.csv",
                           "too-many-cells.csv", "past-midnight.csv", "bundle.json"}) {
    const std::string bytes = whole(folder / name);
    const auto read = registers::read_register(as_bytes(bytes), *events::find_kind("procedure-done"), {},
                                               Zone::find("Asia/Karachi").value());
    Value document = told(read);
    for (Value& event : document.find("events")->items()) event = registers::shown_event(std::move(event));
    const std::string text = json::plain(document);
    CAPTURE(name);
    for (const char* number : {"NM 4471 12", "4471", "00 712", "0071227", "B-1\"", "0071226", "00712", "7712345",
                               "NM-778812", "Invented", "1999-01-01"}) {
      CHECK(text.find(number) == std::string::npos);
    }
  }
}
