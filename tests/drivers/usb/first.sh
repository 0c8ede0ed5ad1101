#!/bin/busybox sh
# First process of the kernel that boot_usb.sh boots: makes the machine's files, under a layer of
# memory, the root, and goes on with second.sh there.
bb=/bin/busybox
$bb mount -t proc proc /proc
$bb mount -t sysfs sys /sys
$bb mount -t devtmpfs dev /dev
while read -r module; do $bb insmod "/modules/$module"; done </modules/order
$bb mount -t 9p -o ro,trans=virtio,version=9p2000.L,msize=262144,cache=loose machine /lower
$bb mount -t tmpfs memory /memory
$bb mkdir -p /memory/upper /memory/work
$bb mount -t overlay -o lowerdir=/lower,upperdir=/memory/upper,workdir=/memory/work overlay /root
for folder in proc sys dev; do $bb mount -o move "/$folder" "/root/$folder"; done
$bb mkdir -p /root/out
$bb mount -t 9p -o trans=virtio,version=9p2000.L out /root/out
. /root/out/settings
exec $bb switch_root /root /bin/sh "$(dirname "$checks")/second.sh"
