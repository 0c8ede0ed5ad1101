#!/usr/bin/env python3
"""A course's database that somebody changed by hand: columns and tables that are not there. Every
command that looks at it says so in one line with an exit code of its own, or does its work; a bench
keeps what it could not bring, and brings it once the database is whole again.

spoilt_test.py [STRIDE]: every so manieth column is taken away (default 1).
"""

import json
import pathlib
import sys
import tempfile

from course import check_carried, made_bench, nestcup, prepared, strike, sync, synced
from server import Server
from shared_course import earlier_bench

RUNS = 2
ANSWERS = {0, 1, *range(64, 79)} - {70}  # 70 would be a mistake of ours


def ways_to_spoil(server, stride):
    """SQL that takes something away, and SQL that brings it back."""
    columns = server.sql("""
        SELECT table_name, column_name FROM information_schema.columns JOIN
          information_schema.tables USING (table_schema, table_name)
        WHERE table_schema = 'nestcup' AND table_type = 'BASE TABLE'
        ORDER BY 1, ordinal_position""")
    tables = sorted({table for table, _ in columns})
    for table in tables:
        yield (f"ALTER TABLE nestcup.{table} RENAME TO {table}_gone",
               f"ALTER TABLE nestcup.{table}_gone RENAME TO {table}")
    for table, column in columns[::stride]:
        yield (f"ALTER TABLE nestcup.{table} RENAME COLUMN {column} TO {column}_gone",
               f"ALTER TABLE nestcup.{table} RENAME COLUMN {column}_gone TO {column}")


def looks(url, sheet, home):
    return (("runs", "--from", url), ("show", 1, "--from", url, "--json"),
            ("show", 2, "--from", url, "--revision", 1), ("export", 1, "--from", url),
            ("results", "--from", url, "--sheet", sheet), ("verify", "--json", url),
            ("database", "status", "--at", url), ("recompute", "--from", url, "--json"),
            ("import", "--store", home / "new.db", "--from", url))


def check_answer(how, call):
    said = f"{how}: {call.args}: {call.returncode}: {call.stdout} {call.stderr}"
    assert call.returncode in ANSWERS, said
    if call.returncode:
        assert call.stdout or len(call.stderr.splitlines()) == 1, said


def check_spoilt(server, stride, url, home):
    carried = earlier_bench(home / "carried", url, RUNS, 0, earlier=0)
    synced(carried)
    owing = made_bench(home / "owing", url, RUNS, number=1, name="bench-5")
    ((text,),) = server.sql("SELECT text FROM nestcup.sheet LIMIT 1")
    sheet = home / "sheet.toml"
    sheet.write_text(text, encoding="utf-8")
    failed = count = 0
    for spoil, mend in ways_to_spoil(server, stride):
        server.sql(spoil)
        try:
            calls = [nestcup(*words) for words in looks(url, sheet, home)]
            if calls[0].returncode:  # else it might carry all, and owe nothing more
                calls.append(sync(owing, "--json"))
        finally:
            server.sql(mend)
        for call in calls:
            check_answer(spoil, call)
        failed += any(call.returncode for call in calls)
        count += 1
    assert failed > count // 3, (failed, count)
    synced(owing)
    strike(owing, 1)
    synced(owing)
    assert json.loads(nestcup("verify", "--json", url).stdout)["problems"] == []
    check_carried(server, [carried, owing])
    print(f"{count} ways to spoil a database, {failed} of them told of")


def main():
    stride = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    with tempfile.TemporaryDirectory() as keeper, tempfile.TemporaryDirectory() as place:
        with Server(place) as server:
            check_spoilt(server, stride, prepared(server), pathlib.Path(keeper).resolve())


if __name__ == "__main__":
    main()
