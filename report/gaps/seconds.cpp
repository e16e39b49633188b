#include "report/gaps/seconds.h"

#include <algorithm>

namespace trayproof::gaps {
namespace {

std::vector<const Record*> by_seq(const std::vector<Record>& first, const std::vector<Record>& second) {
  std::vector<const Record*> all;
  for (const Record& one : first) all.push_back(&one);
  for (const Record& one : second) all.push_back(&one);
  std::sort(all.begin(), all.end(), [](const Record* a, const Record* b) { return a->seq < b->seq; });
  return all;
}

people::KeyBook book_of(const Seconds::Given& given) {
  people::KeyBook book;
  for (const Record* one : by_seq(given.added, given.retired)) {
    json::Value event = json::Value::object();
    event.set("kind", one->kind->name).set("key", one->key).set("recorded", format_recorded(one->recorded));
    for (const Record::Held& field : one->held) event.set(one->kind->fields[field.field].name, field.value);
    book.learn(one->seq, event);
  }
  return book;
}

}  // namespace

void Seconds::read(const Given& given) {
  const people::KeyBook book = book_of(given);
  for (const Record* one : by_seq(given.countersigned, {})) {
    const auto of = one->number("of");
    const auto entry = of ? given.entries.find(static_cast<std::int64_t>(*of)) : given.entries.end();
    if (entry == given.entries.end()) continue;
    const Record& event = *entry->second;
    const people::Seconded seconded{
        .kind = event.kind->name, .by = event.by, .key = event.key, .second = event.text("second")};
    const people::Countersignature signature{.seq = one->seq, .key = std::string(one->key), .recorded = one->recorded};
    if (!people::why_never(seconded, signature, book)) counting_[event.seq].push_back(one);
  }
}

const std::vector<const Record*>& Seconds::of(std::int64_t seq) const {
  static const std::vector<const Record*> none;
  const auto found = counting_.find(seq);
  return found == counting_.end() ? none : found->second;
}

people::Second Seconds::state(const Record& entry) const {
  if (!of(entry.seq).empty()) return people::Second::confirmed;
  const bool needed = !entry.text("second").empty() || people::always_needs_second(entry.kind->name);
  return needed ? people::Second::awaiting : people::Second::none_needed;
}

}  // namespace trayproof::gaps
