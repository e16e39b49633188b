#include "report/command/signatures.h"

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/log/handed_on.h"

namespace trayproof::command {

Result<std::string> read_checkpoint(const std::string& file) {
  auto bytes = read_file(file, limits::note_bytes);
  if (!bytes.ok()) return std::move(bytes).error().during(file);
  return log::as_signed(as_text(bytes.value()));
}

Result<std::vector<log::VerifierKey>> witness_keys(const std::vector<std::string>& given) {
  std::vector<log::VerifierKey> keys;
  for (const std::string& text : given) {
    auto key = log::parse_vkey(text);
    if (!key.ok()) return std::move(key).error().during("--witness-key");
    keys.push_back(std::move(key).value());
  }
  return keys;
}

}  // namespace trayproof::command
