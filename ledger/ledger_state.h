// What an open ledger holds. Private to the ledger's face.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "ledger/batch.h"
#include "ledger/known_patients.h"
#include "ledger/ledger.h"

namespace trayproof {

// What the clock showed when this handle last looked, and when that was by the seconds that only go forward.
struct ClockSeen {
  Instant now;
  double seconds = 0;

  static ClockSeen on(Clock& clock) { return {.now = clock.now(), .seconds = clock.seconds()}; }
};

struct Ledger::State {
  std::string path;
  Clock* clock = nullptr;
  store::LedgerFile file;
  std::optional<people::KeyFile> keys;
  std::shared_ptr<const people::Signer> signer;  // who is signed in to this handle
  std::string keys_path;
  std::string ledger;
  std::string origin;
  std::string station;
  crypto::PublicKey ledger_key{};     // the one that the record names as in force
  bool station_key_in_force = false;  // when the record was last looked at
  ClockSeen clock_seen;
  bool asked_read_only = false;
  bool file_read_only = false;
  std::optional<std::string> network;  // the file system of the network drive that it must not be written on
  // Kept from append to append.
  std::unique_ptr<KnownPatients> patients;  // where there are keys
  std::optional<sop::Editions> editions;
  std::vector<std::int64_t> editions_of;  // the seqs that they were read from

  // The keys that the record names as in force: a key file whose change was cut off still holds them as the next ones.
  void follow_keys();
};

}  // namespace trayproof
