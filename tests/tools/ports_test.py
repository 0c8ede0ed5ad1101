"""`nestcup ports --listen` and `nestcup capture` on real pseudo-terminals, and a capture played."""

import errno
import json
import os
import pathlib
import re
import subprocess
import sys
import unittest

from commands import NESTCUP, nestcup

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "daemon"))
from boards import PortsRig, Talker  # noqa: E402 (the folder must be known first)
from rig import CUP, Program, Rig, sessions, wait_for  # noqa: E402

NOBODY = 65534
# The board needs 1.5 s to start; a question before that would have no answer.
POLLED = {"protocol": "text", "separator": "blank", "request": "R\n", "settle_s": 2.0}
KEYED = {"name": "cup", "role": "cup", "key": "cup"}


def bench():
    return PortsRig({"board": {}}, [{**CUP, "port": "board"}])


def asked(device):
    """What the board was sent; nothing as long as nobody has opened its port."""
    try:
        return os.read(device, 100)
    except OSError as error:
        if error.errno != errno.EIO:
            raise
        return b""


def listen(device, *words):
    return nestcup("ports", "--listen", device, *words)


class Listen(unittest.TestCase):
    def talk(self, line, *words):
        with bench() as rig:
            talker = Talker(rig.boards["board"], line, 0.05)
            try:
                return rig.boards["board"].link, listen(rig.boards["board"].link, *words)
            finally:
                talker.end()

    def test_text(self):
        link, heard = self.talk(lambda n: b"%d;21.%03d;ok\r\n" % (n + 1000, n), "--seconds", "1.5")
        self.assertEqual(heard.returncode, 0, heard.stderr)
        lines = heard.stdout.splitlines()
        shown = [int(found[1]) for line in lines if (found := re.fullmatch(r"\d+;21\.(\d{3});ok",
                                                                           line))]
        self.assertGreater(len(shown), 15)
        self.assertEqual(shown, list(range(shown[0], shown[0] + len(shown))))
        self.assertRegex(heard.stdout, r"\n\d+ bytes, \d+ whole lines, \d+ of them data\n")
        self.assertIn('this is protocol "text"; for the bench file:', lines)
        for entry in (f'device = "{link}"', 'separator = "semicolon"', "column = 2"):
            self.assertIn(entry, lines)

    def test_json(self):
        _, heard = self.talk(lambda n: b'[{"bn":"urn:dev:x:","n":"cup","u":"Cel","v":21.%02d}]\n'
                             % (n % 100), "--seconds", "1.5", "--json")
        self.assertEqual(heard.returncode, 0, heard.stderr)
        self.assertEqual(heard.stdout.count("\n"), 1)
        found = json.loads(heard.stdout)
        self.assertEqual(found["protocol"], "senml")
        self.assertGreater(found["data_lines"], 15)
        self.assertLessEqual(found["data_lines"], found["whole_lines"])
        self.assertEqual(found["probes"][0]["place"], 'key = "urn:dev:x:cup"')
        self.assertTrue(found["probes"][0]["likely_temperature"])
        self.assertIn('protocol = "senml"\n', found["bench_entries"])
        self.assertIn('key = "urn:dev:x:cup"\n', found["bench_entries"])

    def test_proposal_is_a_bench(self):
        """What is proposed can be pasted: the daemon reads the board by it."""
        with bench() as rig:
            talker = Talker(rig.boards["board"], lambda n: b"%d,21.%02d\n" % (n + 1000, n % 100))
            found = json.loads(listen(rig.boards["board"].link, "--seconds", "1.5",
                                      "--json").stdout)
            head = f'[bench]\nname = "bench"\nstore = "{rig.store_path.name}"\n'
            rig.bench_path.write_text(head + found["bench_entries"], encoding="utf-8")
            rig.start_daemon()
            wait_for(lambda: rig.status()["probes"][0]["readings"] > 5, "readings")
            self.assertAlmostEqual(rig.status()["probes"][0]["last_degC"], 21.5, delta=0.5)
            talker.end()

    def test_rubbish_and_silence(self):
        _, heard = self.talk(lambda n: b"\x80\xfe\xc3\x9f" * 10, "--seconds", "0.8", "--json")
        found = json.loads(heard.stdout)
        self.assertEqual((heard.returncode, found["protocol"]), (0, None))
        self.assertIn("--baud", found["advice"])
        with bench() as rig:
            found = json.loads(listen(rig.boards["board"].link, "--seconds", "0.3",
                                      "--json").stdout)
        self.assertEqual((found["bytes"], found["bench_entries"]), (0, ""))
        self.assertIn("nothing arrived", found["advice"])

    def test_ask(self):
        with bench() as rig:
            board = rig.boards["board"]
            with subprocess.Popen([NESTCUP, "ports", "--listen", str(board.link), "--seconds", "1",
                                   "--ask", "*IDN?\\n"], stdout=subprocess.DEVNULL,
                                  stderr=subprocess.DEVNULL) as asking:
                self.assertEqual(wait_for(lambda: asked(board.device), "question"), b"*IDN?\n")
            self.assertEqual(asking.returncode, 0)


class Refused(unittest.TestCase):
    def test_wrong_usage(self):
        with bench() as rig:
            link = rig.boards["board"].link
            for words in (["--baud", "1200"], ["--baud", "0"], ["--baud", "fast"],
                          ["--parity", "mark"], ["--seconds", "0"], ["--ask", "\\q"]):
                with self.subTest(words=words):
                    refused = listen(link, *words)
                    self.assertEqual((refused.returncode, refused.stdout), (64, ""))
                    self.assertIn(words[0], refused.stderr)
        self.assertIn("boot loader", listen(link, "--baud", "1200").stderr)

    def test_missing_port(self):
        refused = listen("/dev/no-such-port", "--seconds", "0.3")
        self.assertEqual(refused.returncode, 66)
        self.assertIn("/dev/no-such-port", refused.stderr)
        self.assertIn("nestcup ports", refused.stderr)

    def test_port_of_another(self):
        with bench() as rig:
            link = rig.boards["board"].link
            rig.start_daemon()
            holder = rf"nestcupd \(process {rig.daemon.process.pid}\)"
            for refused in (listen(link, "--seconds", "0.3"),
                            nestcup("capture", "--device", link, "--out", rig.folder / "c")):
                self.assertEqual(refused.returncode, 75)
                self.assertRegex(refused.stderr, holder)
            rig.daemon.end()
            self.assertEqual(listen(link, "--seconds", "0.3").returncode, 0)

    @unittest.skipIf(os.geteuid() != 0, "only root can be nobody")
    def test_port_not_permitted(self):
        with bench() as rig:
            board = rig.boards["board"]
            os.chmod(board.path, 0o620)
            rig.folder.chmod(0o755)
            refused = subprocess.run([NESTCUP, "ports", "--listen", board.path], user=NOBODY,
                                     capture_output=True, text=True, timeout=60, check=False)
            self.assertEqual(refused.returncode, 77, refused.stderr)
            self.assertIn("belongs to user root", refused.stderr)


def pieces(path):
    """The traffic of a capture: (offset in us, direction, bytes)."""
    found = []
    for line in path.read_text(encoding="ascii").splitlines():
        if not line.startswith("#"):
            offset, direction, data = line.split(" ")
            found.append((int(offset), direction, bytes.fromhex(data)))
    return found


class Capture(unittest.TestCase):
    def test_never_replaces(self):
        with bench() as rig:
            out = rig.folder / "board.capture"
            out.write_text("the only one of its kind\n", encoding="ascii")
            refused = nestcup("capture", "--device", rig.boards["board"].link, "--out", out)
            self.assertEqual(refused.returncode, 73)
            self.assertIn(str(out), refused.stderr)
            self.assertEqual(out.read_text(encoding="ascii"), "the only one of its kind\n")

    def test_listens_alone(self):
        with bench() as rig:
            link, out = rig.boards["board"].link, rig.folder / "board.capture"
            talker = Talker(rig.boards["board"], lambda n: b"%d\0\xff\r\n" % n, 0.05)
            done = nestcup("capture", "--device", link, "--seconds", "1.5", "--baud", "9600",
                           "--parity", "even", "--out", out)
            talker.end()
            self.assertEqual(done.returncode, 0, done.stderr)
            head = [line for line in out.read_text(encoding="ascii").splitlines()
                    if line.startswith("#")]
            self.assertEqual(head[0], "# nestcup-capture 1")
            self.assertRegex(head[1], r"^# started \d{4}-\d\d-\d\dT.*Z, nestcup \d")
            self.assertEqual(head[2], "# port port, protocol text, 9600 Bd 8E1")
            self.assertEqual(head[3], "# adapter not known")
            data = b"".join(data for _, direction, data in pieces(out) if direction == "<")
            first = int(re.match(rb"\d+", data)[0])
            numbers = range(first, first + data.count(b"\n"))
            self.assertGreater(len(numbers), 15)
            self.assertEqual(data, b"".join(b"%d\0\xff\r\n" % n for n in numbers))

    def test_captured_and_played(self):
        """A polled board: both directions, and the daemon reads the same again from the player."""
        with Rig("polled.toml", [KEYED], POLLED, speed=1.0, interval_s=0.2) as rig:
            out = rig.folder / "board.capture"
            rig.start_board()
            done = nestcup("capture", "--bench", rig.bench_path, "--seconds", "8", "--out", out)
            self.assertEqual(done.returncode, 0, done.stderr)
            rig.board.end()
            values = self.check_polled(out)
            rig.board = Program([os.environ["NESTCUP_SIM"], "--capture", str(out), "--link",
                                 str(rig.device), "--wait-open", "--keep-open"],
                                rig.folder / "player.log", precedence=False)
            wait_for(rig.device.exists, "the player's port")
            rig.start_daemon()
            wait_for(lambda: rig.status()["probes"][0]["readings"] >= len(values), "all readings")
            rig.daemon.end()
            self.assertEqual(sessions(rig.look()), [values])

    def check_polled(self, out):
        """@return the values of the answers"""
        traffic = pieces(out)
        offsets = [offset for offset, _, _ in traffic]
        self.assertEqual(offsets, sorted(offsets))
        self.assertIn("# port board, protocol text, 115200 Bd 8N1", out.read_text("ascii"))
        first = next(i for i, piece in enumerate(traffic) if piece[1] == ">")
        asked = b"".join(data for _, direction, data in traffic if direction == ">")
        answers = b"".join(data for _, direction, data in traffic[first:] if direction == "<")
        self.assertEqual(asked, b"R\n" * asked.count(b"R"))
        self.assertGreater(asked.count(b"R"), 15)
        values = [float(text) for text in re.findall(rb"cup=(\S+)", answers)]
        self.assertLessEqual(asked.count(b"R") - len(values), 1)  # the last question's may miss
        self.assertGreater(len(set(values)), 1)
        return values


if __name__ == "__main__":
    unittest.main()
