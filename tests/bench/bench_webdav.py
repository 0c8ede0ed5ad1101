"""bench_webdav.py [--charts] [--growth] [RUNS [LATER]]: how fast finished runs are carried to
WebDAV servers of four makes, beside a folder, and beside the same files sent by curl (one process,
one connection, each file put once and not looked at) and by rclone (one file at a time). Then 100
runs more, with none and with LATER runs there, in turn, three times each, beside curl, which shows
how much of a growth is the server's own; and how many requests that takes. --growth does only that.
--charts draws each run's charts, as is usual, which takes most of the time. Fails where anything
did not arrive; time is not judged.
"""

import contextlib
import os
import pathlib
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "notebook" / "webdav"))

from dav_bench import Source, rows, shown, sync, tree, write_notebook  # noqa: E402
from bench_folder import change, is_hidden, made_bench  # noqa: E402
from fault_proxy import FaultProxy  # noqa: E402
from servers import MAKES, Server  # noqa: E402

MORE = 100
TIMES = 3
CHARTS = f"charts = {str('--charts' in sys.argv).lower()}"


def timed(work):
    begun = time.monotonic()
    work()
    return time.monotonic() - begun


def carried(folder, count):
    done = sync(folder)
    assert done.returncode == 0, done.stderr
    assert rows(folder, "SELECT count(*) FROM owed WHERE state = 'carried'") == [(count,)]


def say(what, runs, took_s, note=""):
    print(f"{what:<34}{took_s:8.2f} s {runs / took_s:8.1f} runs/s {note}", flush=True)


def by_curl(source, url):
    """All files over one connection, into collections that are made before."""
    folders = [path for path in sorted(source.rglob("*")) if path.is_dir()]
    files = [path for path in sorted(source.rglob("*")) if path.is_file()]
    place = [path.relative_to(source).as_posix().replace(" ", "%20") for path in folders + files]
    lines = []
    for path, name in zip(folders + files, place):
        lines += [f'url = "{url}/{name}{"/" if path.is_dir() else ""}"', "silent", "fail",
                  'output = "/dev/null"',
                  'request = "MKCOL"' if path.is_dir() else f'upload-file = "{path}"', "next"]
    subprocess.run(["curl", "-s", "-o", os.devnull, "-X", "MKCOL", url + "/"], check=True)
    subprocess.run(["curl", "--config", "-"], input="\n".join(lines[:-1]), text=True, check=True)


def by_rclone(source, url):
    subprocess.run(["rclone", "copy", source, ":webdav:lab", "--webdav-url",
                    url.removesuffix("/lab"), "--transfers", "1", "--checkers", "1", "--config",
                    os.devnull], check=True, capture_output=True)


def beside(make, source, runs, home):
    """The same files sent by others; they must arrive."""
    expected = {path: data for path, data in tree(source).items() if not is_hidden(path)}
    took = []
    for send in (by_curl, by_rclone):
        with Server(make) as server:
            took.append(timed(lambda: send(source, server.url)))
            assert shown(server) == expected, send.__name__
    folder = pathlib.Path(tempfile.mkdtemp(dir=home))
    Source.copy_store(source.parent, folder)  # another store would have another chain
    with Server(make) as server:
        write_notebook(folder, server.url, CHARTS)
        own_s = timed(lambda: carried(folder, runs))
        assert shown(server) == expected, "what was carried is not what the folder has"
    say(f"{make}: nestcup sync", runs, own_s)
    for what, other_s in zip(("curl", "rclone"), took):
        say(f"{make}: the same files by {what}", runs, other_s,
            f"(nestcup takes {own_s / other_s:.2f} times that)")


def with_there(make, there, home, proxied=False):
    """@return s per run of MORE runs, with so many there already; through a proxy: requests"""
    folder = pathlib.Path(tempfile.mkdtemp(dir=home))
    made_bench(folder, there + MORE)
    with Server(make) as server, \
            FaultProxy(server.port) if proxied else contextlib.nullcontext() as proxy:
        write_notebook(folder, proxy.url if proxy else server.url, CHARTS)
        if there:  # the later ones are called carried meanwhile, so that they wait
            server.stop()
            assert sync(folder).returncode == 75  # owes all from now on
            later = "UPDATE owed SET state = ? WHERE link > ?"
            change(folder, (later, "carried", there))
            (server.root / "lab").mkdir()
            (server.root / "lab").chmod(0o777)
            server.start()
            carried(folder, there + MORE)
            assert len(list(server.root.glob("lab/*/proof.json"))) == there
            change(folder, (later, "owed", there))
        asked = len(proxy.seen) if proxy else 0
        took_s = timed(lambda: carried(folder, there + MORE))
        assert len(list(server.root.glob("lab/*/proof.json"))) == there + MORE
        return (len(proxy.seen) - asked if proxy else took_s) / MORE


def curl_with_there(make, there, source, home):
    """The same by curl. @return s per run"""
    with Server(make) as server:
        lab = server.root / "lab"
        lab.mkdir()
        one = next(path for path in source.iterdir() if path.is_dir() and not is_hidden(path.name))
        for number in range(there):
            shutil.copytree(one, lab / f"there before {number}")
        for path in (lab, *lab.iterdir()):
            path.chmod(0o777)
        return timed(lambda: by_curl(source, server.url)) / MORE


def growth(make, later, source, home):
    """Each in turn, so that what else goes on upon the machine meets both alike."""
    ways = {"nestcup sync": lambda there: with_there(make, there, home),
            "curl": lambda there: curl_with_there(make, there, source, home)}
    for way, work in ways.items():
        took_ms = {0: [], later: []}
        for _ in range(TIMES):
            for there, times in took_ms.items():
                times.append(1e3 * work(there))
        first_ms, last_ms = map(statistics.median, took_ms.values())
        print(f"{make}, {way}: {first_ms:.1f} ms a run with none there, {last_ms:.1f} ms with "
              f"{later} ({last_ms / first_ms:.2f} times; medians of {TIMES}, of "
              f"{min(took_ms[0]):.1f} to {max(took_ms[0]):.1f} and {min(took_ms[later]):.1f} to "
              f"{max(took_ms[later]):.1f} ms)", flush=True)
    asked = [with_there(make, there, home, proxied=True) for there in (0, later)]
    print(f"{make}, nestcup sync: {asked[0]:.2f} requests a run with none there, {asked[1]:.2f} "
          f"with {later}", flush=True)


def main():
    counts = [int(word) for word in sys.argv[1:] if not word.startswith("--")]
    runs = counts[0] if counts else 200
    later = counts[1] if len(counts) > 1 else runs
    with tempfile.TemporaryDirectory() as name:
        home = pathlib.Path(name)
        if "--growth" not in sys.argv:
            source = home / "source"
            made_bench(source, runs, charts="true" in CHARTS)
            say("folder: nestcup sync", runs, timed(lambda: carried(source, runs)))
            files = [data for data in tree(source / "notebook").values() if data is not None]
            print(f"{len(files)} files, {sum(map(len, files)) / 1e6:.1f} MB", flush=True)
            for make in MAKES:
                beside(make, source / "notebook", runs, home)
        few = home / "few"
        made_bench(few, MORE, charts="true" in CHARTS)
        carried(few, MORE)
        for make in MAKES:
            growth(make, later, few / "notebook", home)


if __name__ == "__main__":
    main()
