// Whole files in and out, with the syscalls that make a new file durable: write to a temporary name in the same folder,
// fsync, link under the final name, fsync the folder. A file of that name is never overwritten unless asked.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>

#include "ledger/base/bytes.h"
#include "ledger/base/result.h"

namespace trayproof {

enum class FileMode { shared, owner_only };

// Missing, unavailable, or invalid when the file has more than `bytes_max`. "-" is standard input.
Result<Bytes> read_file(const std::string& path, std::size_t bytes_max);
// Conflict when the file exists; nothing is left behind on failure.
Result<void> write_new_file(const std::string& path, ByteView bytes, FileMode mode);
// Replaces what was there in one step.
Result<void> replace_file(const std::string& path, ByteView bytes, FileMode mode);
bool file_exists(const std::string& path);
// Two names of one file.
bool same_file(const std::string& one, const std::string& other);
// "." for a bare name.
std::string folder_of(const std::string& path);

// A file read piece by piece, as often as wanted. Errors as of `read_file`; a folder is invalid.
class FileReader {
 public:
  static Result<FileReader> open(const std::string& path);
  FileReader(FileReader&& other) noexcept;
  FileReader& operator=(FileReader&&) = delete;
  ~FileReader();

  // Fills the front of `into` and tells how much of it; less than all only at the end of the file, 0 behind it.
  Result<std::size_t> read(std::span<std::uint8_t> into);
  Result<void> rewind();
  // At the time of opening; nothing where the file is a pipe or a device.
  std::optional<std::int64_t> bytes() const { return bytes_; }

 private:
  FileReader(int fd, std::string path, std::optional<std::int64_t> bytes);
  int fd_;
  std::string path_;
  std::optional<std::int64_t> bytes_;
};

// An empty file under a name of its own beside `path`, for a library that writes files itself.
Result<std::string> new_file_beside(const std::string& path);
// What somebody else wrote there reaches the disk.
Result<void> make_durable(const std::string& path, FileMode mode);
// Makes the names in the folder of `path` durable, whoever gave or removed them.
Result<void> sync_folder_of(const std::string& path);
// Renames without overwriting (conflict) and makes the folder durable.
Result<void> rename_new(const std::string& from, const std::string& to);

// The same, replacing what was there in one step.
Result<void> rename_over(const std::string& from, const std::string& to);

}  // namespace trayproof
