#include "report/command/period.h"

#include "ledger/base/files.h"
#include "ledger/base/limits.h"
#include "ledger/words/words.h"

namespace trayproof::command {

Result<std::string> sop_text(const std::string& file) {
  TRY_LET(const auto bytes, read_file(file, limits::toml_bytes));
  std::string text(as_text(bytes));
  const auto sop = sop::read(text);
  if (!sop.ok()) return Error(sop.error()).during(file);
  return text;
}

}  // namespace trayproof::command
