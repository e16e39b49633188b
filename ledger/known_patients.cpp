#include "ledger/known_patients.h"

namespace trayproof {

Result<void> KnownPatients::refresh() {
  TRY_LET(const auto version, file_.version());
  if (read_at_ == version) return {};
  read_at_.reset();
  TRY(identities.load());
  TRY(numbers.load(file_));
  read_at_ = version;
  return {};
}

void KnownPatients::keep(const std::unordered_map<crypto::Token, FreshPatient, crypto::TokenHash>& left_out) {
  identities.keep(left_out);
  numbers.settle(identities);
}

void KnownPatients::undo() {
  identities.undo();
  numbers.settle(identities);
}

}  // namespace trayproof
