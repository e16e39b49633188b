#include "tests/crash/recording.h"

#include <sys/stat.h>

namespace trayproof::tests {
namespace {

constexpr std::size_t path_bytes_max = 4096;

std::uint64_t inode_of(int fd) {
  struct stat info {};
  return ::fstat(fd, &info) == 0 ? static_cast<std::uint64_t>(info.st_ino) : 0;
}

}  // namespace

Recording::Recording(std::string folder)
    : folder_(std::move(folder)), recorded_{.start = files_in(folder_), .steps = {}} {
  for (const auto& [name, bytes] : recorded_.start) {
    struct stat info {};
    if (::stat((folder_ + "/" + name).c_str(), &info) != 0) continue;
    names_[name] = next_;
    numbers_[static_cast<std::uint64_t>(info.st_ino)] = next_++;
  }
}

bool Recording::name_in_folder(const char* path, std::string& name) const {
  const std::string whole = path;
  if (!whole.starts_with(folder_ + "/") || whole.ends_with("-shm")) return false;
  name = whole.substr(folder_.size() + 1);
  return name.find('/') == std::string::npos;
}

int Recording::file_of(int fd) {
  const auto found = numbers_.find(inode_of(fd));
  return found == numbers_.end() ? -1 : found->second;
}

Verdict Recording::before(const Call& call) {
  static_cast<void>(call);
  return {};
}

void Recording::after(const Call& call) {
  DiskStep step;
  step.sort = call.sort;
  std::string to;
  switch (call.sort) {
    case CallSort::create:
      if (!name_in_folder(call.path, step.name)) return;
      step.file = next_++;
      numbers_[inode_of(call.fd)] = step.file;
      names_[step.name] = step.file;
      break;
    case CallSort::write:
    case CallSort::truncate:
    case CallSort::sync:
      step.file = file_of(call.fd);
      if (step.file < 0) return;
      step.offset = call.offset;
      if (call.sort == CallSort::write) step.bytes.assign(static_cast<const char*>(call.bytes), call.size);
      break;
    case CallSort::sync_folder: {
      char path[path_bytes_max];
      if (!path_of(call.fd, path, sizeof path) || folder_ != path) return;
      break;
    }
    case CallSort::remove:
      if (!name_in_folder(call.path, step.name) || !names_.contains(step.name)) return;
      step.file = names_[step.name];
      names_.erase(step.name);
      break;
    case CallSort::rename:
      if (!name_in_folder(call.path, step.name) || !name_in_folder(call.to, step.to)) return;
      step.file = names_[step.name];
      names_.erase(step.name);
      names_[step.to] = step.file;
      break;
    case CallSort::open:
    case CallSort::read:
    case CallSort::lock:
      return;
  }
  recorded_.steps.push_back(std::move(step));
}

void Recording::note_failed_sync(const Call& call) {
  const std::size_t before = recorded_.steps.size();
  after(call);
  if (recorded_.steps.size() > before) recorded_.steps.back().failed = true;
}

}  // namespace trayproof::tests
