#include "ledger/given_numbers.h"

#include <algorithm>
#include <cstring>
#include <functional>
#include <optional>
#include <unordered_set>
#include <vector>

#include "ledger/base/limits.h"
#include "ledger/events/fields.h"
#include "ledger/ledger.h"
#include "ledger/words/words.h"

namespace trayproof {
namespace {

using json::Value;

void know_number(const Value& number, KnownNumbers& numbers) {
  static constexpr events::Field field{"patient", events::Type::patient, events::Needed::no};
  Value settled = number;
  events::Refusals ignored;  // the line itself is refused where it is read
  events::settle(settled, field, "patient", ignored, events::StandIns::taken);
  if (ignored.empty() && settled.is_text()) numbers.add(settled.text());
}

// The quoted texts from `at` on: one, or those of a list. Nothing when they are not written plainly.
std::optional<std::vector<std::string_view>> plain_texts(std::string_view line, std::size_t at) {
  const auto skip = [&] {
    while (at < line.size() && (line[at] == ' ' || line[at] == '\t')) ++at;
  };
  skip();
  if (at >= line.size() || line[at] != ':') return std::nullopt;
  ++at;
  skip();
  const bool list = at < line.size() && line[at] == '[';
  if (list) ++at;
  std::vector<std::string_view> texts;
  while (true) {
    skip();
    if (list && at < line.size() && line[at] == ']') return texts;
    if (at >= line.size() || line[at] != '"') return std::nullopt;
    const std::size_t end = line.find('"', at + 1);
    if (end == std::string_view::npos) return std::nullopt;
    texts.push_back(line.substr(at + 1, end - at - 1));
    at = end + 1;
    if (!list) return texts;
    skip();
    if (at < line.size() && line[at] == ',') ++at;
  }
}

// Calls `each` with every place of `word` and the line that it stands in.
void each_line_with(std::string_view text, std::string_view word,
                    const std::function<void(std::string_view line, std::size_t at)>& each) {
  const auto next = [&](std::size_t from) -> std::size_t {
    if (from >= text.size()) return text.size();  // an empty text may stand nowhere
    // glibc's search; that of the standard library stops at every quote, and there are many.
    const void* found = ::memmem(text.data() + from, text.size() - from, word.data(), word.size());
    return found == nullptr ? text.size() : static_cast<std::size_t>(static_cast<const char*>(found) - text.data());
  };
  std::size_t begin = 0;
  std::size_t end = 0;  // of the line last seen: a long one is measured once
  for (std::size_t at = next(0); at < text.size(); at = next(at + 1)) {
    if (at >= end) {
      const std::size_t before = text.rfind('\n', at);
      begin = before == std::string_view::npos ? 0 : before + 1;
      end = std::min(text.find('\n', at), text.size());
    }
    each(text.substr(begin, end - begin), at - begin);
  }
}

}  // namespace

void know_numbers_in(std::string_view lines, KnownNumbers& numbers) {
  constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";  // as some editors write it
  if (lines.starts_with(byte_order_mark)) lines.remove_prefix(byte_order_mark.size());
  std::unordered_set<const char*> parsed;
  const auto parse_whole = [&](std::string_view line) {
    if (line.size() > limits::entry_bytes || !parsed.insert(line.data()).second) return;
    if (auto event = json::parse(line, limits::depth); event.ok()) know_numbers_of(event.value(), numbers);
  };
  for (const std::string_view sign : {R"(\)", R"("unknown")", R"("as_read")"}) {
    each_line_with(lines, sign, [&](std::string_view line, std::size_t) { parse_whole(line); });
  }
  for (const std::string_view name : {R"("patient")", R"("newborns")"}) {
    each_line_with(lines, name, [&](std::string_view line, std::size_t at) {
      if (line.size() > limits::entry_bytes || parsed.contains(line.data())) return;
      const auto texts = plain_texts(line, at + name.size());
      if (!texts) return parse_whole(line);
      for (const std::string_view text : *texts) know_number(json::Value(text), numbers);
    });
  }
}

void know_numbers_of(const Value& given, KnownNumbers& numbers) {
  const auto know = [&](const Value& event) {
    if (const Value* patient = event.find("patient")) know_number(*patient, numbers);
    if (const Value* newborns = event.find("newborns"); newborns != nullptr && newborns->is_list()) {
      for (const Value& newborn : newborns->items()) know_number(newborn, numbers);
    }
  };
  know(given);
  if (const Value* replacement = given.find("replacement")) know(*replacement);
}

Result<KnownNumbers> numbers_with(const Ledger& ledger, std::string_view lines, std::span<const std::string> more) {
  const people::KeyFile* keys = ledger.keys();
  if (keys == nullptr) return Error(ErrorCode::denied, say("ledger.read-only", {{"why", say("ledger.no-keys")}}));
  KnownNumbers numbers(*keys);
  TRY(numbers.load(ledger.file()));
  know_numbers_in(lines, numbers);
  for (const std::string& number : more) know_numbers_of(Value::object().set("patient", number), numbers);
  return numbers;
}

}  // namespace trayproof
