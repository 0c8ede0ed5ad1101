#include "core/store/filesystem.hpp"

#include "tests/catch.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

TEST_CASE("network file systems are known by their numbers (statfs(2))") {
  CHECK(network_name(0x6969) == "NFS");
  CHECK(network_name(0x517B) == "SMB");
  CHECK(network_name(static_cast<int>(0xFE534D42)) == "SMB");  // as a machine with 32 bits has it
  CHECK(network_name(0xFF534D42) == "CIFS");
  CHECK(network_name(0x01021997) == "9P");
  CHECK_FALSE(network_name(0xEF53).has_value());      // ext4
  CHECK_FALSE(network_name(0x01021994).has_value());  // tmpfs
  CHECK_FALSE(network_name(0x9123683E).has_value());  // btrfs
}

TEST_CASE("file systems in user space are told apart by the list of mounts (proc(5))") {
  const std::string mounts =
      "22 1 254:1 / / rw,relatime shared:1 - ext4 /dev/vda1 rw\n"
      "41 22 0:48 / /home/kim/share rw,nosuid shared:9 master:2 - fuse.sshfs kim@host: rw\n"
      "42 22 0:49 / /media/stick rw - fuseblk /dev/sdb1 rw\n"
      "43 22 0:50 / /merged rw - fuse.fuse-overlayfs overlay rw\n";
  CHECK(fuse_network_name(mounts, "0:48") == "sshfs");
  CHECK_FALSE(fuse_network_name(mounts, "0:49").has_value());
  CHECK_FALSE(fuse_network_name(mounts, "0:50").has_value());
  CHECK_FALSE(fuse_network_name(mounts, "254:1").has_value());
  CHECK_FALSE(fuse_network_name(mounts, "0:4").has_value());
  CHECK_FALSE(fuse_network_name("", "0:48").has_value());
}

TEST_CASE("a local folder can carry a store") {
  const TemporaryFolder folder;
  CHECK_FALSE(network_filesystem(folder.path()).has_value());
  CHECK_FALSE(network_filesystem(folder.file("none")).has_value());
}
