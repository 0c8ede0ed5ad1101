#!/usr/bin/env python3
"""How fast owed runs go to a database: beside the same bytes by psql's copy, with none and with
many runs there, and what readings take as arrays and as single rows. Ratios hold on any machine;
rates are this one's.

benchmark.py [RUNS]: 400 by default.
"""

import pathlib
import sys
import tempfile
import time

from course import made_bench, prepared, synced
from server import Server


def timed(work):
    begun = time.monotonic()
    work()
    return time.monotonic() - begun


def single_rows(server):
    """The readings as rows with their key: bytes and seconds, beside the same as arrays."""
    ((rows,),) = server.sql("SELECT count(*) FROM nestcup.reading")
    make = ("CREATE TABLE public.{0} (LIKE nestcup.trace); ALTER TABLE public.{0} "
            "ADD PRIMARY KEY (run, probe)")
    server.sql(make.format("arrays"))
    server.sql("CREATE TABLE public.single (run uuid, probe smallint, time_us bigint, "
               "temperature_degC float8, PRIMARY KEY (run, probe, time_us))")
    arrays_s = timed(lambda: server.sql("INSERT INTO public.arrays SELECT * FROM nestcup.trace"))
    single_s = timed(lambda: server.sql("INSERT INTO public.single SELECT run, probe, time_us, "
                                        "temperature_degC FROM nestcup.reading"))
    ((arrays, single),) = server.sql("SELECT pg_total_relation_size('public.arrays'), "
                                     "pg_total_relation_size('public.single')")
    print(f"{rows} readings: as single rows {int(single) / int(arrays):.1f} times the space and "
          f"{single_s / arrays_s:.1f} times the time of arrays")


def copied(server, folder):
    """The same rows, out to files and in again by psql's copy, all in one transaction. @return s"""
    tables = ("bench", "sheet", "run", "revision", "link", "trace")
    words = []
    for table in tables:
        columns = ", ".join(name for (name,) in server.sql(
            "SELECT column_name FROM information_schema.columns WHERE table_schema = 'nestcup' AND "
            f"table_name = '{table}' AND is_generated = 'NEVER' AND is_identity = 'NO' "
            "ORDER BY ordinal_position"))
        path = f"{server.folder}/{table}.copy"
        server.sql(f"\\copy nestcup.{table} ({columns}) TO '{path}'")
        words.append(f"\\copy nestcup.{table} ({columns}) FROM '{path}'")
    server.sql("TRUNCATE nestcup.bench, nestcup.sheet CASCADE")
    script = folder / "copy.sql"
    script.write_text("BEGIN;\n" + "\n".join(words) + "\nCOMMIT;\n")
    return timed(lambda: server.call("psql", "-X", "-q", "-h", server.folder, "-p", server.port,
                                     "-U", "admin", "-d", "course", "-v", "ON_ERROR_STOP=1", "-f",
                                     script))


def main():
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    with tempfile.TemporaryDirectory() as keeper, tempfile.TemporaryDirectory() as place:
        home = pathlib.Path(keeper).resolve()
        home.chmod(0o755)
        with Server(place) as server:
            url = prepared(server)
            first = made_bench(home / "first", url, runs, kinds=2)
            second = made_bench(home / "second", url, runs, kinds=2, number=1)
            small = made_bench(home / "small", url, 1, number=2)
            start_s = timed(lambda: synced(small))
            first_s = timed(lambda: synced(first)) - start_s
            second_s = timed(lambda: synced(second)) - start_s
            print(f"{runs} runs: {runs / first_s:.0f} a second with none there, "
                  f"{second_s / first_s:.2f} of the time of that with {runs} there")
            single_rows(server)
            copy_s = copied(server, home)
            print(f"sync takes {(first_s + second_s) / copy_s:.1f} times as long as psql's copy of "
                  f"the same rows in one transaction ({copy_s:.2f} s)")


if __name__ == "__main__":
    main()
