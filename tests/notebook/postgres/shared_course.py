"""Benches with records by an earlier analysis in one database, for tests of work over many runs."""

import os
import pathlib
import subprocess

from course import write_bench

WRITE_STORE = os.environ["NESTCUP_WRITE_STORE"]


def earlier_bench(folder, url, runs, number, earlier=1):
    """A bench whose records are by an analysis so many versions older; its last run is struck
    out."""
    folder.mkdir()
    write_bench(folder, url)
    subprocess.run([WRITE_STORE, folder / "bench.db", str(runs), str(earlier), str(number)],
                   check=True)
    return folder


def members(server):
    """A reader (ruth) and a worker (paul), password "sesame"."""
    server.sql("CREATE ROLE ruth LOGIN PASSWORD 'sesame'; GRANT nestcup_reader TO ruth; "
               "CREATE ROLE paul LOGIN PASSWORD 'sesame'; GRANT nestcup_worker TO paul")


def password_env(folder, password):
    """libpq's own file of passwords, for everything."""
    path = pathlib.Path(folder) / "passwords"
    path.write_text(f"*:*:*:*:{password}\n", encoding="utf-8")
    path.chmod(0o600)
    return {"PGPASSFILE": str(path)}
