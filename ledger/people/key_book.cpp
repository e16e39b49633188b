#include "ledger/people/key_book.h"

#include <algorithm>

namespace trayproof::people {

void KeyBook::learn(std::int64_t seq, const json::Value& event) {
  const auto text = [&](std::string_view name) { return std::string(event.text_at(name).value_or("")); };
  const std::string key = text("public");
  const auto known =
      std::find_if(keys_.begin(), keys_.end(), [&](const KnownKey& one) { return one.public_key == key; });
  if (text("kind") == "key-retired") {
    if (known == keys_.end()) return;
    const auto since = parse_date_time(text("since"));
    KnownKey::Retired retired{.seq = seq,
                              .told = seq,
                              .cause = text("cause"),
                              .since = since ? since->instant : Instant{},
                              .since_text = text("since")};
    // Retired twice (rotated, then found stolen): out of force since the first, and the theft counts. Of two thefts the
    // earlier: no later report takes back what one has said of the entries since.
    if (known->retired) retired.seq = known->retired->seq;
    const bool earlier = retired.cause == "stolen" && !(known->retired && known->stolen_at(retired.since));
    if (!known->retired || earlier) known->retired = std::move(retired);
    return;
  }
  if (text("kind") != "key-added" || known != keys_.end()) return;
  const auto recorded = parse_date_time(text("recorded"));
  keys_.push_back({.public_key = key,
                   .owner = text("owner"),
                   .sort = text("sort"),
                   .added = seq,
                   .added_at = recorded ? recorded->instant : Instant{},
                   .added_by_key = text("key"),
                   .retired = {}});
}

Result<KeyBook> KeyBook::read(store::LedgerFile& file) {
  TRY_LET(std::vector<std::int64_t> seqs, file.landmarks("key-added"));
  TRY_LET(const auto retired, file.landmarks("key-retired"));
  seqs.insert(seqs.end(), retired.begin(), retired.end());
  std::sort(seqs.begin(), seqs.end());
  KeyBook book;
  for (const std::int64_t seq : seqs) {
    TRY_LET(const auto entry, file.entry(seq));
    TRY_LET(const auto event, json::parse(entry.bytes));
    book.learn(seq, event);
  }
  return book;
}

const KnownKey* KeyBook::find(std::string_view public_key) const {
  const auto found =
      std::find_if(keys_.begin(), keys_.end(), [&](const KnownKey& one) { return one.public_key == public_key; });
  return found == keys_.end() ? nullptr : &*found;
}

const KnownKey* KeyBook::in_force(std::string_view owner, std::string_view sort) const {
  const auto found = std::find_if(keys_.rbegin(), keys_.rend(), [&](const KnownKey& one) {
    return !one.retired && one.owner == owner && one.sort == sort;
  });
  return found == keys_.rend() ? nullptr : &*found;
}

const KnownKey* KeyBook::ledger_key_at(std::int64_t size) const {
  const auto found = std::find_if(keys_.rbegin(), keys_.rend(),
                                  [&](const KnownKey& one) { return one.sort == "ledger" && one.added <= size; });
  return found == keys_.rend() ? nullptr : &*found;
}

}  // namespace trayproof::people
