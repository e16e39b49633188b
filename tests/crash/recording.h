// Notes what is done to the files of a folder. Stands in test programs that have calls.cpp in them.
#pragma once

#include <cstdint>
#include <map>
#include <string>

#include "tests/crash/calls.h"
#include "tests/crash/disk.h"

namespace trayproof::tests {

// Notes the steps of everything in one folder. Files that end in `-shm` are left out: SQLite makes that one again.
class Recording final : public Watcher {
 public:
  explicit Recording(std::string folder);
  Verdict before(const Call& call) override;
  void after(const Call& call) override;
  // Of a sync that another watcher lets fail.
  void note_failed_sync(const Call& call);

  const Recorded& recorded() const { return recorded_; }
  const std::vector<DiskStep>& steps() const { return recorded_.steps; }

 private:
  bool name_in_folder(const char* path, std::string& name) const;
  int file_of(int fd);

  std::string folder_;
  Recorded recorded_;
  std::map<std::uint64_t, int> numbers_;  // by inode
  std::map<std::string, int> names_;
  int next_ = 0;
};

}  // namespace trayproof::tests
