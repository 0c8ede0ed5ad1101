"""WebDAV servers of four makes, each a child process on a loopback port that goes with its test.

    with Server("nginx") as server:
        ... server.url, server.root (the folder that it serves) ...
"""

import base64
import contextlib
import hashlib
import http.client
import os
import pathlib
import shutil
import signal
import socket
import subprocess
import tempfile
import time

MAKES = tuple(os.environ.get("NESTCUP_TEST_MAKES", "apache nginx lighttpd rclone").split())
USER, PASSWORD, REALM = "bench", "geheim wort", "notes"
NOBODY = "www-data" if os.geteuid() == 0 else None

APACHE = """
ServerRoot "{home}"
ServerName 127.0.0.1
Listen 127.0.0.1:{port}
PidFile "{home}/pid"
ErrorLog "{home}/error.log"
{user}
LoadModule mpm_event_module {modules}/mod_mpm_event.so
LoadModule authn_core_module {modules}/mod_authn_core.so
LoadModule authn_file_module {modules}/mod_authn_file.so
LoadModule authz_core_module {modules}/mod_authz_core.so
LoadModule authz_user_module {modules}/mod_authz_user.so
LoadModule auth_basic_module {modules}/mod_auth_basic.so
LoadModule auth_digest_module {modules}/mod_auth_digest.so
LoadModule dav_module {modules}/mod_dav.so
LoadModule dav_fs_module {modules}/mod_dav_fs.so
LoadModule ssl_module {modules}/mod_ssl.so
DefaultRuntimeDir "{home}"
DavLockDB "{home}/locks"
DocumentRoot "{root}"
LimitRequestBody {longest}
{tls}
<Directory "{root}">
  Dav On
  {login}
</Directory>
"""

NGINX = """
load_module /usr/lib/nginx/modules/ngx_http_dav_ext_module.so;
pid {home}/pid;
error_log {home}/error.log;
daemon off;
worker_processes 2;
{user}
events {{ worker_connections 256; }}
http {{
  access_log off;
  client_body_temp_path {home}/body;
  proxy_temp_path {home}/proxy;
  fastcgi_temp_path {home}/fastcgi;
  uwsgi_temp_path {home}/uwsgi;
  scgi_temp_path {home}/scgi;
  client_max_body_size {longest};
  server {{
    listen 127.0.0.1:{port} {tls};
    root {root};
    {login}
    dav_methods PUT DELETE MKCOL COPY MOVE;
    dav_ext_methods PROPFIND OPTIONS;
    dav_access user:rw group:r all:r;
    create_full_put_path off;
  }}
}}
"""

LIGHTTPD = """
server.modules = ("mod_auth", "mod_authn_file", "mod_webdav")
server.document-root = "{root}"
server.bind = "127.0.0.1"
server.port = {port}
server.upload-dirs = ("{home}")
server.max-request-size = {longest_kB}
webdav.activate = "enable"
webdav.sqlite-db-name = "{home}/properties.db"
{login}
"""


def free_port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


class Server:
    """A server of one make. `login`: None, "basic" or "digest"; `tls`: certificate and key."""

    def __init__(self, make, login=None, tls=None, longest=0, port=None):
        self.make, self.login, self.tls, self.longest = make, login, tls, longest
        self.home = pathlib.Path(tempfile.mkdtemp(prefix=f"nestcup-{make}-")).resolve()
        self.home.chmod(0o755)
        self.root = self.home / "served"
        self.root.mkdir()
        self.port = port or free_port()
        self.process = None
        self.write_settings()
        if NOBODY:
            for path in (self.home, self.root):
                shutil.chown(path, NOBODY, NOBODY)

    @property
    def url(self):
        return f"http{'s' if self.tls else ''}://localhost:{self.port}/lab"

    def __enter__(self):
        self.start()
        return self

    def __exit__(self, *reason):
        self.stop(signal.SIGKILL)
        if reason[0] and (self.home / "error.log").exists():
            print((self.home / "error.log").read_text(errors="replace")[-2000:])
        shutil.rmtree(self.home, ignore_errors=True)

    def start(self):
        user = NOBODY if self.make in ("lighttpd", "rclone") else None  # the others change it
        with open(self.home / "error.log", "ab") as log:
            self.process = subprocess.Popen(self.command(), stdin=subprocess.DEVNULL,
                                            stdout=subprocess.DEVNULL, stderr=log, user=user,
                                            start_new_session=True)
        end = time.monotonic() + 20
        while time.monotonic() < end:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port)):
                return
            assert self.process.poll() is None, (self.home / "error.log").read_text()
            time.sleep(0.02)
        raise AssertionError(f"{self.make} does not listen")

    def clear(self):
        """Takes the notebook away through the server: what goes behind its back lighttpd goes on
        showing for a second or two."""
        connection = http.client.HTTPConnection("localhost", self.port, timeout=20)
        with contextlib.closing(connection):
            connection.request("DELETE", "/lab/")
            status = connection.getresponse().status
        assert status in (200, 204, 404), status
        assert not (self.root / "lab").exists()

    def wait_idle(self):
        """Until it has done whatever it was asked, by callers that are dead now, too: their
        connections stay open on its side until then."""
        wanted = f":{self.port:04X}"
        end = time.monotonic() + 30
        while True:
            lines = [line.split() for path in ("/proc/net/tcp", "/proc/net/tcp6")
                     for line in pathlib.Path(path).read_text().splitlines()[1:]]
            # proc_net(5): local address, remote address, state; ESTABLISHED 01, CLOSE_WAIT 08.
            if not any(line[1].endswith(wanted) and line[3] in ("01", "08") for line in lines):
                return
            assert time.monotonic() < end, "it goes on with requests of the dead"
            time.sleep(0.005)

    def stop(self, number=signal.SIGTERM):
        """Ends it with all its children."""
        if self.process is None:
            return
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, number)
        self.process.wait(20)
        self.process = None

    def command(self):
        settings = str(self.home / "settings")
        if self.make == "apache":
            return ["/usr/sbin/apache2", "-f", settings, "-D", "FOREGROUND"]
        if self.make == "nginx":
            return ["/usr/sbin/nginx", "-c", settings, "-p", str(self.home)]
        if self.make == "lighttpd":
            return ["/usr/sbin/lighttpd", "-D", "-f", settings]
        words = ["rclone", "serve", "webdav", str(self.root), "--addr", f"127.0.0.1:{self.port}",
                 "--config", str(self.home / "rclone.conf"),
                 "--cache-dir", str(self.home / "cache"),
                 "--vfs-cache-mode", "off", "--dir-cache-time", "0s", "--poll-interval", "0s"]
        return words + (["--user", USER, "--pass", PASSWORD] if self.login else [])

    def write_settings(self):
        names = {"home": self.home, "root": self.root, "port": self.port, "user": "", "tls": "",
                 "modules": "/usr/lib/apache2/modules", "login": "Require all granted",
                 "longest": self.longest, "longest_kB": self.longest // 1024}
        if self.make == "apache":
            if NOBODY:
                names["user"] = f"User {NOBODY}\nGroup {NOBODY}"
            if self.tls:
                names["tls"] = (f'SSLEngine on\nSSLCertificateFile "{self.tls[0]}"\n'
                                f'SSLCertificateKeyFile "{self.tls[1]}"')
            if self.login:
                names["login"] = (f'AuthType {self.login}\nAuthName "{REALM}"\n'
                                  f'AuthUserFile "{self.home}/users"\nRequire valid-user')
            text = APACHE.format(**names)
        elif self.make == "nginx":
            names["user"] = f"user {NOBODY};" if NOBODY else ""
            names["login"] = (f'auth_basic "{REALM}"; auth_basic_user_file {self.home}/users;'
                              if self.login else "")
            if self.tls:
                names["tls"] = "ssl"
                names["login"] += (f" ssl_certificate {self.tls[0]}; "
                                   f"ssl_certificate_key {self.tls[1]};")
            text = NGINX.format(**names)
        elif self.make == "lighttpd":
            names["login"] = "" if not self.login else (
                'auth.backend = "htdigest"\n'
                f'auth.backend.htdigest.userfile = "{self.home}/users"\n'
                f'auth.require = ("" => ("method" => "{self.login}", "realm" => "{REALM}", '
                '"require" => "valid-user"))')
            text = LIGHTTPD.format(**names)
        else:
            return
        (self.home / "settings").write_text(text)
        (self.home / "users").write_text(self.users())

    def users(self):
        """The file of logins: RFC 7616's digest, or a salted SHA-1 that all of them read."""
        if self.login == "digest" or self.make == "lighttpd":
            digest = hashlib.md5(f"{USER}:{REALM}:{PASSWORD}".encode()).hexdigest()
            return f"{USER}:{REALM}:{digest}\n"
        digest = base64.b64encode(hashlib.sha1(PASSWORD.encode()).digest()).decode()
        return f"{USER}:{{SHA}}{digest}\n"
