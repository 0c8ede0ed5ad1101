"""A bench whose page is on a port of this machine, and callers over TCP that say what they like."""

import json
import os
import socket
import subprocess

from rig import STALL_S, Rig, free_port, place_in, sessions, toml

# What a bench reads at: fast enough for many readings, slow enough to see a late one.
PAGE_SPEED = 4.0
INTERVAL_S = 0.5
# Wall time: far beyond what a poll or a look at the store takes, far below an interval.
MOST_LATE_S = 0.06
# A single hiccup of the machine makes two intervals uneven, and a StallWatch need not see it.
FEW_LATE = 4


class Answer:
    """What came back of one request; names of fields in small letters."""

    def __init__(self, status, fields, body):
        self.status, self.fields, self.body = status, fields, body

    def json(self):
        return json.loads(self.body)


class Line:
    """One TCP connection on which bytes go out as they are."""

    def __init__(self, port, receive_bytes=None, timeout_s=30):
        self.socket = socket.socket()
        self.socket.settimeout(timeout_s)
        if receive_bytes:
            self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, receive_bytes)
        self.socket.connect(("127.0.0.1", port))
        self.file = self.socket.makefile("rb")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.close()

    def close(self):
        self.file.close()
        self.socket.close()

    def send(self, data):
        """@return whether the other end took all of it"""
        try:
            self.socket.sendall(data)
            return True
        except OSError:
            return False

    def answer(self, head_only=False):
        """The next answer; None where the connection has ended."""
        try:
            first = self.file.readline()
        except ConnectionResetError:
            return None
        if not first.endswith(b"\r\n"):
            return None
        version, status, _ = first.split(b" ", 2)
        assert version == b"HTTP/1.1", first
        fields = {}
        for line in iter(self.file.readline, b"\r\n"):
            if not line:
                return None
            name, value = line.decode("latin-1").split(":", 1)
            fields[name.lower()] = value.strip()
        size = 0 if head_only else int(fields.get("content-length", 0))
        try:
            return Answer(int(status), fields, self.file.read(size))
        except ConnectionResetError:
            return None

    def has_ended(self):
        """Waits until the other end closes; whatever it says until then is dropped."""
        try:
            while self.file.read(65536):
                pass
        except ConnectionResetError:
            pass
        return True


class PageRig(Rig):
    """A bench with a page; `page` has the keys of [page]."""

    def __init__(self, scenario="quiet.toml", page=None, speed=PAGE_SPEED, tcp_port=None, **how):
        self.port = tcp_port or free_port()
        self.host = f"127.0.0.1:{self.port}"
        super().__init__(scenario, speed=speed, listen=self.host, port={"settle_s": 0.1}, **how)
        if page:
            with open(self.bench_path, "a", encoding="utf-8") as bench:
                bench.write("[page]\n" + "".join(f"{key} = {toml(value)}\n"
                                                 for key, value in page.items()))

    def token(self, name, role):
        made = subprocess.run([os.environ["NESTCUP"], "token", "add", name, "--role", role,
                               "--json", "--bench", self.bench_path],
                              check=True, capture_output=True, text=True)
        return json.loads(made.stdout)["token"]

    def remove_token(self, name):
        subprocess.run([os.environ["NESTCUP"], "token", "remove", name, "--bench",
                        self.bench_path], check=True, capture_output=True)

    def line(self, **how):
        return Line(self.port, **how)

    def request(self, method, target, *lines, body=b""):
        """The bytes of a request with these lines of header."""
        head = [f"{method} {target} HTTP/1.1", *lines]
        if not any(line.lower().startswith("host:") for line in lines):
            head.insert(1, f"Host: {self.host}")
        if body:
            head += ["Content-Type: application/json", f"Content-Length: {len(body)}"]
        return ("\r\n".join(head) + "\r\n\r\n").encode("latin-1") + body

    def say(self, data):
        """Sends bytes on a connection of their own. @return the first answer"""
        with self.line() as line:
            line.send(data)
            return line.answer(head_only=data.startswith(b"HEAD "))

    def get(self, target, *lines):
        return self.say(self.request("GET", target, *lines))


def check_sampling(test, rig, stalls=None, lasts_s=3000):
    """To be asked when the daemon has ended: every reading of the board is stored, in order, and
    hardly any came late, where the machine ran evenly (stalls: a StallWatch)."""
    store = rig.look()
    (values,) = sessions(store)
    times_s = [row[0] * 1e-6 for row in store.execute("SELECT time_us FROM reading ORDER BY 1")]
    store.close()
    test.assertIsNotNone(place_in(rig.trace(lasts_s=lasts_s), values),
                         "a reading is missing or doubled")
    off_s = [abs(after - before - INTERVAL_S) / rig.speed
             for before, after in zip(times_s, times_s[1:])]
    late = sum(one > MOST_LATE_S for one in off_s)
    stall_s = stalls.longest_s if stalls else 0.0
    print(f"{len(values)} readings, none missing, {max(off_s) * 1e3:.1f} ms at most from even, "
          f"{late} late; the machine stood still for {stall_s * 1e3:.1f} ms at most")
    if stall_s < STALL_S:
        test.assertLessEqual(late, FEW_LATE + len(values) // 100)
