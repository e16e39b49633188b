#include "report/asking/new_file.h"

#include <sys/stat.h>
#include <unistd.h>

#include "ledger/base/files.h"
#include "ledger/words/words.h"

namespace trayproof {

Result<void> can_be_made(const std::string& file) {
  if (file_exists(file)) return Error(ErrorCode::invalid, say("command.file-exists", {{"file", file}}));
  const std::string folder = folder_of(file);
  struct stat about {};
  if (::stat(folder.c_str(), &about) == 0 && S_ISDIR(about.st_mode) && ::access(folder.c_str(), W_OK | X_OK) == 0)
    return {};
  return Error(ErrorCode::unavailable, say("command.folder-closed", {{"file", file}, {"folder", folder}}));
}

}  // namespace trayproof
