"""nestcup token: the address that signs a browser in is one that a browser can go to."""

import json
import pathlib
import re
import subprocess
import tempfile
import unittest

from commands import NESTCUP, nestcup

BENCH = """[bench]
name = "bench"
{listen}
[[port]]
name = "board"
device = "/dev/null"
[[probe]]
name = "cup"
role = "cup"
port = "board"
column = 1
"""


def own_addresses():
    """As iproute2 tells them: of every interface that has a link, but for loopback."""
    told = subprocess.run(["ip", "-4", "-json", "address"], check=True, capture_output=True)
    return [address["local"] for link in json.loads(told.stdout)
            if {"UP", "LOWER_UP"} <= set(link["flags"]) and "LOOPBACK" not in link["flags"]
            for address in link["addr_info"]]


class Token(unittest.TestCase):
    def setUp(self):
        folder = tempfile.TemporaryDirectory(prefix="nestcup-token-")
        self.addCleanup(folder.cleanup)
        self.bench = pathlib.Path(folder.name) / "bench.toml"

    def listening_on(self, address):
        listen = f'listen = "{address}"' if address else ""
        self.bench.write_text(BENCH.format(listen=listen), encoding="ascii")

    def pages(self, listen):
        """What `token add` prints for people: the pages, each without the token."""
        self.listening_on(listen)
        done = nestcup("token", "add", "wall", "--bench", self.bench)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertEqual(nestcup("token", "remove", "wall", "--bench", self.bench).returncode, 0)
        found = re.findall(r"^page, .*: (\S+)/#token=(\S+)$", done.stderr, re.M)
        self.assertEqual({token for _, token in found} - {done.stdout.strip()}, set())
        return [page for page, _ in found]

    def test_one_address(self):
        self.assertEqual(self.pages("127.0.0.1:8734"), ["http://127.0.0.1:8734"])
        self.assertEqual(self.pages("[::1]:8734"), ["http://[::1]:8734"])

    def test_every_address(self):
        expected = [f"http://{host}:8734" for host in own_addresses() or ["127.0.0.1"]]
        for listen in ("0.0.0.0:8734", "[::]:8734"):
            self.assertEqual(sorted(self.pages(listen)), sorted(expected))
        self.listening_on("0.0.0.0:8734")
        answer = json.loads(nestcup("token", "add", "one", "--json", "--bench", self.bench).stdout)
        self.assertIn(answer["page"].removesuffix(f"/#token={answer['token']}"), expected)

    def test_a_machine_without_a_net(self):
        alone = ["unshare", "--user", "--map-root-user", "--net"]
        if subprocess.run([*alone, "true"], capture_output=True, check=False).returncode != 0:
            self.skipTest("a net of its own is not allowed here")
        self.listening_on("0.0.0.0:8734")
        done = subprocess.run([*alone, NESTCUP, "token", "add", "one", "--json", "--bench",
                               str(self.bench)], check=True, capture_output=True, text=True)
        self.assertTrue(json.loads(done.stdout)["page"].startswith("http://127.0.0.1:8734/#token="))

    def test_no_page(self):
        self.assertEqual(self.pages(""), [])
        answer = json.loads(nestcup("token", "add", "one", "--json", "--bench", self.bench).stdout)
        self.assertIsNone(answer["page"])


if __name__ == "__main__":
    unittest.main(verbosity=2)
