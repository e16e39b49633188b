#include "tests/reference/tale.h"

#include <utility>

#include "ledger/base/check.h"

namespace trayproof::reference {
namespace {

std::string text_or_dash(const json::Value& value, std::string_view name) {
  return std::string(value.text_at(name).value_or("-"));
}

void add_word(std::string& words, const std::string& word) {
  if (!words.empty()) words += ' ';
  words += word;
}

}  // namespace

Instant may(std::string_view when) { return parse_date_time("2024-05-" + std::string(when) + "Z")->instant; }

std::int64_t Tale::tell(std::string_view when, std::string_view kind, std::string_view body) {
  const auto seq = static_cast<std::int64_t>(entries_.size()) + 1;
  auto event = json::parse(body);
  CHECK(event.ok());
  event.value().set("kind", kind).set("at", format_date_time({may(when), 0})).set("by", "person-1");
  event.value().set("seq", seq).set("recorded", "2024-06-01T00:00:00.000Z");
  entries_.push_back({seq, std::move(event).value()});
  return seq;
}

json::Value Tale::ask(RecallRequest request) const {
  request.now = parse_date_time("2024-07-01T00:00Z")->instant;
  auto answer = recall(entries_, request);
  CHECK(answer.ok());
  return std::move(answer).value();
}

RecallRequest because(const std::string& word) {
  RecallRequest request;
  request.because = word;
  return request;
}

RecallRequest about_load(const std::string& word, const std::string& load) {
  RecallRequest request = because(word);
  request.load = load;
  return request;
}

RecallRequest about_equipment(const std::string& word, const std::string& equipment, std::string_view at) {
  RecallRequest request = because(word);
  request.equipment = equipment;
  request.at = may(at);
  return request;
}

void run(Tale& tale, const std::string& day, const std::string& load, const std::string& packs,
         const std::string& rest) {
  tale.tell(day + "T08:00", "load-started", R"({"load":")" + load + R"(","packs":[)" + packs + "]," + rest + "}");
  tale.tell(day + "T08:30", "load-ended", R"({"load":")" + load + R"(","complete":true,"hold_min":20})");
}

void read_negative(Tale& tale, const std::string& when, const std::string& load) {
  tale.tell(when, "biological-read", R"({"load":")" + load + R"(","result":"negative","control":"growth"})");
}

std::string loads_in(const json::Value& answer) {
  std::string words;
  for (const json::Value& load : answer.find("loads")->items()) add_word(words, text_or_dash(load, "load"));
  return words;
}

std::string packs_in(const json::Value& answer) {
  std::string words;
  for (const json::Value& pack : answer.find("packs")->items()) {
    add_word(words,
             text_or_dash(pack, "pack") + ":" + text_or_dash(pack, "standing") + "@" + text_or_dash(pack, "load"));
  }
  return words;
}

std::string procedures_in(const json::Value& answer, std::string_view list) {
  std::string words;
  for (const json::Value& procedure : answer.find(list)->items()) {
    std::string uses;
    for (const json::Value& use : procedure.find("uses")->items()) {
      add_word(uses, text_or_dash(use, "pack") + "/" + text_or_dash(use, "load"));
    }
    add_word(words, text_or_dash(procedure, "procedure") + "(" + uses + ")");
  }
  return words;
}

std::string bound_in(const json::Value& answer, std::string_view side) {
  const json::Value* bound = answer.find("window")->find(side);
  if (bound->is_null()) return "-";
  return text_or_dash(*bound, "load") + " " + text_or_dash(*bound, "at");
}

int count_in(const json::Value& answer, std::string_view name) {
  return static_cast<int>(*answer.find("counts")->number_at(name));
}

}  // namespace trayproof::reference
