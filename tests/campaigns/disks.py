"""Disks of a campaign's own: small ones that can be full, failed or frozen, seen by it alone.

`in_own_mounts()` begins the program anew in a mount namespace of its own, as root or as one who is
root in there alone; where neither is permitted, nothing can be mounted.
"""

import os
import pathlib
import shutil
import subprocess
import sys

from rig import Rig

MARK = "NESTCUP_CAMPAIGN_MOUNTS"
TMPFS_BYTES, EXT4_BYTES, EXT4_BLOCK = 8 << 20, 8 << 20, 4096


def in_own_mounts():
    """@return which file systems can be mounted: of "tmpfs" and "ext4" """
    if MARK in os.environ:
        return os.environ[MARK].split(",")
    for words, kinds in ((["unshare", "--mount"], "tmpfs,ext4"),
                         (["unshare", "--user", "--map-root-user", "--mount"], "tmpfs")):
        if not shutil.which("unshare"):
            break
        if subprocess.run([*words, "true"], capture_output=True, check=False).returncode == 0:
            os.environ[MARK] = kinds
            os.execvp(words[0], [*words, sys.executable, "-B", *sys.argv])
    return []


def run(*words):
    return subprocess.run([*map(str, words)], capture_output=True, text=True, check=False)


class Disk:
    """A file system at `place`."""

    def __init__(self, place, kind):
        self.place, self.kind = pathlib.Path(place), kind
        self.image = self.place.with_name("image")
        self.filler = self.place / "filler"
        self.place.mkdir()
        if kind == "ext4":
            with open(self.image, "wb") as image:
                image.truncate(EXT4_BYTES)
            made = run("mkfs.ext4", "-q", "-F", "-b", str(EXT4_BLOCK), self.image)
            assert made.returncode == 0, made.stderr
        self.mount()

    def mount(self):
        words = (["-t", "tmpfs", "-o", f"size={TMPFS_BYTES}", "tmpfs"] if self.kind == "tmpfs" else
                 ["-o", "loop,errors=remount-ro", self.image])
        done = run("mount", *words, self.place)
        assert done.returncode == 0, done.stderr

    def unmount(self):
        done = run("umount", self.place)
        assert done.returncode == 0, done.stderr

    def close(self):
        run("fsfreeze", "-u", self.place)
        run("umount", "-l", self.place)

    def fill(self):
        """To the last byte."""
        file = os.open(self.filler, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
        try:
            for size in (4096, 1):
                try:
                    while os.write(file, b"x" * size):
                        pass
                except OSError:
                    pass
        finally:
            os.close(file)

    def make_room(self):
        self.filler.unlink(missing_ok=True)

    def freeze(self):
        """Whoever writes waits until `thaw`."""
        assert run("fsfreeze", "-f", self.place).returncode == 0

    def thaw(self):
        assert run("fsfreeze", "-u", self.place).returncode == 0

    def fail(self):
        """The kernel finds an error and makes the disk read-only, also for who has it open."""
        device = os.stat(self.place).st_dev
        name = os.path.basename(os.readlink(f"/sys/dev/block/{os.major(device)}:"
                                            f"{os.minor(device)}"))
        pathlib.Path(f"/sys/fs/ext4/{name}/trigger_fs_error").write_text("1", encoding="ascii")

    def repair(self):
        """To be asked when nobody has it open."""
        self.unmount()
        checked = run("fsck.ext4", "-p", "-f", self.image)
        assert checked.returncode in (0, 1), checked.stdout + checked.stderr
        self.mount()


class Disked:
    """Gives a rig's store a disk of its own; a mixin that goes before the rig. Without a kind the
    store lies on the common disk."""

    def __init__(self, *what, disk=None, **how):
        place = {"store": "disk/bench.db"} if disk else {}
        super().__init__(*what, **how, **place)
        self.disk = None
        if disk:
            self.disk = Disk(self.folder / "disk", disk)
            self.store_path = self.folder / "disk" / "bench.db"

    def __exit__(self, *reason):
        super().__exit__(*reason)
        if self.disk:
            self.disk.close()
            shutil.rmtree(self.folder, ignore_errors=True)


class DiskRig(Disked, Rig):
    pass
