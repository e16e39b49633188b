#include "ledger/base/drive.h"

#include <sys/stat.h>
#include <sys/statfs.h>
#include <sys/sysmacros.h>

#include <array>
#include <utility>
#include <vector>

#include "ledger/base/files.h"

namespace trayproof {
namespace {

// statfs(2) and linux/magic.h.
constexpr std::int64_t fuse = 0x65735546;
constexpr std::array<std::pair<std::int64_t, std::string_view>, 10> network = {{
    {0x6969, "nfs"},
    {0xFF534D42, "cifs"},
    {0xFE534D42, "smb2"},
    {0x517B, "smb"},
    {0x564C, "ncp"},
    {0x5346414F, "afs"},
    {0x6B414653, "afs"},
    {0x73757245, "coda"},
    {0x00C36400, "ceph"},
    {0x0BD00BD0, "lustre"},
}};
// FUSE for drives of this machine: a stick with NTFS or exFAT, a container's own layers, a virtual machine's own disk.
constexpr std::array<std::string_view, 3> local_fuse = {"fuseblk", "fuse.fuse-overlayfs", "virtiofs"};

std::vector<std::string_view> words_of(std::string_view line) {
  std::vector<std::string_view> words;
  while (!line.empty()) {
    const std::size_t blank = line.find(' ');
    if (blank != 0) words.push_back(line.substr(0, blank));
    line.remove_prefix(blank == std::string_view::npos ? line.size() : blank + 1);
  }
  return words;
}

}  // namespace

std::string mount_type_of(std::string_view mountinfo, std::string_view device) {
  std::string type;
  while (!mountinfo.empty()) {
    const std::size_t end = mountinfo.find('\n');
    const auto words = words_of(mountinfo.substr(0, end));
    mountinfo.remove_prefix(end == std::string_view::npos ? mountinfo.size() : end + 1);
    if (words.size() < 3 || words[2] != device) continue;
    // Optional fields end with a single dash; the type follows it.
    for (std::size_t i = 6; i + 1 < words.size(); ++i) {
      if (words[i] != "-") continue;
      type = words[i + 1];
      break;
    }
  }
  return type;
}

std::optional<std::string> network_drive_of(std::int64_t magic, std::string_view mount_type) {
  // The field is a signed word on some machines: only the low 32 bits are the magic.
  const std::int64_t low = magic & 0xFFFFFFFF;
  for (const auto& [known, name] : network) {
    if (known == low) return std::string(name);
  }
  if (low != fuse) return std::nullopt;
  for (const std::string_view one : local_fuse) {
    if (one == mount_type) return std::nullopt;
  }
  return mount_type.empty() ? "fuse" : std::string(mount_type);
}

std::optional<std::string> network_drive(const std::string& path) {
  const std::string place = file_exists(path) ? path : folder_of(path);
  struct statfs drive {};
  if (::statfs(place.c_str(), &drive) != 0) return std::nullopt;  // opening the file will tell what is wrong
  const auto magic = static_cast<std::int64_t>(drive.f_type);
  if ((magic & 0xFFFFFFFF) != fuse) return network_drive_of(magic, "");
  constexpr std::size_t mountinfo_bytes_max = std::size_t{4} << 20;
  struct stat info {};
  const auto mounts = read_file("/proc/self/mountinfo", mountinfo_bytes_max);
  if (::stat(place.c_str(), &info) != 0 || !mounts.ok()) return network_drive_of(magic, "");
  const std::string device = std::to_string(major(info.st_dev)) + ":" + std::to_string(minor(info.st_dev));
  return network_drive_of(magic, mount_type_of(as_text(mounts.value()), device));
}

}  // namespace trayproof
