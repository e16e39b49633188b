// What is left on a disk, opened again by the real program: does it hold what was acknowledged, and nothing by halves?
#pragma once

#include <filesystem>
#include <string>
#include <unordered_set>

#include "tests/crash/disk.h"
#include "tests/crash/story.h"

namespace trayproof::tests {

// In memory: what is a disk here is played, and must not be waited for.
class MemoryFolder {
 public:
  MemoryFolder() {
    std::string pattern = "/dev/shm/trayproof-crash-XXXXXX";
    if (::mkdtemp(pattern.data()) == nullptr) ::trayproof::check_failed("mkdtemp", __FILE__, __LINE__);
    path_ = pattern;
  }
  ~MemoryFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  MemoryFolder(const MemoryFolder&) = delete;
  MemoryFolder& operator=(const MemoryFolder&) = delete;
  const std::string& path() const { return path_; }
  std::string file(const std::string& name) const { return path_ + "/" + name; }

 private:
  std::string path_;
};

struct Fault {
  bool lost = false;  // something acknowledged
  std::string what;   // empty: none
};

// Files of derived tables that were looked at: the same bytes over the same events need not be derived again to be
// compared. Bytes as SQLite's own recovery leaves them, since a power cut within a derivation leaves hundreds of files
// that all become the one before it.
class TablesSeen {
 public:
  bool first_time(const std::string& ledger_path, const Standing& standing);

 private:
  MemoryFolder aside_;
  std::unordered_set<std::size_t> prints_;
};

// What else is tried, since it takes longer.
struct Further {
  TablesSeen* tables = nullptr;  // compared where they were not seen before
  bool append = false;
};

// `before`: what had been acknowledged. `after`: what the step under way would have led to.
Fault fault_in(const std::string& path, const Standing& before, const Standing& after, Further further);

// A number for the files; another for other names or bytes.
std::size_t print_of(const Files& files);

}  // namespace trayproof::tests
