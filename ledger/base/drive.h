// Where a file lies: on a drive of this machine, or on one that is shared over a network, whose locks and syncs cannot
// be relied on. SQLite says of network drives that locks may not work there and files may be damaged
// (https://www.sqlite.org/howtocorrupt.html, 2.1). docs/operations.md, "Files", is the authority.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace trayproof {

// The name of the network's file system ("nfs", "cifs", "fuse.sshfs" …) that holds the path, or its folder when the
// path is not there yet; nothing when the drive is this machine's own, or cannot be asked.
std::optional<std::string> network_drive(const std::string& path);

// The same from what the machine tells: `magic` as in statfs(2), and for FUSE, which serves sticks with NTFS as well as
// network drives, the type that /proc/self/mountinfo names for the device.
std::optional<std::string> network_drive_of(std::int64_t magic, std::string_view mount_type);
// The file system type of the device "major:minor" in the text of a mountinfo (proc(5)); empty when it is not there.
std::string mount_type_of(std::string_view mountinfo, std::string_view device);

}  // namespace trayproof
