"""A shell script run as a service in a Debian folder that is booted with systemd in a container."""

import shutil
import subprocess

TARGET = """[Unit]
Requires=basic.target nestcup-try.service
After=basic.target
AllowIsolate=yes
"""
SERVICE = """[Unit]
Description=What is tried
After=basic.target
[Service]
Type=exec
ExecStart=/bin/sh -c 'sh -eux /root/try.sh >/root/report 2>&1; echo $? >/root/code; \
journalctl --no-pager >/root/journal; systemctl --no-block exit'
"""
# Where this machine's first process is no systemd, its control groups may be of the old kind.
BOOT = """
if [ "$(stat -f -c %T /sys/fs/cgroup)" != cgroup2fs ]; then
  umount -R -l /sys/fs/cgroup || true
  mount -t cgroup2 none /sys/fs/cgroup
fi
export SYSTEMD_NSPAWN_UNIFIED_HIERARCHY=1
exec timeout --kill-after=10 600 systemd-nspawn --quiet --directory="$1" --boot --register=no \
  --keep-unit --link-journal=no --machine="nestcup-try-$$" --console=pipe \
  systemd.unit=nestcup-try.target </dev/null
"""


def can_boot():
    return shutil.which("systemd-nspawn") is not None


def run(root, script):
    """What the script printed; an AssertionError with that and the journal where it failed, or
    where the system did not boot."""
    units = root / "etc/systemd/system"
    (units / "nestcup-try.target").write_text(TARGET, encoding="ascii")
    (units / "nestcup-try.service").write_text(SERVICE, encoding="ascii")
    (root / "root/try.sh").write_text(script, encoding="ascii")
    left = [root / "root" / name for name in ("code", "report", "journal")]
    for file in left:
        file.unlink(missing_ok=True)
    # Services may start in there, unlike in a root that is only built in.
    policy = root / "usr/sbin/policy-rc.d"
    policy.unlink(missing_ok=True)
    console = subprocess.run(["unshare", "--mount", "--propagation", "private", "bash", "-c", BOOT,
                              "boot", str(root)], stdout=subprocess.PIPE, text=True,
                             stderr=subprocess.STDOUT, check=False, errors="replace").stdout
    if not left[0].exists():
        raise AssertionError(f"the system did not boot, or did not come to an end:\n{console}")
    code, report, journal = (file.read_text(encoding="utf-8", errors="replace") for file in left)
    for file in [*left, root / "root/try.sh", units / "nestcup-try.target",
                 units / "nestcup-try.service"]:
        file.unlink()
    if code.strip() != "0":
        raise AssertionError(f"{report}\n{journal[-4000:]}")
    return report
