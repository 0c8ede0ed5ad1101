"""The udev rules as udev(7) says: keys, operators and places to jump to, and what they do to an
adapter. Debian 12's udevadm cannot check a rule file (verify came with systemd 254)."""

import pathlib
import re
import unittest

RULES = pathlib.Path(__file__).parents[2] / "tools/package/69-nestcup.rules"
# The keys of udev(7) that these rules may use, each with its operators.
MATCH = {"ACTION", "SUBSYSTEM", "KERNEL", "DRIVERS", "SUBSYSTEMS", "KERNELS", "TEST", "ATTR", "ENV"}
ASSIGN = {"GROUP", "MODE", "SYMLINK", "GOTO", "LABEL", "ENV", "ATTR"}
PART = re.compile(r'([A-Z]+)(?:\{([^}]+)\})?(==|!=|\+=|:=|=)"([^"]*)"')


def lines(text):
    return [line for line in text.splitlines() if line and not line.startswith("#")]


def parts(line):
    """(key, attribute, operator, value) of each part; an error where something else stands."""
    found = []
    for part in re.split(r",\s*", line):
        match = PART.fullmatch(part.strip())
        if not match:
            raise ValueError(f"no udev rule: {part!r} in {line!r}")
        found.append(match.groups())
    return found


def applied(rules, device):
    """What the rules assign to a device of these properties; a small reading of udev(7)."""
    assigned, jump = {}, None
    for rule in rules:
        label = next((value for key, _, _, value in rule if key == "LABEL"), None)
        if jump:
            if label != jump:
                continue
            jump = None
        matches = [part for part in rule if part[2] in ("==", "!=")]
        if any(not fits(part, device) for part in matches):
            continue
        for key, attribute, operator, value in rule:
            if operator in ("==", "!="):
                continue
            if key == "GOTO":
                jump = value
            elif key != "LABEL":
                assigned[f"{key}{{{attribute}}}" if attribute else key] = value
    return assigned


def fits(part, device):
    key, attribute, _, wanted = part
    value = device.get(f"{key}{{{attribute}}}" if attribute and key != "TEST" else key)
    patterns = wanted.split("|")
    if value is None:
        return False
    return any(re.fullmatch(re.escape(p).replace(r"\*", ".*"), value) for p in patterns)


class UdevRules(unittest.TestCase):
    def setUp(self):
        text = RULES.read_text(encoding="ascii")
        self.rules = [parts(line) for line in lines(text)]
        # The examples that a person takes the # away from.
        self.examples = [parts(line[1:]) for line in text.splitlines()
                         if re.match(r"#[A-Z]+==", line)]

    def test_keys_and_operators(self):
        for rule in self.rules + self.examples:
            for key, _, operator, _ in rule:
                with self.subTest(key=key, operator=operator):
                    self.assertIn(key, MATCH if operator in ("==", "!=") else ASSIGN)
        self.assertEqual(len(self.examples), 2)

    def test_jumps_lead_forward_to_one_label(self):
        labels = {value: at for at, rule in enumerate(self.rules)
                  for key, _, _, value in rule if key == "LABEL"}
        for at, rule in enumerate(self.rules):
            for key, _, _, value in rule:
                if key == "GOTO":
                    self.assertGreater(labels[value], at)

    def test_an_adapter_is_left_alone_by_modem_managers_and_kept_awake(self):
        device = {"ACTION": "add", "SUBSYSTEM": "usb", "ENV{DEVTYPE}": "usb_device",
                  "ATTR{idVendor}": "1a86", "TEST": "power/control"}
        self.assertEqual(applied(self.rules, device),
                         {"ENV{ID_MM_DEVICE_IGNORE}": "1", "ATTR{power/control}": "on"})
        self.assertEqual(applied(self.rules, {**device, "ATTR{idVendor}": "12d1"}), {})
        self.assertEqual(applied(self.rules, {**device, "ACTION": "remove"}), {})

    def test_ports_belong_to_the_group(self):
        for name in ("ttyUSB0", "ttyACM12"):
            port = {"ACTION": "add", "SUBSYSTEM": "tty", "KERNEL": name}
            self.assertEqual(applied(self.rules, port), {"GROUP": "dialout", "MODE": "0660"})
        self.assertEqual(applied(self.rules, {"ACTION": "add", "SUBSYSTEM": "tty",
                                              "KERNEL": "ttyS0"}), {})

    def test_latency_of_ftdi_adapters(self):
        port = {"ACTION": "add", "SUBSYSTEM": "usb-serial", "DRIVERS": "ftdi_sio",
                "ATTR{latency_timer}": "16"}
        self.assertEqual(applied(self.rules, port), {"ATTR{latency_timer}": "1"})

    def test_they_run_after_the_links_and_before_modem_managers(self):
        self.assertTrue("60-serial.rules" < RULES.name < "77-mm-usb-device-blacklist.rules")


if __name__ == "__main__":
    unittest.main()
