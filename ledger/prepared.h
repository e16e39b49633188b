// One event ready to be written: its canonical members, what of it stands beside the chain, and what it claims. Made
// while what was given is read; stays where it is until the batch is done.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ledger/crypto/hash.h"
#include "ledger/events/kinds.h"
#include "ledger/identities.h"
#include "ledger/introductions.h"
#include "ledger/line_reader.h"
#include "ledger/store/ledger_file.h"

namespace trayproof {

struct Prepared {
  std::int64_t line = 0;
  std::size_t given = 0;  // index among the given events
  const events::Kind* kind = nullptr;
  std::string slip;
  crypto::Token content{};
  Rendered rendered;
  std::vector<store::KeptText> texts;
  std::vector<crypto::Token> pseudonyms;
  std::vector<FreshPatient> fresh;  // the patients among them that this event brings
  std::vector<std::string> kept;    // stand-ins that the input gave (hex)
  std::vector<Introduction> introduces;
  std::vector<Soak> soaks;
  std::optional<std::int64_t> of;
  std::size_t key = 0;  // among those of the batch
  bool refused = false;
};

}  // namespace trayproof
