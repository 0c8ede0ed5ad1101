"""A PostgreSQL server of one's own: in a temporary folder, on a port of the loopback that was free,
with fsync on, ended for sure. Root cannot run one, so that it then runs as `nobody`.
"""

import contextlib
import os
import pathlib
import pwd
import shutil
import signal
import socket
import subprocess
import time

ADMIN = "admin"
SETTINGS = """
listen_addresses = '127.0.0.1'
port = {port}
unix_socket_directories = '{folder}'
fsync = on
synchronous_commit = on
max_connections = 200
shared_buffers = 32MB
logging_collector = off
log_min_messages = warning
password_encryption = 'scram-sha-256'
autovacuum_naptime = '1h'
"""


def programs():
    """The folder of PostgreSQL's own programs; Debian has one a version and none on PATH."""
    versions = sorted(pathlib.Path("/usr/lib/postgresql").glob("*/bin/initdb"),
                      key=lambda path: int(path.parts[4]))
    found = versions[-1] if versions else shutil.which("initdb")
    assert found, "no PostgreSQL server is installed (Debian: postgresql-15)"
    return pathlib.Path(found).parent


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Server:
    """As long as it is open, `url(...)` reaches it. `admin` may do all without a password; others
    have theirs."""

    def __init__(self, folder):
        self.folder = pathlib.Path(folder)
        self.data = self.folder / "data"
        self.bin = programs()
        self.port = free_port()
        self.process = None
        self.owner = {}
        if os.geteuid() == 0:
            nobody = pwd.getpwnam("nobody")
            self.owner = {"user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []}
            os.chown(self.folder, nobody.pw_uid, nobody.pw_gid)
        self.env = {"PATH": f"{self.bin}:/usr/bin:/bin", "LC_ALL": "C", "TZ": "UTC",
                    "HOME": str(self.folder)}
        self.call("initdb", "--pgdata", self.data, "--username", ADMIN, "--auth", "trust",
                  "--encoding", "UTF8", "--locale", "C", "--no-instructions")
        self.write("postgresql.auto.conf", SETTINGS.format(port=self.port, folder=self.folder))
        self.access(f"local all {ADMIN} trust", f"host all {ADMIN} 127.0.0.1/32 trust",
                    "host all all 127.0.0.1/32 scram-sha-256")

    def call(self, program, *words):
        done = subprocess.run([self.bin / program, *map(str, words)], env=self.env, cwd="/",
                              capture_output=True, text=True, check=False, **self.owner)
        assert done.returncode == 0, f"{program}: {done.stdout}{done.stderr}"
        return done.stdout

    def write(self, name, text):
        path = self.data / name
        path.write_text(text, encoding="utf-8")
        path.chmod(0o600)
        if self.owner:
            os.chown(path, self.owner["user"], self.owner["group"])

    def access(self, *lines):
        """Sets who may come in how (pg_hba.conf)."""
        self.write("pg_hba.conf", "\n".join(lines) + "\n")
        if self.process:
            self.process.send_signal(signal.SIGHUP)

    def start(self):
        log = open(self.folder / "server.log", "ab")
        with log:
            self.process = subprocess.Popen([self.bin / "postgres", "-D", self.data], env=self.env,
                                            cwd="/", stdout=log, stderr=log, **self.owner)
        until = time.monotonic() + 60
        while subprocess.run([self.bin / "pg_isready", "-q", "-h", self.folder, "-p",
                              str(self.port)], env=self.env, check=False).returncode != 0:
            assert self.process.poll() is None, (self.folder / "server.log").read_text()
            assert time.monotonic() < until, "the server does not start"
            time.sleep(0.02)
        return self

    def stop(self, how=signal.SIGINT):
        """SIGINT ends all sessions at once; SIGQUIT is a breakdown (the log is played back)."""
        if self.process:
            self.process.send_signal(how)
            self.process.wait(60)
            self.process = None

    def kill(self):
        """As if the machine had lost its power: the postmaster and all its children at once."""
        children = subprocess.run(["ps", "-o", "pid=", "--ppid", str(self.process.pid)],
                                  capture_output=True, text=True, check=False).stdout.split()
        for pid in [self.process.pid, *map(int, children)]:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        self.process.wait(60)
        self.process = None
        (self.data / "postmaster.pid").unlink(missing_ok=True)

    def __enter__(self):
        return self.start()

    def __exit__(self, *_):
        self.stop(signal.SIGQUIT)

    def url(self, database="course", user=ADMIN, port=None, more=""):
        return f"postgres://{user}@127.0.0.1:{port or self.port}/{database}{more}"

    def sql(self, text, database="course", user=None):
        """What psql prints of it, rows as lists of texts."""
        done = subprocess.run(
            [self.bin / "psql", "-X", "-q", "-A", "-t", "-F", "\x1f", "-R", "\x1e",
             "-v", "ON_ERROR_STOP=1", "-h", self.folder, "-p", str(self.port), "-U", user or ADMIN,
             "-d", database, "-c", text], env=self.env, capture_output=True, text=True, check=False)
        assert done.returncode == 0, f"{text}: {done.stderr}"
        return [row.split("\x1f") for row in done.stdout[:-1].split("\x1e") if row]

    def refused(self, text, user, database="course"):
        """The server's words to a statement that it must refuse, from that user."""
        done = subprocess.run(
            [self.bin / "psql", "-X", "-q", "-v", "ON_ERROR_STOP=1", "-h", self.folder, "-p",
             str(self.port), "-U", ADMIN, "-d", database, "-c", f"SET ROLE {user}", "-c", text],
            env=self.env, capture_output=True, text=True, check=False)
        assert done.returncode != 0, f"{text}: was not refused"
        return done.stderr

    def new_database(self, name="course"):
        self.sql(f'CREATE DATABASE "{name}"', "postgres")
        return name
