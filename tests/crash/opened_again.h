// What is left on a disk, opened again by the real program: does it hold what was acknowledged, and nothing by halves?
#pragma once

#include <filesystem>
#include <string>

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

// What else is tried, since it takes longer.
struct Further {
  bool tables = false;
  bool append = false;
};

// `before`: what had been acknowledged. `after`: what the step under way would have led to.
Fault fault_in(const std::string& path, const Standing& before, const Standing& after, Further further);

// A number for the files whose names hold `part`; another for other bytes.
std::size_t print_of(const Files& files, const std::string& part);

}  // namespace trayproof::tests
