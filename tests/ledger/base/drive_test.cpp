// Network drives by what the machine tells of them. The numbers are those of statfs(2) and linux/magic.h; the lines are
// written after proc(5).
#include "ledger/base/drive.h"

#include "tests/support/folder.h"
#include "tests/support/test.h"

using namespace trayproof;

TEST_CASE("drives of networks are told by their numbers") {
  CHECK(network_drive_of(0x6969, "") == "nfs");
  CHECK(network_drive_of(0xFF534D42, "") == "cifs");
  CHECK(network_drive_of(static_cast<std::int32_t>(0xFF534D42), "") == "cifs");  // as a signed word
  CHECK(network_drive_of(0xFE534D42, "") == "smb2");
  for (const std::int64_t local : {0xEF53LL, 0x9123683ELL, 0x58465342LL, 0x01021994LL, 0x794C7630LL, 0x4D44LL}) {
    CHECK(!network_drive_of(local, ""));  // ext4, btrfs, xfs, tmpfs, overlay, FAT
  }
}

TEST_CASE("a drive served by FUSE is a network's unless its type is one of this machine's own") {
  CHECK(network_drive_of(0x65735546, "fuse.sshfs") == "fuse.sshfs");
  CHECK(network_drive_of(0x65735546, "fuse.rclone") == "fuse.rclone");
  CHECK(network_drive_of(0x65735546, "") == "fuse");
  CHECK(!network_drive_of(0x65735546, "fuseblk"));
  CHECK(!network_drive_of(0x65735546, "virtiofs"));
}

TEST_CASE("the type of a mounted device is the word after the dash and the last mount of it holds") {
  const std::string mounts =
      "24 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw\n"
      "91 24 0:52 / /mnt/far rw,nosuid shared:50 master:2 - fuse.sshfs far:/ rw,user_id=0\n"
      "92 24 8:17 / /media/stick rw - fuseblk /dev/sdb1 rw\n"
      "93 24 0:53 / /mnt/odd\\040name rw - cifs //far/share rw\n"
      "bad line\n";
  CHECK(mount_type_of(mounts, "8:1") == "ext4");
  CHECK(mount_type_of(mounts, "0:52") == "fuse.sshfs");
  CHECK(mount_type_of(mounts, "8:17") == "fuseblk");
  CHECK(mount_type_of(mounts, "0:53") == "cifs");
  CHECK(mount_type_of(mounts, "0:99").empty());
  CHECK(mount_type_of("", "8:1").empty());
}

TEST_CASE("a folder of this machine is no network drive and neither is a file that is not there yet") {
  const tests::Folder folder;
  CHECK(!network_drive(folder.path()));
  CHECK(!network_drive(folder.file("not-yet")));
  CHECK(!network_drive("/no/such/folder/file"));
}
