// A person who is signed in: their id and their key, for as long as this object lives. Never written anywhere.
#pragma once

#include <string>

#include "ledger/crypto/sign.h"

namespace trayproof::people {

struct Signer {
  std::string person;
  crypto::SigningKey key;
};

}  // namespace trayproof::people
