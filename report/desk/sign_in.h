// Opening a person's key by the PIN of a form, at that station: guesses are slowed down, the PIN is forgotten.
#pragma once

#include <memory>
#include <string>

#include "report/desk/desk.h"

namespace trayproof::desk {

struct Opened {
  std::shared_ptr<const people::Signer> signer;  // null: refused
  std::string why;                               // then: what to say
  int status = 200;                              // and how to answer
};
// Of the fields `person` and `pin`.
Result<Opened> open_by_pin(Asked& asked);

}  // namespace trayproof::desk
