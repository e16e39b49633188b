// A fresh folder under the machine's temporary one, removed with everything in it.
#pragma once

#include <stdlib.h>

#include <filesystem>
#include <string>

#include "ledger/base/check.h"

namespace trayproof::tests {

class Folder {
 public:
  Folder() {
    std::string pattern = (std::filesystem::temp_directory_path() / "trayproof-test-XXXXXX").string();
    const bool made = ::mkdtemp(pattern.data()) != nullptr;
    if (!made) ::trayproof::check_failed("mkdtemp", __FILE__, __LINE__);
    path_ = pattern;
  }
  ~Folder() {
    std::error_code ignored;  // a folder that cannot be removed is the machine's to clean up
    std::filesystem::remove_all(path_, ignored);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;

  const std::string& path() const { return path_; }
  std::string file(const std::string& name) const { return path_ + "/" + name; }
  // How many files are in it, for tests that nothing is left behind.
  std::size_t files() const {
    std::size_t count = 0;
    for (const auto& one : std::filesystem::directory_iterator(path_)) {
      if (one.exists()) ++count;
    }
    return count;
  }

 private:
  std::string path_;
};

}  // namespace trayproof::tests
