"""The package with real apt on a clean Debian 12 in a folder: installed, used without rights,
upgraded with a store of an older version, removed, purged; and what is left after each.

    apt_test.py BUILD FOLDER

BUILD is a release build; FOLDER keeps the clean system for the next time. Needs root. Prints a line
a step and ends with one that has the figures; the exit code is 0, 1, or 77 where it cannot be
tried."""

import pathlib
import shutil
import sqlite3
import subprocess
import sys
import time

import booted
import completions

SOURCE = pathlib.Path(__file__).parents[2]
ROOT_TOOL = str(SOURCE / "tools/package/root")
# man, the shells whose completions are tried, and what boots.
BASE_PACKAGES = ["man-db", "bash-completion", "zsh", "fish", "procps", "systemd-sysv", "dbus"]
BENCH = "bench-1"
OLDER = "0.0.9"


class Trial:
    def __init__(self, build, folder):
        self.build, self.folder = build, folder
        self.root = folder / "system"
        self.seconds = {}

    def inside(self, *words, user=None, fails=False):
        """What a command prints inside, both streams."""
        options = ["--user", user] if user else []
        done = subprocess.run([ROOT_TOOL, "run", *options, str(self.root), *words], text=True,
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False,
                              stdin=subprocess.DEVNULL, errors="replace")
        if (done.returncode != 0) != fails:
            raise AssertionError(f"{words}: {done.returncode}\n{done.stdout}")
        return done.stdout

    def apt(self, *words):
        return self.inside("apt-get", "--yes", "--no-install-recommends", *words)

    def path(self, inside):
        return self.root / inside.lstrip("/")

    def ours(self):
        """Files and folders of the system that bear the name, without the test's own and dpkg's
        and apt's books."""
        skip = ("packages", "proc", "dev", "sys", "tmp", "var/lib/dpkg", "var/lib/apt",
                "var/cache", "var/log", "etc/nestcup-root")
        found = set()
        for path in self.root.rglob("*nestcup*"):
            name = str(path.relative_to(self.root))
            if not any(name == part or name.startswith(part + "/") for part in skip):
                found.add("/" + name)
        return found


def expect(condition, text):
    if not condition:
        raise AssertionError(text)


def contains(part, text):
    expect(part in text, f"expected {part!r} in:\n{text}")


def set_up(trial):
    base = trial.folder / "base"
    made = subprocess.run([ROOT_TOOL, "make", "bookworm", str(base), *BASE_PACKAGES], check=False)
    if made.returncode != 0:
        print("apt_test: skipped: there can be no clean Debian here, as said above")
        sys.exit(77)
    shutil.rmtree(trial.root, ignore_errors=True)
    subprocess.run(["cp", "-a", "--reflink=auto", str(base), str(trial.root)], check=True)
    packages = trial.path("/packages")
    for version in (OLDER, None):
        words = ["cpack", "--config", str(trial.build / "CPackConfig.cmake"), "-B", str(packages)]
        if version:
            words += ["-D", f"CPACK_DEBIAN_PACKAGE_VERSION={version}"]
        subprocess.run(words, check=True, stdout=subprocess.DEVNULL, cwd=trial.folder)
    trial.older, = packages.glob(f"nestcup_{OLDER}_*.deb")
    trial.newer, = set(packages.glob("*.deb")) - {trial.older}
    expect(trial.ours() == set(), "the clean system is not clean")


def install(trial):
    trial.apt("install", f"/packages/{trial.older.name}")
    contains("installed", trial.inside("dpkg-query", "--show",
                                       "--showformat=${db:Status-Status} ${Version}", "nestcup"))
    contains("/var/lib/nestcup:/usr/sbin/nologin", trial.inside("getent", "passwd", "nestcup"))
    trial.inside("dpkg", "--verify", "nestcup")


def use(trial):
    for program in ("nestcup", "nestcupd", "nestcup-sim"):
        contains(program + " ", trial.inside(program, "--version", user="nobody"))
    trial.inside("nestcup-sim", "--scenario", "/usr/share/nestcup/scenarios/one-trial.toml",
                 "--trace", "/tmp/trial.csv", user="nobody")
    contains("corrected rise", trial.inside("nestcup", "replay", "/tmp/trial.csv", user="nobody"))
    contains("all is well", trial.inside("nestcupd", "--check",
                                         "/usr/share/doc/nestcup/examples/bench.toml"))


def manuals(trial):
    for page in ("nestcup", "nestcup-replay", "nestcupd", "nestcup-sim"):
        text = trial.inside("man", "--pager=cat", page)
        contains(f"NAME {page} - ", " ".join(text.split()))
    contains("nestcup-replay (1)", trial.inside("sh", "-c", "mandb --quiet; apropos nestcup"))


def shells(trial):
    for shell, ask in completions.SHELLS.items():
        for words, offered in (("nestcup repl", "replay"), ("nestcupd --ch", "--check"),
                               ("nestcup-sim --sce", "--scenario")):
            said = trial.inside(*ask(words))
            expect(offered in said.replace("\\", ""), f"{shell}: {words!r} gives {said!r}")


def schema(store):
    database = sqlite3.connect(f"file:{store}?mode=ro", uri=True)
    found = (database.execute("PRAGMA user_version").fetchone()[0],
             database.execute("SELECT count(*) FROM run").fetchone()[0],
             database.execute("SELECT count(*) FROM reading").fetchone()[0])
    database.close()
    return found


def measured(trial):
    """A bench that has measured with the version of the first tables."""
    home = trial.path(f"/var/lib/nestcup/{BENCH}")
    home.mkdir(parents=True)
    trial.store = home / "bench-1.db"
    shutil.copy(SOURCE / "tests/store/old/version-1.store", trial.store)
    trial.inside("chown", "-R", "nestcup:nestcup", "/var/lib/nestcup")
    text = trial.path("/usr/share/doc/nestcup/examples/bench.toml").read_text(encoding="utf-8")
    settings = trial.path(f"/etc/nestcup/{BENCH}.toml")
    settings.write_text(text.replace("/dev/serial/by-id/usb-BOARD", f"/run/nestcup/{BENCH}/board"),
                        encoding="utf-8")
    expect(schema(trial.store)[0] == 1, "the old store is not old")


def upgrade(trial):
    measured(trial)
    before = schema(trial.store)
    contains(f"Unpacking nestcup ({trial.newer.name.split('_')[1]}",
             trial.apt("install", f"/packages/{trial.newer.name}"))
    trial.inside("dpkg", "--verify", "nestcup")
    expect(schema(trial.store) == before, "the upgrade itself touched the store")
    folder, config = f"/run/nestcup/{BENCH}", f"/etc/nestcup/{BENCH}.toml"
    trial.inside("sh", "-ec", f"mkdir -p {folder}; chown nestcup:nestcup {folder}")
    # The daemon on a simulated board, as its user, until it says that it is up; then SIGTERM.
    said = trial.inside("sh", "-ec", f"""
        nestcup-sim --scenario /usr/share/nestcup/scenarios/one-trial.toml --link {folder}/board &
        board=$!
        for n in $(seq 100); do [ -e {folder}/board ] && break; sleep 0.1; done
        nestcupd --bench {config} & daemon=$!
        for n in $(seq 300); do nestcup status --bench {config} >/tmp/status && break; sleep 0.1
        done
        cat /tmp/status
        nestcup runs --bench {config}
        kill $daemon; wait $daemon
        kill $board; wait $board || true""", user="nestcup")
    trial.inside("rm", "-r", "/run/nestcup")
    after = schema(trial.store)
    expect(after[0] > before[0], f"the store was not brought up to date: {after}\n{said}")
    expect(after[1] == before[1] and after[2] >= before[2], f"{before} became {after}")
    trial.schemas = f"store {before[0]} -> {after[0]}"


# In a system that runs: a bench goes on while its package is replaced, and then with the new one.
UPGRADE = """
bench=nestcupd@bench-2
mkdir /run/boards
chown nestcup: /run/boards
systemd-run --unit=board --uid=nestcup nestcup-sim --link /run/boards/board --keep-open \\
  --scenario /usr/share/nestcup/scenarios/one-trial.toml
while [ ! -e /run/boards/board ]; do sleep 0.1; done
systemctl enable --now $bench
before=$(systemctl show --value -p MainPID $bench)
dpkg --install /packages/NEWER
after=$(systemctl show --value -p MainPID $bench)
systemctl is-active $bench
[ "$before" != "$after" ]
for n in $(seq 300); do
  ! nestcup status --bench /etc/nestcup/bench-2.toml || break
  sleep 0.1
done
nestcup status --bench /etc/nestcup/bench-2.toml
dpkg --remove nestcup
! systemctl is-active $bench
dpkg --install /packages/OLDER
systemctl stop board
"""


def restart(trial):
    if not booted.can_boot():
        print("restart: skipped: systemd-container is not there")
        return
    trial.apt("install", "--allow-downgrades", f"/packages/{trial.older.name}")
    home = trial.path("/var/lib/nestcup/bench-2")
    home.mkdir()
    store = home / "bench-2.db"
    shutil.copy(SOURCE / "tests/store/old/version-2.store", store)
    trial.inside("chown", "-R", "nestcup:nestcup", "/var/lib/nestcup/bench-2")
    text = trial.path("/usr/share/doc/nestcup/examples/bench.toml").read_text(encoding="utf-8")
    trial.path("/etc/nestcup/bench-2.toml").write_text(
        text.replace("bench-1", "bench-2").replace("/dev/serial/by-id/usb-BOARD",
                                                   "/run/boards/board"), encoding="utf-8")
    before = schema(store)
    booted.run(trial.root, UPGRADE.replace("NEWER", trial.newer.name)
               .replace("OLDER", trial.older.name))
    after = schema(store)
    expect(after[0] > before[0] and after[1] == before[1], f"{before} became {after}")


def remove(trial):
    trial.apt("remove", "nestcup")
    expect(not trial.path("/usr/bin/nestcupd").exists(), "the program is still there")
    left = trial.ours()
    expect(left == {"/etc/nestcup", "/var/lib/nestcup"}, left)
    expect(trial.path(f"/etc/nestcup/{BENCH}.toml").exists(), "the bench file is gone")
    expect(trial.store.exists(), "the measurements are gone")


def purge(trial):
    said = trial.apt("purge", "nestcup")
    contains("measurements stay in", said)
    contains("/var/lib/nestcup", said)
    left = trial.ours()
    expect(left == {"/var/lib/nestcup"}, left)
    expect(schema(trial.store)[1] > 0, "the measurements are gone")
    listed = trial.inside("sh", "-c", "dpkg-query --list nestcup 2>&1 || true")
    expect("\nrc" not in listed and "\nii" not in listed, listed)


def main():
    trial = Trial(pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]).resolve())
    trial.folder.mkdir(parents=True, exist_ok=True)
    for step in (set_up, install, use, manuals, shells, upgrade, restart, remove, purge):
        begin = time.monotonic()
        try:
            step(trial)
        except (AssertionError, OSError, subprocess.CalledProcessError) as fault:
            print(f"apt_test: failed: {step.__name__}: {fault}")
            return 1
        trial.seconds[step.__name__] = time.monotonic() - begin
        print(f"{step.__name__}: all is well, {trial.seconds[step.__name__]:.1f} s", flush=True)
    size = trial.newer.stat().st_size
    shutil.rmtree(trial.root)
    print(f"apt_test: {trial.newer.name} ({size} bytes): {len(trial.seconds)} steps, "
          f"{trial.schemas}, {sum(trial.seconds.values()):.0f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main())
