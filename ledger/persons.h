// Keys as acts on a ledger: giving a person a key under a PIN, retiring keys, changing the station's and the ledger's
// own. Each act is events in the chain and a change of the key file, in an order in which no crash leaves the ledger
// without the key that it names. Whether somebody may do it is asked in people/rights.h, before.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include "ledger/ledger.h"

namespace trayproof {

struct KeyGift {
  std::string person;
  std::string pin;                                    // passes people::pin_fault
  std::shared_ptr<const people::Signer> signer = {};  // null: the station
  crypto::StretchCost cost = {};
};
// A new key of the person, in force when this returns; the one before it is retired (`pin-forgotten`, or `rotated` when
// its owner signs). The seq of the last event.
Result<std::int64_t> give_key(Ledger& ledger, const KeyGift& gift);

struct Retirement {
  std::string public_key;  // hex
  std::string cause;       // rotated, left, pin-forgotten, lost, stolen
  DateTime since;
  std::shared_ptr<const people::Signer> signer = {};
};
// A key-retired; a person's sealed key is dropped from the key file. Missing when no such key is in force, except that
// a key retired before may still be reported stolen. Invalid for a key that the program itself must go on with: rotate
// it.
Result<std::int64_t> retire_key(Ledger& ledger, const Retirement& retirement);

// The keys that the program itself works with.
enum class OwnKey { station, ledger };
struct Rotation {
  OwnKey which = OwnKey::station;
  std::string cause = "rotated";
  DateTime since;
  std::shared_ptr<const people::Signer> signer = {};
};
// Another key in the place of the old one: key-added (a ledger key co-signed by the one before it) and key-retired in
// one commit. The new public key, hex. The ledger's handle goes on with it.
Result<std::string> rotate_key(Ledger& ledger, const Rotation& rotation);

// The person's person-left, and the end of their keys. `at` is when they left.
struct Leaving {
  std::string person;
  DateTime at;
  std::shared_ptr<const people::Signer> signer = {};
};
Result<std::int64_t> leave(Ledger& ledger, const Leaving& leaving);

}  // namespace trayproof
