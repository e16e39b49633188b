// Whole files in and out, with the syscalls that make a new file durable: write to a temporary name in the same folder,
// fsync, link under the final name, fsync the folder. A file of that name is never overwritten unless asked.
#pragma once

#include <cstddef>
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
// "." for a bare name.
std::string folder_of(const std::string& path);
// Renames without overwriting (conflict) and makes the folder durable.
Result<void> rename_new(const std::string& from, const std::string& to);

// The same, replacing what was there in one step.
Result<void> rename_over(const std::string& from, const std::string& to);

}  // namespace trayproof
