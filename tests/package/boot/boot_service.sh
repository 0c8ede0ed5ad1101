#!/usr/bin/env bash
# The unit in a system that really boots: systemd as the first process in a container whose root is
# this machine's own, with all changes in memory. Needs root, systemd-container and a build with
# nestcup, nestcupd and nestcup-sim. See --help.
set -euo pipefail

usage() {
  cat <<'END'
boot_service.sh BUILD

Installs BUILD into a copy of this system that lives in memory, boots systemd there, and runs
service_checks.py in it: two benches with simulated boards as instances of nestcupd@.service.
Prints a line for each check and a last one with the figures.
Exit codes: 0 all held, 1 something did not, 64 wrong usage, 69 no container can be booted here,
77 not root.
END
}

[ $# -ge 1 ] || { usage >&2; exit 64; }
if [ "$1" = --help ]; then usage; exit 0; fi
if [ "$1" != --inside-namespace ]; then
  build=$(readlink -f "$1")
  here=$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")
  [ "$(id -u)" -eq 0 ] || { echo "boot_service.sh: needs root" >&2; exit 77; }
  if ! command -v systemd-nspawn >/dev/null; then
    echo "boot_service.sh: needs systemd-nspawn (package systemd-container)" >&2
    exit 69
  fi
  folder=$(mktemp -d /var/tmp/nestcup-boot-XXXXXX)
  trap 'rm -rf --one-file-system "$folder"' EXIT
  # What is mounted below is seen by nobody else, and goes with the processes.
  unshare --mount --propagation private bash "$here/boot_service.sh" --inside-namespace \
    "$build" "$here" "$folder" "${@:2}"
  exit
fi

build=$2 here=$3 folder=$4
shift 4
mkdir "$folder/memory" "$folder/root" "$folder/out"
mount -t tmpfs none "$folder/memory"
mkdir "$folder/memory/upper" "$folder/memory/work"
mount -t overlay overlay -o \
  "lowerdir=/,upperdir=$folder/memory/upper,workdir=$folder/memory/work" "$folder/root"
root=$folder/root

# A system of its own: no file systems, services or benches of this machine's.
: >"$root/etc/fstab"
rm -rf "$root/etc/nestcup" "$root/etc/credstore" "$root/etc/systemd/system"
mkdir -p "$root/etc/systemd/system" "$root/usr/local/lib/nestcup-boot"
DESTDIR=$root cmake --install "$build" --prefix /usr >"$folder/install.log"
systemd-sysusers --root="$root" "$root/usr/lib/sysusers.d/nestcup.conf" >>"$folder/install.log"
cp "$here"/service_checks.py "$root/usr/local/lib/nestcup-boot/"
cat >"$root/etc/systemd/system/nestcup-boot.service" <<END
[Unit]
Description=Checks of the benches as services
After=basic.target
[Service]
Type=exec
ExecStart=/bin/sh -c 'timeout 600 \
  /usr/bin/python3 -B /usr/local/lib/nestcup-boot/service_checks.py \
  >/out/report 2>&1; echo \$? >/out/code; journalctl -o short-precise --no-pager \
  >/out/journal; systemctl --no-block exit'
END
cat >"$root/etc/systemd/system/nestcup-boot.target" <<END
[Unit]
Requires=basic.target nestcup-boot.service
After=basic.target
AllowIsolate=yes
END

# Where this machine's first process is no systemd, its control groups may be of the old kind.
if [ "$(stat -f -c %T /sys/fs/cgroup)" != cgroup2fs ]; then
  umount -R -l /sys/fs/cgroup || true
  mount -t cgroup2 none /sys/fs/cgroup
fi
export SYSTEMD_NSPAWN_UNIFIED_HIERARCHY=1
# systemd enforces DeviceAllow= and IPAddressDeny= by programs of the kernel's (bpf), which a
# container may not load unless it is let.
timeout --kill-after=10 900 systemd-nspawn --quiet --directory="$root" --boot --register=no \
  --keep-unit --system-call-filter=bpf --capability=CAP_BPF,CAP_NET_ADMIN --link-journal=no \
  --machine="nestcup-boot-$$" --bind="$folder/out:/out" \
  --console=pipe systemd.unit=nestcup-boot.target </dev/null >"$folder/console" 2>&1 || true

if [ ! -e "$folder/out/code" ]; then
  tail -n 40 "$folder/console" "$folder/out/report" 2>/dev/null || true
  echo "boot_service.sh: the container did not boot, or did not come to an end" >&2
  exit 69
fi
cat "$folder/out/report"
code=$(cat "$folder/out/code")
if [ "$code" -ne 0 ]; then grep -E "nestcup|systemd\[1\]" "$folder/out/journal" | tail -n 60; fi
exit "$((code == 0 ? 0 : 1))"
