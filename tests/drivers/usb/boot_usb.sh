#!/usr/bin/env bash
# The daemon with USB as a kernel has it: adapters that are pulled out, exchanged, and have modem
# lines. See --help.
set -euo pipefail

usage() {
  cat <<'END'
boot_usb.sh FOLDER BUILD [UNPLUGGED [SEED]]

Boots a stock Debian kernel (kept in FOLDER) in qemu, with this machine's files as its own (all
changes stay in memory), makes USB adapters there (dummy_hcd: a host controller with gadgets at its
own ports), and runs usb_checks.py with the programs of BUILD: adapters unplugged UNPLUGGED times
(default 40) at random, while others go on.
Needs qemu-system-x86, busybox-static, cpio, kmod and udev; the processor is emulated, so that it
works everywhere, slowly.
Prints a line for each check and a last one with the figures.
Exit codes: 0 all held, 1 something did not, 64 wrong usage, 69 nothing can be booted here.
END
}

[ "${1-}" != --help ] || { usage; exit 0; }
[ $# -ge 2 ] || { usage >&2; exit 64; }
mkdir -p "$1"
folder=$(readlink -f "$1") build=$(readlink -f "$2")
here=$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")
[ "$(uname -m)" = x86_64 ] || { echo "boot_usb.sh: needs a 64-bit PC" >&2; exit 69; }
for program in qemu-system-x86_64 busybox cpio depmod /lib/systemd/systemd-udevd; do
  command -v "$program" >/dev/null || { echo "boot_usb.sh: needs $program" >&2; exit 69; }
done

# The kernel of this machine's Debian, unpacked and not installed.
kernel=$folder/kernel
if [ ! -e "$kernel/complete" ]; then
  rm -rf "$kernel" && mkdir "$kernel"
  package=$(apt-cache depends linux-image-amd64 | sed -n 's/^ *Depends: //p' | head -n 1)
  (cd "$kernel" && apt-get -qq -o APT::Sandbox::User=root download "$package") ||
    { echo "boot_usb.sh: no kernel to be had from apt" >&2; exit 69; }
  dpkg-deb -x "$kernel"/*.deb "$kernel"
  version=$(basename "$kernel"/lib/modules/*)
  depmod --basedir "$kernel" "$version"
  touch "$kernel/complete"
fi
version=$(basename "$kernel"/lib/modules/*)

# The first file system: what it takes to get at this machine's files.
first=$folder/first
rm -rf "$first" && mkdir -p "$first"/{bin,modules,proc,sys,dev,lower,memory,root}
cp "$(command -v busybox)" "$first/bin/busybox"
cp "$here/first.sh" "$first/init"
for module in virtio_pci 9pnet_virtio 9p overlay; do
  modprobe --dirname "$kernel" --set-version "$version" --show-depends "$module"
done | sed -n 's/^insmod \([^ ]*\).*/\1/p' | awk '!seen[$0]++' | while read -r file; do
  cp "$file" "$first/modules/"
  basename "$file" >>"$first/modules/order"
done
(cd "$first" && find . | cpio --quiet -o -H newc) >"$folder/first.cpio"

rm -rf "$folder/out" && mkdir "$folder/out"
cat >"$folder/out/settings" <<END
kernel=$kernel
version=$version
checks=$here/usb_checks.py
export PYTHONPATH=$here:$here/../../daemon NESTCUP=$build/bin/nestcup
export NESTCUPD=$build/bin/nestcupd NESTCUP_SIM=$build/bin/nestcup-sim
export NESTCUP_SCENARIOS=$here/../../../sim/scenarios
export NESTCUP_TEST_UNPLUGGED=${3-40} NESTCUP_TEST_SEED=${4-28}
END
timeout --kill-after=10 1800 qemu-system-x86_64 -nodefaults -no-user-config -no-reboot \
  -display none -serial "file:$folder/console" -accel tcg,thread=multi -cpu max -smp 2 -m 1024 \
  -kernel "$kernel/boot/vmlinuz-$version" -initrd "$folder/first.cpio" \
  -append "console=ttyS0 quiet panic=-1" \
  -virtfs local,path=/,mount_tag=machine,security_model=none,readonly=on,multidevs=remap \
  -virtfs "local,path=$folder/out,mount_tag=out,security_model=none" || true

if [ ! -e "$folder/out/code" ]; then
  tail -n 40 "$folder/console" "$folder/out/report" 2>/dev/null || true
  echo "boot_usb.sh: the kernel did not boot, or the checks did not come to an end" >&2
  exit 69
fi
cat "$folder/out/report"
exit "$(($(cat "$folder/out/code") == 0 ? 0 : 1))"
