"""Something between a bench and its database that cuts the connection at a chosen step, or says
nothing more. It follows the messages of the protocol (PostgreSQL 15 documentation, chapter 55): a
step is a message that the server answers (a start, a query, a Sync).
"""

import contextlib
import socket
import struct
import threading

ANSWERED = (b"Q", b"S")


def receive(source, count):
    data = b""
    while len(data) < count:
        more = source.recv(count - len(data))
        if not more:
            raise ConnectionError
        data += more
    return data


def message(source, is_first):
    """One message, and its type ("" for the first, which has none)."""
    kind = b"" if is_first else receive(source, 1)
    size = receive(source, 4)
    return kind, kind + size + receive(source, struct.unpack("!I", size)[0] - 4)


class Proxy:
    """
    before    this step is not passed on; the connection ends instead
    after     this step is passed on, and the connection ends when the server has done it, its
              answer unheard
    bytes_up  so many bytes from the bench are passed on, then the connection ends
    deaf      from this step on nothing is passed on and nothing ends
    commit    the answer to this COMMIT is unheard
    Steps count over all connections, so that the fault comes once.
    """

    def __init__(self, server, before=None, after=None, bytes_up=None, deaf=None, commit=None):
        self.target = ("127.0.0.1", server.port)
        self.before, self.after, self.deaf = before, after, deaf
        self.bytes_up, self.commit = bytes_up, commit
        self.steps = self.commits = self.passed = 0
        self.had_fault = False
        self.lock = threading.Lock()
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.port = self.listener.getsockname()[1]
        self.open = []

    def __enter__(self):
        threading.Thread(target=self.listen, daemon=True).start()
        return self

    def __exit__(self, *_):
        self.listener.close()
        self.end(*self.open)

    @staticmethod
    def end(*sockets):
        for one in sockets:
            with contextlib.suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)
            one.close()

    def listen(self):
        while True:
            try:
                bench, _ = self.listener.accept()
            except OSError:
                return
            server = socket.create_connection(self.target)
            for one in (bench, server):
                one.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            self.open += [bench, server]
            threading.Thread(target=self.up, args=(bench, server), daemon=True).start()

    def up(self, bench, server):
        unheard = threading.Event()
        answered = threading.Event()
        threading.Thread(target=self.down, args=(server, bench, unheard, answered),
                         daemon=True).start()
        is_first = True
        with contextlib.suppress(OSError, ConnectionError):
            while True:
                kind, data = message(bench, is_first)
                is_first = False
                fault = self.fault_at(kind, data)
                if fault == "deaf":
                    threading.Event().wait()
                if fault == "before":
                    break
                if fault == "part":
                    server.sendall(data[:self.bytes_up - self.passed + len(data)])
                    break
                if fault == "after":
                    answered.clear()
                    unheard.set()
                server.sendall(data)
                if fault == "after":
                    answered.wait(30)
                    break
        self.end(bench, server)

    def fault_at(self, kind, data):
        with self.lock:
            self.passed += len(data)
            if self.bytes_up is not None and not self.had_fault and self.passed > self.bytes_up:
                self.had_fault = True
                return "part"
            if kind and kind not in ANSWERED:
                return None
            self.steps += 1
            is_commit = kind == b"Q" and data[5:].upper().startswith(b"COMMIT")
            self.commits += is_commit
            fault = ("before" if self.steps == self.before else
                     "after" if self.steps == self.after
                     or is_commit and self.commits == self.commit else
                     "deaf" if self.deaf is not None and self.steps >= self.deaf else None)
            self.had_fault = self.had_fault or fault is not None
            return fault

    def down(self, server, bench, unheard, answered):
        """Passes answers on; those that are to be unheard are read to their end (ReadyForQuery)."""
        with contextlib.suppress(OSError, ConnectionError):
            while True:
                kind, data = message(server, False)
                if not unheard.is_set():
                    bench.sendall(data)
                if kind == b"Z" and unheard.is_set():
                    answered.set()
        answered.set()
        if not unheard.is_set():
            self.end(bench, server)
