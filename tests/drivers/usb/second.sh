#!/bin/sh
# What first.sh goes on with: a small system with udev and USB gadgets, and the checks in it.
export PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/root LC_ALL=C.UTF-8
. /out/settings
mkdir -p /dev/pts /dev/shm
mount -t devpts -o ptmxmode=0666 devpts /dev/pts
for folder in /run /tmp /dev/shm; do mount -t tmpfs memory $folder; done
rm -rf "/lib/modules/$version"
mkdir -p /lib/modules
ln -s "$kernel/lib/modules/$version" "/lib/modules/$version"
ip link set lo up
/lib/systemd/systemd-udevd --daemon
for module in configfs libcomposite usb_f_acm cdc_acm; do modprobe $module; done
modprobe dummy_hcd num=4
mount -t configfs config /sys/kernel/config
udevadm settle
timeout 1500 python3 -B "$checks" >/out/report 2>&1
echo $? >/out/code
sync
echo o >/proc/sysrq-trigger
sleep 60
