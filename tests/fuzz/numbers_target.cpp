#include "ledger/base/limits.h"
#include "ledger/given_numbers.h"
#include "ledger/line_reader.h"
#include "tests/fuzz/target.h"

namespace trayproof::fuzz {
namespace {

// Every text in a value, whatever it is called.
void each_text(const json::Value& value, const std::function<void(const std::string&)>& each) {
  if (value.is_text()) each(value.text());
  if (value.is_list()) {
    for (const json::Value& item : value.items()) each_text(item, each);
  }
  if (value.is_object()) {
    for (const json::Member& member : value.members()) each_text(member.value, each);
  }
}

}  // namespace

// What a look over the lines misses of the patients' numbers in them would be kept in hashed bytes for ever: it knows
// every number that reading each line whole knows.
void given_numbers(std::string_view bytes) {
  static const people::KeyFile keys = people::KeyFile::make("0123456789abcdef0123456789abcdef", "station-1");
  KnownNumbers quick(keys);
  know_numbers_in(bytes, quick);
  KnownNumbers whole(keys);
  std::vector<json::Value> events;
  each_line(bytes, [&](std::int64_t, std::string_view line) {
    auto event = json::parse(line, limits::depth);
    if (!event.ok()) return;
    know_numbers_of(event.value(), whole);
    events.push_back(std::move(event).value());
  });
  for (const json::Value& event : events) {
    each_text(event, [&](const std::string& text) {
      must_hold(!whole.found_in(text) || quick.found_in(text), "a look over the lines knows every number");
    });
  }
}

}  // namespace trayproof::fuzz
