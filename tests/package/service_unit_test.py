"""The unit of the service: what systemd itself says of it, and that it, the udev rules, the user and
the program go together."""

import os
import pathlib
import re
import shutil
import subprocess
import tempfile
import unittest

ROOT = pathlib.Path(__file__).parents[2]
PACKAGE = ROOT / "tools/package"
UNIT = PACKAGE / "nestcupd@.service"
# Tenths, as systemd-analyze takes it: 1.6 is the most that is allowed.
MOST_EXPOSED = 16


def settings(path=UNIT):
    """(section, key) -> values in the file's order."""
    found, section = {}, ""
    for line in path.read_text(encoding="ascii").splitlines():
        if match := re.fullmatch(r"\[(\w+)\]", line):
            section = match.group(1)
        elif match := re.fullmatch(r"(\w+)=(.*)", line):
            found.setdefault((section, match.group(1)), []).append(match.group(2))
        elif line and not line.startswith("#"):
            raise ValueError(f"no line of a unit: {line!r}")
    return found


def analyze(*words):
    done = subprocess.run(["systemd-analyze", *words], stdout=subprocess.PIPE,
                          stderr=subprocess.STDOUT, encoding="utf-8", check=False)
    return done.returncode, done.stdout


class Unit(unittest.TestCase):
    def setUp(self):
        self.unit = settings()

    def service(self, key):
        return self.unit["Service", key]

    def exposure(self, path):
        code, text = analyze("security", "--offline=yes", f"--threshold={MOST_EXPOSED}", str(path))
        print(text.splitlines()[-1])
        return code, float(re.search(r"exposure level for \S+: ([0-9.]+)", text).group(1))

    def test_exposure(self):
        code, exposure = self.exposure(UNIT)
        self.assertEqual(code, 0)
        self.assertLessEqual(exposure, MOST_EXPOSED / 10)
        self.assertIn(f"rates it {exposure}", UNIT.read_text(encoding="ascii"))

    def test_the_threshold_can_fail(self):
        """As a proof that the line above means something."""
        with tempfile.TemporaryDirectory() as folder:
            bare = pathlib.Path(folder) / "nestcupd@.service"
            bare.write_text(UNIT.read_text(encoding="ascii").replace(
                "CapabilityBoundingSet=\n", "").replace("RestrictNamespaces=yes\n", ""))
            self.assertNotEqual(self.exposure(bare)[0], 0)

    def test_verify_has_nothing_to_say(self):
        # Where the program is installed is the only thing that verify cannot find here.
        with tempfile.TemporaryDirectory() as folder:
            copy = pathlib.Path(folder) / "nestcupd@.service"
            copy.write_text(UNIT.read_text(encoding="ascii").replace(
                "ExecStart=nestcupd", f"ExecStart={os.environ['NESTCUPD']}"), encoding="ascii")
            code, text = analyze("verify", "--man=no", str(copy))
        self.assertEqual((code, text), (0, ""))

    def test_local_only_is_a_drop_in_that_closes_more(self):
        with tempfile.TemporaryDirectory() as folder:
            copy = pathlib.Path(folder) / "nestcupd@.service"
            shutil.copy(UNIT, copy)
            closed = (PACKAGE / "local-only.conf").read_text(encoding="ascii")
            copy.write_text(copy.read_text(encoding="ascii").replace(
                "[Install]", closed.replace("[Service]\n", "") + "[Install]"), encoding="ascii")
            code, exposure = self.exposure(copy)
        self.assertEqual(code, 0)
        self.assertLess(exposure, self.exposure(UNIT)[1])

    def test_ports_are_those_that_the_rules_give_to_the_group(self):
        rules = (PACKAGE / "69-nestcup.rules").read_text(encoding="ascii")
        names, group = re.search(
            r'^KERNEL=="([^"]+)", GROUP="([^"]+)", MODE="0660"$', rules, re.MULTILINE).groups()
        self.assertEqual(self.service("DeviceAllow"),
                         [f"char-{name.rstrip('*')} rw" for name in names.split("|")])
        self.assertEqual(self.service("SupplementaryGroups"), [group])
        # Names of drivers that are not loaded count for nothing, so they are loaded before.
        drivers = "modprobe@usbserial.service modprobe@cdc_acm.service"
        self.assertEqual(self.unit["Unit", "Wants"], [drivers])
        self.assertTrue(self.unit["Unit", "After"][0].startswith(drivers))

    def test_user_and_group_are_made_by_sysusers(self):
        lines = [line.split() for line in
                 (PACKAGE / "nestcup.sysusers").read_text(encoding="ascii").splitlines()
                 if line and not line.startswith("#")]
        self.assertEqual([(words[0], words[1]) for words in lines],
                         [("u", self.service("User")[0])])
        self.assertEqual(self.service("User"), self.service("Group"))

    def test_the_bench_file_is_found_and_checked_where_the_unit_has_its_folders(self):
        program, option, file = self.service("ExecStart")[0].split()
        self.assertEqual((program, option, file),
                         ("nestcupd", "--bench", "/etc/nestcup/%i.toml"))
        self.assertEqual(self.service("ConfigurationDirectory"), ["nestcup"])
        self.assertEqual(self.service("StateDirectory"), ["nestcup/%i"])
        self.assertEqual(self.service("RuntimeDirectory"), ["nestcup/%i"])

    def test_codes_that_a_person_must_see_to_are_those_of_the_manual(self):
        manual = subprocess.run([os.environ["NESTCUPD"], "--help"], capture_output=True,
                                encoding="utf-8", check=True).stdout
        codes = self.service("RestartPreventExitStatus")[0].split()
        for code, said in (("66", "no such bench file"), ("78", "bench file is wrong")):
            self.assertIn(code, codes)
            self.assertRegex(manual, rf"{code} +{said}")
        for code, said in (("69", "cannot be offered"), ("75", "another process writes")):
            self.assertNotIn(code, codes)
            self.assertRegex(manual, rf"{code} +.*{said}")


if __name__ == "__main__":
    unittest.main()
