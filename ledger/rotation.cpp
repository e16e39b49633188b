// Rotating the station's or the ledger's key. The key file holds the new key before the record names it, and the old
// one until the record says that it is retired.
#include "ledger/crypto/random.h"
#include "ledger/people/key_proof.h"
#include "ledger/persons.h"

namespace trayproof {
namespace {

using json::Value;

Value event_of(const Ledger& ledger, std::string_view kind, const Rotation& rotation) {
  Value event = Value::object();
  event.set("kind", kind).set("at", format_date_time({ledger.clock().now(), 0}));
  event.set("by", rotation.signer ? rotation.signer->person : ledger.actor());
  return event;
}

}  // namespace

Result<std::string> rotate_key(Ledger& ledger, const Rotation& rotation) {
  const bool station = rotation.which == OwnKey::station;
  const std::string path = people::key_path(ledger.path());
  const auto next = crypto::SigningKey::from_seed(crypto::random_bytes<32>());
  TRY_LET(const auto book, ledger.key_book());
  TRY_LET(const auto keys, people::KeyFile::change(path, [&](people::KeyFile& file) -> Result<void> {
            file.settle(book);
            (station ? file.next_station_key : file.next_ledger_key) = next;
            return {};
          }));
  const crypto::SigningKey& old = station ? keys.station_key : keys.ledger_key;
  const std::string owner = station ? keys.station : ledger.origin();
  const std::string_view sort = station ? "station" : "ledger";
  const std::string public_key = hex(next.public_key());
  const people::KeyClaim claim{.ledger = keys.ledger, .owner = owner, .sort = sort, .public_key = public_key};

  Value added = event_of(ledger, "key-added", rotation);
  added.set("public", public_key).set("owner", owner).set("sort", sort).set("proof", people::prove(claim, next));
  if (!station) added.set("cosigned", people::prove(claim, old));
  Value retired = event_of(ledger, "key-retired", rotation);
  retired.set("public", hex(old.public_key())).set("since", format_date_time(rotation.since));
  retired.set("cause", rotation.cause);
  AppendOptions options;
  options.giver = events::Giver::program;
  options.same_content_repeats = false;
  options.signer = rotation.signer;
  TRY_LET(const auto done, ledger.append({{0, std::move(added)}, {0, std::move(retired)}}, options));
  if (!done.refusals.empty()) return Error(ErrorCode::invalid, done.refusals.front().why);
  TRY_LET(const auto after, ledger.key_book());
  TRY(people::KeyFile::change(path, [&](people::KeyFile& file) -> Result<void> {
    file.settle(after);
    return {};
  }));
  TRY(ledger.reread_keys());
  return public_key;
}

}  // namespace trayproof
