// What a program did to the files of one folder, step by step, and what a power cut after any step may have left.
//
// What is promised of a disk is only this: a file's bytes are there once the file was synced, a name once its folder
// was. Everything else may be there, or not, or in part: writes since the last sync are kept or dropped by sectors of
// 512 bytes, in any order, and so are the making, renaming and removing of names. A sync that failed promises nothing,
// and what it should have brought to the disk is not brought there by a later one either (the kernel takes such pages
// for clean).
#pragma once

#include <cstdint>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "tests/crash/calls.h"

namespace trayproof::tests {

// Names and bytes of a folder.
using Files = std::map<std::string, std::string>;

Files files_in(const std::string& folder);
// Empties the folder and writes the files; nothing of it is synced.
void put_files(const std::string& folder, const Files& files);

struct DiskStep {
  CallSort sort{};
  int file = 0;      // its number; names may change
  std::string name;  // of create, remove, rename
  std::string to;    // of rename
  std::int64_t offset = 0;
  std::string bytes;
  bool failed = false;  // of a sync
};

// What was noted of a folder (recording.h): its files at the start, and the steps.
struct Recorded {
  Files start;
  std::vector<DiskStep> steps;
};

// What becomes of what was not synced.
enum class Unsynced {
  kept,
  dropped,
  bytes_kept_names_dropped,
  bytes_dropped_names_kept,
  torn,              // some sectors and names, what is missing reads as zeros
  torn_and_rubbish,  // the same, what is missing behind the old end of a file reads as anything
  one_lost,          // one sector or name only
};

class Disk {
 public:
  explicit Disk(const Recorded& recorded);
  // Takes the next step of the recording.
  void advance(const DiskStep& step);
  // Another program goes on with what the machine shows (`kept`), and nothing was synced in between.
  void advance_all_of(const Recorded& another);
  Files after_power_cut(Unsynced unsynced, std::mt19937_64& dice) const;
  // Whether anything waits for a sync: without it every image is the same.
  bool anything_unsynced() const;

 private:
  // A truncation, or a write within one sector.
  struct Change {
    bool truncates = false;
    bool lost = false;  // a sync failed over it: it may be on the disk, and no later sync brings it there
    std::int64_t offset = 0;
    std::string bytes;
  };
  struct File {
    std::string durable;
    std::vector<Change> pending;
  };
  struct NameChange {
    std::string gone;  // empty when none
    std::string come;  // empty when none
    int file = 0;
  };
  // Which of the unsynced changes, counted over all files and then the names, are on the disk.
  std::vector<bool> chosen(Unsynced unsynced, std::mt19937_64& dice) const;
  static void sync(File& file);

  std::map<int, File> files_;
  std::map<std::string, int> names_now() const;

  std::map<std::string, int> names_;  // durable
  std::vector<NameChange> pending_names_;
};

}  // namespace trayproof::tests
