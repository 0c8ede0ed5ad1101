"""What hostile callers do, one function each: a bench with a page, a source of chance, and where to
note what was answered."""

import random
import re
import time

from frames import HANDSHAKE, PING, frame, watch

TARGETS = ("/", "/app.js", "/healthz", "/v1/status", "/v1/runs", "/v1/runs/7", "/v1/readings",
           "/v1/sheet", "/v1/results", "/v1/report", "/v1/stream", "/v1/teapot", "/%761/status",
           "/v1/../../etc/passwd", "//v1", "/%00", "/v1/readings?from_us=-1&to_us=x")
LONGEST_WAIT_S = 8
QUIET_S = 0.3


def some_request(rig, chance):
    lines = [line for line in (f"Authorization: Bearer {rig.known_token}", "Origin: null",
                               "Host: evil.example", "Sec-Fetch-Site: cross-site",
                               "Transfer-Encoding: chunked", "Expect: 100-continue",
                               "Content-Length: 9", "X: " + "y" * chance.randrange(9000),
                               *HANDSHAKE) if chance.random() < 0.15]
    method = chance.choice(("GET", "GET", "HEAD", "POST", "DELETE", "BREW"))
    body = chance.choice((b"", b"", b"{}", b"[" * 100, bytes(20))) if method == "POST" else b""
    return rig.request(method, chance.choice(TARGETS), *lines, body=body)


def spoilt(data, chance):
    """Some bytes are others, or missing, or there again."""
    data = bytearray(data)
    for _ in range(chance.randrange(6)):
        at = chance.randrange(len(data))
        what = chance.randrange(3)
        if what == 0:
            data[at] = chance.randrange(256)
        elif what == 1:
            del data[at:at + chance.randrange(1, 20)]
        else:
            data[at:at] = data[at:at + 20]
        data = data or bytearray(b"x")
    return bytes(data)


def listen(line, note):
    """Until nothing comes for a while; answers are only counted, for not even an attacker knows
    which of them have a body."""
    line.socket.settimeout(QUIET_S)
    said = b""
    try:
        while piece := line.socket.recv(65536):
            said = said[-20:] + piece
            for status in re.findall(rb"HTTP/1\.[01] (\d{3}) ", said):
                note(int(status))
            said = said.rsplit(b"HTTP/1.", 1)[-1] if b"HTTP/1." in said else said
    except TimeoutError:
        note("silence")


def requests(rig, chance, note):
    with rig.line() as line:
        for _ in range(chance.randrange(1, 8)):
            line.send(some_request(rig, chance))
        listen(line, note)


def rubbish(rig, chance, note):
    with rig.line() as line:
        line.send(spoilt(some_request(rig, chance) * chance.randrange(1, 4), chance))
        line.socket.shutdown(1)
        listen(line, note)


def too_much(rig, chance, note):
    begin = f"GET / HTTP/1.1\r\nHost: {rig.host}\r\n".encode()
    kinds = (begin + b"a: b\r\n" * 100_000, begin + b"X: " + b"a" * 400_000,
             begin + b"Content-Length: 99999999\r\n\r\n" + bytes(200_000),
             begin + b"Transfer-Encoding: chunked\r\n\r\n2;" + b"x" * 200_000,
             begin + b"Transfer-Encoding: chunked\r\n\r\n0\r\n" + b"a: b\r\n" * 50_000)
    with rig.line() as line:
        line.send(chance.choice(kinds))
        listen(line, note)


def dribble(rig, chance, note):
    data = some_request(rig, chance)
    with rig.line() as line:
        end = time.monotonic() + chance.uniform(0, LONGEST_WAIT_S)
        for at in range(len(data)):
            if time.monotonic() > end or not line.send(data[at:at + 1]):
                break
            time.sleep(0.05)
        else:
            listen(line, note)


def silence(rig, chance, note):
    lines = [rig.line() for _ in range(chance.randrange(1, 120))]
    time.sleep(chance.uniform(0, LONGEST_WAIT_S / 2))
    for line in lines:
        line.close()
    note("idle")


def leave(rig, chance, note):
    for _ in range(chance.randrange(1, 40)):
        with rig.line() as line:
            line.send(some_request(rig, chance))
    note("left")


def deaf(rig, chance, note):
    """Asks for a lot and takes nothing of it."""
    with rig.line(receive_bytes=2048) as line:
        line.socket.settimeout(1)
        line.send(rig.request("GET", "/dygraph.min.js") * chance.randrange(1, 300))
        time.sleep(chance.uniform(0, LONGEST_WAIT_S))
    note("deaf")


def joined(rig, note, **how):
    """A line with the stream, or nothing where there is no room."""
    try:
        line = watch(rig, **how)
    except OSError:
        note("no room")
        return None
    note(101)
    return line


def bad_frames(rig, chance, note):
    line = joined(rig, note)
    if line is None:
        return
    with line:
        for _ in range(chance.randrange(1, 20)):
            data = frame(chance.randrange(16), bytes(chance.choice((0, 1, 125, 126, 1500))),
                         fin=chance.random() < 0.6, reserved=chance.choice((0, 0, 0, 1, 4)),
                         masked=chance.random() < 0.9)
            if not line.send(spoilt(data, chance) if chance.random() < 0.3 else data):
                break
    note("frames")


def pings(rig, chance, note):
    line = joined(rig, note, receive_bytes=4096)
    if line is None:
        return
    with line:
        line.socket.settimeout(0.2)
        end = time.monotonic() + chance.uniform(0.1, 1)
        while time.monotonic() < end and line.send(frame(PING, b"x" * 100) * 100):
            pass
    note("pings")


def stalled(rig, chance, note):
    lines = [joined(rig, note, receive_bytes=2048) for _ in range(chance.randrange(1, 12))]
    time.sleep(chance.uniform(0, LONGEST_WAIT_S))
    for line in filter(None, lines):
        line.close()


# What is slow by itself comes seldom, so that it does not crowd out the rest.
ATTACKS = (*[requests] * 12, *[rubbish] * 12, *[bad_frames] * 6, *[too_much] * 3, *[leave] * 3,
           *[pings] * 2, dribble, silence, deaf, stalled)


def attack(rig, seed, note, ended):
    """One attack after the other until `ended` is set."""
    chance = random.Random(seed)
    while not ended.is_set():
        kind = chance.choice(ATTACKS)
        try:
            kind(rig, chance, note)
        except OSError:
            note(f"{kind.__name__}: cut")
        time.sleep(chance.uniform(0, 0.05))
