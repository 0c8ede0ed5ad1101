"""A bench in a folder for the campaigns on the way of a finished run: store, bench file and
notebook folder, and what must hold of them whatever happened. Digests are worked out anew from what
the headers say of them (core/store/chain.hpp, core/notebook/run_entry.hpp), by Python alone.

The environment names the programs: NESTCUP and NESTCUP_CAMPAIGN_STORE.
"""

import contextlib
import hashlib
import json
import os
import pathlib
import shutil
import sqlite3
import subprocess

NESTCUP = os.environ["NESTCUP"]
MAKER = os.environ["NESTCUP_CAMPAIGN_STORE"]
BENCH = """[bench]
name = "{name}"
store = "bench.db"
[[port]]
name = "board"
device = "/dev/null"
protocol = "text"
[[probe]]
port = "board"
name = "cup"
role = "cup"
column = 1
[[notebook]]
kind = "folder"
path = "{notebook}"
charts = {charts}
"""
STORE_FILES = ("bench.db", "bench.db-wal", "bench.db-shm", "bench.db.lock")


def write_bench(folder, notebook="notebook", name="bench-4", charts=False):
    """Runs go there without charts, which take most of the time and are files like others."""
    text = BENCH.format(name=name, notebook=notebook, charts=str(charts).lower())
    (folder / "bench.toml").write_text(text, encoding="utf-8")


def made_bench(folder, runs, kinds=1, charts=False):
    """A new bench whose runs have been stored and carried nowhere."""
    folder.mkdir(exist_ok=True)
    write_bench(folder, charts=charts)
    subprocess.run([MAKER, "make", folder / "bench.db", str(runs), str(kinds)], check=True)
    return folder


def without_progress(errors):
    """Standard error without the lines that only a slow machine is told."""
    return "".join(line for line in errors.splitlines(keepends=True)
                   if not line.endswith(" still owed\n"))


def nestcup(folder, *words, env=None, user=None):
    """A call; without what it says of its progress."""
    call = subprocess.run([NESTCUP, *map(str, words), "--bench", folder / "bench.toml"],
                          capture_output=True, text=True, timeout=300, check=False, env=env,
                          user=user)
    call.stderr = without_progress(call.stderr)
    return call


def sync(folder, **how):
    return nestcup(folder, "sync", **how)


def rows(folder, question, *values):
    with contextlib.closing(sqlite3.connect(folder / "bench.db")) as store:
        return store.execute(question, values).fetchall()


def change(folder, *statements):
    with contextlib.closing(sqlite3.connect(folder / "bench.db")) as store:
        for statement, *values in statements:
            store.execute(statement, values)
        store.commit()


def copied_bench(source, target):
    """A copy in another place: the store knows its notebook by that place."""
    for name in (*STORE_FILES, "bench.toml"):
        if (source / name).exists():
            shutil.copy(source / name, target / name)
    if (source / "notebook").exists():
        shutil.copytree(source / "notebook", target / "notebook")
    change(target, ("UPDATE notebook SET name = ?", f"folder {target / 'notebook'}"))


def tree(folder):
    """Path and bytes of all there is, hidden things, too; of folders None."""
    if not folder.exists():
        return {}
    return {str(path.relative_to(folder)): None if path.is_dir() else path.read_bytes()
            for path in sorted(folder.rglob("*"))}


def is_hidden(path):
    return any(part.startswith(".") for part in pathlib.PurePath(path).parts)


def number_text(value):
    """A double as ECMA-262's Number::toString writes it, which RFC 8785 asks for."""
    if abs(value) < 2 ** 53 and value == int(value):
        return str(int(value))
    sign, digits, exponent = "-" if value < 0 else "", *repr(abs(value)).partition("e")[::2]
    whole, _, part = digits.partition(".")
    digits = (whole + part.rstrip("0")).lstrip("0")
    point = len(whole) + int(exponent or 0) - (len(whole + part.rstrip("0")) - len(digits))
    digits = digits.rstrip("0")
    if 0 < point <= 21:
        return sign + (digits[:point] + "." + digits[point:] if point < len(digits)
                       else digits.ljust(point, "0"))
    if -6 < point <= 0:
        return sign + "0." + "0" * -point + digits
    mantissa = digits[0] + ("." + digits[1:] if len(digits) > 1 else "")
    return f"{sign}{mantissa}e{'+' if point > 0 else '-'}{abs(point - 1)}"


def canonical(value):
    """RFC 8785; keys beyond the basic plane, which would be sorted otherwise, do not occur."""
    if isinstance(value, dict):
        return "{" + ",".join(f"{canonical(key)}:{canonical(value[key])}"
                              for key in sorted(value)) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(canonical, value)) + "]"
    if isinstance(value, float):
        return number_text(value)
    return json.dumps(value, ensure_ascii=False)


def sha256(text):
    return hashlib.sha256(text if isinstance(text, bytes) else text.encode()).hexdigest()


def check_chain(folder):
    """Every revision is one link, in its place, with the digests it should have; each link is owed
    to each notebook once."""
    ((book, count, last),) = rows(folder, "SELECT book, links, last_sha256 FROM chain")
    links = rows(folder, "SELECT link.number, id, link.revision, record_sha256, sha256, "
                         "record_json FROM link JOIN run ON run.number = link.run "
                         "JOIN run_record USING (run, revision) ORDER BY link.number")
    previous = ""
    for place, (number, run, revision, record_digest, digest, record) in enumerate(links, 1):
        assert number == place, f"link {number} in place {place}"
        assert sha256(canonical(json.loads(record))) == record_digest, f"record of link {number}"
        previous = sha256(canonical({"book": book, "link": number, "previous": previous,
                                     "record": record_digest, "revision": revision, "run": run}))
        assert previous == digest, f"digest of link {number}"
    assert (count, last) == (len(links), previous), "the chain's end"
    assert rows(folder, "SELECT count(*) FROM run_record") == [(count,)], "a record without a link"
    heads = rows(folder, "SELECT count(*) FROM run JOIN run_record ON run = number AND "
                         "run_record.revision = run.revision")
    assert heads == rows(folder, "SELECT count(*) FROM run"), "a run without its record"
    owed = rows(folder, "SELECT count(*) FROM owed GROUP BY notebook")
    assert all(number == (count,) for number in owed), f"{owed} owed of {count} links"
    assert rows(folder, "PRAGMA integrity_check") == [("ok",)]


def check_run_folder(files, records, book):
    """A run's folder explains itself: records, readings and digests agree with each other and with
    the store (`records`: those of the run by revision)."""
    proof = json.loads(files["proof.json"])
    record = json.loads(files["run.json"])
    assert record == records[max(records)], "run.json is not the store's record"
    assert [one["revision"] for one in proof["revisions"]] == sorted(records)
    for one in proof["revisions"]:
        stored = json.loads(files[one["file"]])
        assert stored == records[one["revision"]], one["file"]
        assert sha256(canonical(stored)) == one["record_sha256"], one["file"]
        assert one["link_sha256"] == sha256(canonical(
            {"book": book, "link": one["link"], "previous": one["previous_sha256"],
             "record": one["record_sha256"], "revision": one["revision"], "run": record["id"]}))
    assert set(proof["files"]) | {"proof.json"} == set(files), "files that the proof does not name"
    for name, digest in proof["files"].items():
        assert sha256(files[name]) == digest, name
    lines = files["readings.csv"].decode().splitlines(True)
    plain = "".join(line for line in lines if not line.startswith("#"))
    assert sha256(plain) == record["readings"]["sha256"], "readings.csv"


def check_carried(folder):
    """The notebook has everything that the store has, once, whole, and nothing else."""
    assert rows(folder, "SELECT count(*) FROM owed WHERE state <> 'carried'") == [(0,)]
    found = tree(folder / "notebook")
    assert not [path for path in found if is_hidden(path)], "left-overs"
    ((book, links, last),) = rows(folder, "SELECT book, links, last_sha256 FROM chain")
    records = {}
    for run, revision, text in rows(folder, "SELECT id, run_record.revision, record_json "
                                            "FROM run_record JOIN run ON number = run"):
        records.setdefault(run, {})[revision] = json.loads(text)
    folders = [path for path, what in found.items() if what is None]
    seen = set()
    for path in folders:
        files = {name[len(path) + 1:]: what for name, what in found.items()
                 if name.startswith(path + "/")}
        run = json.loads(files["run.json"])["id"]
        assert run not in seen, f"run {run} is there twice"
        seen.add(run)
        check_run_folder(files, records[run], book)
    assert seen == set(records), "runs are missing"
    (head,) = [what for path, what in found.items() if path.startswith("chain ")]
    head = json.loads(head)
    assert (head["book"], head["links"], head["last_sha256"]) == (book, links, last), "chain file"
    index = b"".join(what for path, what in found.items() if path.startswith("index "))
    assert all(index.count(f"[{path}]".encode()) == 1 for path in folders), "index"
