#include "tests/tamper/forgery.h"

#include "ledger/base/check.h"
#include "ledger/content.h"
#include "ledger/log/chain.h"
#include "tests/support/unguarded.h"

namespace trayproof::tests {
namespace {

people::KeyFile keys_of(const WardLedger& ward) {
  auto keys = people::KeyFile::read(people::key_path(ward.path()));
  CHECK(keys.ok());
  return std::move(keys).value();
}

}  // namespace

Forgery::Forgery(WardLedger& ward) : ward_(ward), keys_(keys_of(ward)) {
  const auto head = ward.ledger().head();
  CHECK(head.ok());
  next_ = head.value().seq + 1;
  previous_ = head.value().hash;
}

std::int64_t Forgery::add(const ForgedEntry& entry) {
  const std::int64_t seq = next_++;
  const crypto::SigningKey& key = entry.key ? *entry.key : keys_.station_key;
  json::Value event = entry.body;
  event.set("v", entry.format).set("seq", entry.seq.value_or(seq)).set("prev", hex(entry.prev.value_or(previous_)));
  event.set("recorded", "2026-10-05T07:00:00.000Z").set("station", keys_.station).set("key", hex(key.public_key()));
  if (entry.signs) event.set("signs", *entry.signs);
  const std::string bytes = json::canonical(event);
  previous_ = log::leaf_hash(bytes);
  Bytes sig;
  if (entry.is_signed) {
    const auto made = (entry.signer ? *entry.signer : key).sign(previous_);
    sig.assign(made.begin(), made.end());
  }
  auto row = ward_.ledger().file().database().prepare(
      "INSERT INTO entries (seq, entry, hash, sig, slip, content) VALUES (?, ?, ?, ?, NULL, ?)");
  CHECK(row.ok());
  row.value().bind(1, seq).bind(2, bytes).bind(3, ByteView(previous_)).bind(4, ByteView(sig));
  CHECK(row.value().bind(5, ByteView(content_digest(event))).run().ok());
  return seq;
}

std::int64_t Forgery::add_opening(ForgedEntry entry) {
  entry.body = event_of(R"({"kind":"pack-opened","at":"2026-10-05T11:00:00+05:00","by":"ana","pack":"PK-9"})");
  return add(entry);
}

void Forgery::add_key(const crypto::SigningKey& key, const std::string& owner, const std::string& sort) {
  const std::string text =
      "trayproof/key-added/1\n" + keys_.ledger + "\n" + owner + "\n" + sort + "\n" + hex(key.public_key()) + "\n";
  json::Value body = event_of(R"({"kind":"key-added","at":"2026-10-05T11:00:00+05:00","by":"station-1"})");
  body.set("public", hex(key.public_key())).set("owner", owner).set("sort", sort);
  body.set("proof", hex(key.sign(as_bytes(text))));
  const std::int64_t seq = add({.body = std::move(body)});
  CHECK(ward_.ledger().file().put_landmark("key-added", seq).ok());
}

std::string Forgery::first_problem() {
  store::LedgerFile::Marked latest{.size = next_ - 1, .hash = previous_, .mark = {}};
  const std::string text = "latest " + std::to_string(latest.size) + " " + hex(latest.hash);
  latest.mark = crypto::keyed_mark(keys_.mark_secret, as_bytes(text));
  CHECK(ward_.ledger().file().put_latest(latest).ok());
  const auto found = problems(ward_.ledger(), Depth::usual);
  return found.empty() ? "nothing" : found.front();
}

}  // namespace trayproof::tests
