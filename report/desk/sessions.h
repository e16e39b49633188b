// Who is at a station: a tapped name, which is a claim, or a person who signed in with their PIN and whose key stands
// in memory until they go. Only in memory: after a restart everybody taps again. From any thread.
#pragma once

#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>

#include "ledger/people/signer.h"

namespace trayproof::desk {

struct Session {
  std::string station;  // label of the station where it began
  std::string person;
  std::shared_ptr<const people::Signer> signer;  // null: a tapped name
  double began = 0;
  double last = 0;  // seconds of the clock
};

class Sessions {
 public:
  // The token for the browser; only its hash is kept. Where there are too many, the one unused longest ends.
  struct Arrival {
    std::string station;
    std::string person;
    std::shared_ptr<const people::Signer> signer;
  };
  std::string open(Arrival arrival, double now);
  // Nothing when it never was, ended, or was unused too long. Finding it is using it.
  std::optional<Session> find(std::string_view token, double now);
  void end(std::string_view token);
  // Everything that this person signed in: their key changed, or they left.
  void end_of(std::string_view person);

 private:
  std::mutex mutex_;
  std::map<std::string, Session, std::less<>> open_;  // by the token's hash
};

// 256 random bits, in hex.
std::string new_token();
// SHA-256, in hex.
std::string token_hash(std::string_view token);

}  // namespace trayproof::desk
