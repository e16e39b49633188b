// The part of verify that follows the keys: which were added, which of them may sign an event where it stands. Fed with
// every event in order. Private to verify; docs/ledger-format.md, "Keys", is the authority.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "ledger/ledger.h"
#include "ledger/text/json.h"

namespace trayproof {

struct Verification;

class KeyCheck {
 public:
  KeyCheck(const Ledger& ledger, Verification& found);
  // Whether the key that the event names may sign here, then what the event itself says of keys.
  void entry(std::int64_t seq, const json::Value& event);
  // After the last: what stolen keys signed, and whether the key file beside the ledger holds keys that its entries
  // added.
  void finish();

 private:
  struct Known {
    std::string owner;
    std::string sort;
    std::int64_t added = 0;
    std::optional<std::int64_t> retired;
  };
  void check(std::int64_t seq, const json::Value& event);
  void learn(std::int64_t seq, const json::Value& event);
  void learn_added(std::int64_t seq, const json::Value& event);
  // The ledger key in force: the last added. Zeros before the first.
  crypto::PublicKey ledger_key() const;
  void problem(std::int64_t seq, std::string what);

  const Ledger& ledger_;
  Verification& found_;
  std::map<std::string, Known> known_;  // by public key in hex
  bool any_stolen_ = false;
  people::KeyBook book_;  // the same to the end, read ahead from the index of landmarks, which verify checks too
  std::map<std::string, std::vector<std::int64_t>> signed_after_;  // by stolen key, since the theft
};

}  // namespace trayproof
