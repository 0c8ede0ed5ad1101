"""Stands between a bench and a server, and makes one request, or all from one on, go wrong."""

import http.client
import http.server
import socket
import threading
import time

HOP_BY_HOP = {"connection", "keep-alive", "transfer-encoding", "te", "trailer", "upgrade"}


class FaultProxy(http.server.ThreadingHTTPServer):
    """Hands every request on to `port`, but for number `at` (from 1 on; None: none), and `more`
    after it, which get `fault`:

        "unsent"     the connection dies before the server gets it
        "unanswered" the server does it, the answer is lost
        "half"       of what PUT brings only half gets there, and 201 is answered
        507          the server is not asked, this status is answered
        callable     called in between, then the request goes on
    """

    daemon_threads = True

    def __init__(self, port, fault=None, at=None, more=0, headers=(), only=None):
        super().__init__(("127.0.0.1", 0), Handler)
        self.server_port_behind = port
        self.fault, self.at, self.more, self.headers = fault, at, more, headers
        self.only = only  # method that counts
        self.count = 0
        self.faults = 0
        self.seen = []
        self.lock = threading.Lock()
        threading.Thread(target=self.serve_forever, args=(0.02,), daemon=True).start()

    @property
    def url(self):
        return f"http://localhost:{self.server_address[1]}/lab"

    def __enter__(self):
        return self

    def __exit__(self, *reason):
        self.shutdown()
        self.server_close()

    def handle_error(self, request, client_address):
        pass  # the client went away, which is what some tests want

    def fault_for(self, method, path):
        with self.lock:
            self.seen.append((method, path))
            if self.only and method != self.only:
                return None
            self.count += 1
            if self.at is None or not self.at <= self.count <= self.at + self.more:
                return None
            self.faults += 1
            return self.fault


class Handler(http.server.BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"

    def log_message(self, *words):
        pass

    def __getattr__(self, name):
        if name.startswith("do_"):
            return self.hand_on
        raise AttributeError(name)

    def hand_on(self):
        proxy = self.server
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        fault = proxy.fault_for(self.command, self.path)
        if callable(fault):
            fault()
            fault = None
        if fault == "unsent":
            return self.hang_up()
        if isinstance(fault, int):
            return self.answer(fault, list(proxy.headers), b"")
        half = fault == "half" and self.command == "PUT" and len(body) > 1
        status, headers, data = self.ask(body[:len(body) // 2] if half else body)
        if fault == "unanswered":
            return self.hang_up()
        return self.answer(201 if half else status, headers, data)

    def ask(self, body):
        behind = http.client.HTTPConnection("localhost", self.server.server_port_behind, timeout=30)
        try:
            headers = {name: value for name, value in self.headers.items()
                       if name.lower() not in HOP_BY_HOP | {"content-length"}}
            here = f"localhost:{self.server.server_address[1]}"
            there = f"localhost:{self.server.server_port_behind}"
            headers["Host"] = there
            if "Destination" in headers:
                headers["Destination"] = headers["Destination"].replace(here, there)
            behind.request(self.command, self.path, body or None, headers)
            answer = behind.getresponse()
            return answer.status, answer.getheaders(), answer.read()
        except (OSError, http.client.HTTPException):
            return 502, [], b""
        finally:
            behind.close()

    def answer(self, status, headers, data):
        self.send_response_only(status)
        for name, value in headers:
            if name.lower() not in HOP_BY_HOP | {"content-length"}:
                self.send_header(name, value)
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        self.wfile.write(data)

    def hang_up(self):
        self.close_connection = True
        self.connection.shutdown(socket.SHUT_RDWR)


class CutProxy:
    """Hands bytes on in both directions until `bytes` of them have come from the bench; then both
    connections die. Also slows them: `pause_s` before each piece."""

    def __init__(self, port, cut=None, pause_s=0.0):
        self.port, self.cut, self.pause_s = port, cut, pause_s
        self.count = 0
        self.was_cut = False
        self.lock = threading.Lock()
        self.listener = socket.create_server(("127.0.0.1", 0))
        threading.Thread(target=self.accept, daemon=True).start()

    @property
    def url(self):
        return f"http://localhost:{self.listener.getsockname()[1]}/lab"

    def __enter__(self):
        return self

    def __exit__(self, *reason):
        self.listener.close()

    def accept(self):
        while True:
            try:
                bench, _ = self.listener.accept()
            except OSError:
                return
            server = socket.create_connection(("localhost", self.port))
            for pair in ((bench, server, True), (server, bench, False)):
                threading.Thread(target=self.hand_on, args=pair, daemon=True).start()

    def hand_on(self, source, target, counts):
        try:
            while data := source.recv(65536):
                time.sleep(self.pause_s)
                with self.lock:
                    if counts and self.cut is not None and not self.was_cut:
                        self.was_cut = self.count + len(data) > self.cut
                        data = data[:self.cut - self.count] if self.was_cut else data
                    self.count += len(data) if counts else 0
                target.sendall(data)
                if counts and self.was_cut and self.count == self.cut:
                    break
        except OSError:
            pass
        for one in (source, target):
            try:
                one.shutdown(socket.SHUT_RDWR)
            except OSError:
                pass
            one.close()
