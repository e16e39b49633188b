// Every call by which this program, and SQLite inside it, touches the disk, seen by a watcher before it is made and
// after it. calls.cpp defines the names of the C library, so SQLite and our own code find these first: nothing in the
// product knows of it. What is recorded or failed here is therefore what really reaches the kernel: syncs of folders,
// the key file and renames too, which a VFS of SQLite would not show.
//
// Linked into a test program, or preloaded into the real one (kill_at.cpp). Calls of libraries other than files are not
// looked at, and a watcher sees only what it asks for.
#pragma once

#include <cstddef>
#include <cstdint>

namespace trayproof::tests {

enum class CallSort { open, create, read, write, truncate, sync, sync_folder, remove, rename, lock };

struct Call {
  CallSort sort{};
  int fd = -1;                 // of an open file; of open and create only after the call
  const char* path = nullptr;  // of open, create, remove, rename
  const char* to = nullptr;    // of rename
  const void* bytes = nullptr;
  std::size_t size = 0;
  std::int64_t offset = 0;  // of truncate: the new size; of a write without one: the end of what is there
};

// What becomes of a call: made (0), or failed with an errno, before it was made or although it was.
struct Verdict {
  int error = 0;
  bool made_all_the_same = false;
};

class Watcher {
 public:
  Watcher() = default;
  Watcher(const Watcher&) = delete;
  Watcher& operator=(const Watcher&) = delete;
  virtual ~Watcher() = default;
  virtual Verdict before(const Call& call) = 0;
  // Only of calls that were made and worked; of a write as far as it got.
  virtual void after(const Call& call) = 0;
};

// One watcher at a time; set and unset while no other thread makes calls.
void watch(Watcher* watcher);

// Watches until it goes out of scope.
class Watching {
 public:
  explicit Watching(Watcher& watcher) { watch(&watcher); }
  ~Watching() { watch(nullptr); }
  Watching(const Watching&) = delete;
  Watching& operator=(const Watching&) = delete;
};

// The path of an open file, without allocation; false when it has none in the file system.
bool path_of(int fd, char* path, std::size_t size);

}  // namespace trayproof::tests
