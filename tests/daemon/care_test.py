"""A bench that is left alone: old readings go and runs stay, copies are made while it logs, and
nestcup doctor says how it fares."""

import json
import os
import pathlib
import shutil
import sqlite3
import subprocess
import unittest

from rig import Rig, integrity, repeated_after_stalls, wait_for

NESTCUP = os.environ["NESTCUP"]
DAY_US = 86_400_000_000
PROBLEMS_OF_THE_MACHINE = ("disk", "flush", "clock", "neighbours")


def nestcup(*words):
    return subprocess.run([NESTCUP, *map(str, words)], capture_output=True, text=True, timeout=120,
                          check=False)


def days_pass(rig, days):
    """Lets the bench's time go on while its daemon is stopped."""
    store = rig.connect()
    store.execute("UPDATE session SET axis_us = axis_us + ?, wall_us = wall_us + ? "
                  "WHERE id = (SELECT max(id) FROM session)", (days * DAY_US, days * DAY_US))
    store.commit()
    store.close()


def readings_of(store):
    return store.execute("SELECT time_us, probe, temperature_degC, raw FROM reading "
                         "ORDER BY time_us, probe").fetchall()


class CareRig(Rig):
    def connect(self):
        return sqlite3.connect(self.store_path)

    def finish_a_run(self):
        self.start()
        self.wait_run()
        assert self.daemon.end()[0] == 0, self.daemon.log()

    def start_anew(self):
        """A session with readings of its own."""
        self.start_daemon()
        wait_for(lambda: self.status()["store"]["committed_readings"] > 0, "readings")

    def export(self):
        done = nestcup("export", "1", "--store", self.store_path, "--out", "-")
        assert done.returncode == 0, done.stderr
        return done.stdout

    def doctor(self):
        """@return exit code, checks by what they are about"""
        done = nestcup("doctor", "--bench", self.bench_path, "--json")
        answer = json.loads(done.stdout)
        assert answer["troubles"] == sum(check["verdict"] == "trouble"
                                         for check in answer["checks"])
        by_name = {}
        for check in answer["checks"]:
            assert check["what"] and (check["verdict"] == "ok") == (check["remedy"] is None), check
            by_name.setdefault(check["about"], []).append(check)
        return done.returncode, by_name


class Keeping(unittest.TestCase):
    @repeated_after_stalls
    def test_old_readings_go_and_runs_stay(self):
        with CareRig("one-trial.toml", after_period_s=60, keep_readings_days=1.0) as rig:
            rig.finish_a_run()
            store = rig.look()
            first, last = store.execute("SELECT first_us, last_us FROM run").fetchone()
            all_before = readings_of(store)
            store.close()
            of_run = [row for row in all_before if first <= row[0] <= last]
            self.assertGreater(len(all_before), len(of_run))
            exported = rig.export()
            days_pass(rig, 0.9)
            rig.start_anew()
            self.assertEqual(rig.daemon.end()[0], 0, rig.daemon.log())
            days_pass(rig, 0.9)
            rig.start_anew()
            wanted = len(all_before) - len(of_run)
            wait_for(lambda: rig.status()["store"]["removed_readings"] >= wanted, "less readings")
            wait_for(lambda: "readings outside runs" in rig.daemon.log(), "a line in the log")
            status = rig.status()["store"]
            self.assertEqual(status["removed_readings"], wanted)
            self.assertEqual(status["keep_readings_days"], 1.0)
            self.assertEqual(status["removal_held"], "")
            self.assertGreater(status["longest_removal_ms"], 0.0)
            self.assertRegex(
                nestcup("status", "--bench", rig.bench_path).stdout,
                rf"kept +runs for ever, readings outside runs 1 days; {wanted} removed since")
            self.assertEqual(rig.daemon.end()[0], 0, rig.daemon.log())
            store = rig.look()
            after = readings_of(store)
            self.assertEqual([row for row in after if row[0] <= all_before[-1][0]], of_run)
            self.assertGreater(len(after), len(of_run))  # both later sessions are young
            self.assertEqual(store.execute("SELECT rows FROM reading_total").fetchone(),
                             (len(after),))
            self.assertEqual(integrity(store), ["ok"])
            store.close()
            self.assertEqual(rig.export(), exported)
            verified = nestcup("verify", "--store", rig.store_path)
            self.assertEqual(verified.returncode, 0, verified.stdout + verified.stderr)

    @repeated_after_stalls
    def test_a_clock_that_jumped_removes_nothing(self):
        with CareRig("one-trial.toml", after_period_s=60, keep_readings_days=1.0) as rig:
            rig.finish_a_run()
            days_pass(rig, 4000)
            rig.start_anew()
            store = wait_for(lambda: (now := rig.status())["store"]["removal_held"]
                             and now or now["store"]["removed_readings"] and now, "a decision")
            held = store["store"]["removal_held"]
            if store["clock"]["synchronised"] is True:
                self.assertEqual(held, "")
            else:
                self.assertRegex(held, "^no readings for 4000 days before this start")
                self.assertEqual(store["store"]["removed_readings"], 0)
                self.assertEqual(rig.doctor()[1]["kept"][0]["verdict"], "note")

    def test_for_ever(self):
        with CareRig("one-trial.toml", keep_readings_days=0) as rig:
            rig.start()
            self.assertIsNone(rig.status()["store"]["keep_readings_days"])
            self.assertRegex(nestcup("status", "--bench", rig.bench_path).stdout,
                             "kept +runs and all readings for ever\n")


class Copies(unittest.TestCase):
    @repeated_after_stalls
    def test_a_copy_beside_the_daemon_is_gone_back_to(self):
        with CareRig("one-trial.toml", after_period_s=60) as rig:
            rig.start()
            rig.wait_run()
            copy = rig.folder / "copy.db"
            done = nestcup("backup", "--bench", rig.bench_path, "--out", copy, "--json")
            self.assertEqual(done.returncode, 0, done.stderr)
            facts = json.loads(done.stdout)
            self.assertEqual((facts["runs"], facts["revisions"], facts["bytes"]),
                             (1, 1, copy.stat().st_size))
            refused = nestcup("backup", "--bench", rig.bench_path, "--out", copy)
            self.assertEqual(refused.returncode, 73)
            refused = nestcup("backup", "--bench", rig.bench_path, "--compact", "--out",
                              rig.folder / "other.db")
            self.assertEqual(refused.returncode, 75, refused.stderr)
            self.assertIn("nestcupd", refused.stderr)
            self.assertFalse((rig.folder / "other.db").exists())
            more = facts["readings"] + 5
            wait_for(lambda: rig.status()["store"]["committed_readings"] > more, "more readings")
            self.assertEqual(rig.daemon.end()[0], 0, rig.daemon.log())
            # As the help of backup says.
            aside = rig.folder / "aside"
            aside.mkdir()
            for file in rig.folder.glob(rig.store_path.name + "*"):
                file.rename(aside / file.name)
            shutil.copy(copy, rig.store_path)
            verified = nestcup("verify", "--store", rig.store_path)
            self.assertEqual(verified.returncode, 0, verified.stdout + verified.stderr)
            rig.start_daemon()
            wait_for(lambda: rig.status()["store"]["committed_readings"] > 0, "readings again")
            self.assertEqual(len(rig.runs()), 1)
            self.assertEqual(rig.daemon.end()[0], 0, rig.daemon.log())
            compact = nestcup("backup", "--bench", rig.bench_path, "--compact", "--out",
                              rig.folder / "other.db", "--json")
            self.assertEqual(compact.returncode, 0, compact.stderr)
            store = rig.look()
            self.assertEqual(integrity(store), ["ok"])
            self.assertEqual(len(readings_of(store)), json.loads(compact.stdout)["readings"])
            store.close()


class Doctor(unittest.TestCase):
    def test_a_bench_in_order(self):
        with CareRig("one-trial.toml") as rig:
            rig.start()
            wait_for(lambda: rig.status()["well"], "a bench that is well")
            code, checks = rig.doctor()
            trouble = [check for group in checks.values() for check in group
                       if check["verdict"] == "trouble"]
            # What the machine of the test is like is not the bench's doing.
            self.assertEqual([check for check in trouble
                              if check["about"] not in PROBLEMS_OF_THE_MACHINE], [])
            self.assertEqual(code, 69 if trouble else 0)
            self.assertEqual(checks["daemon"][0]["what"], "runs, and all is well")
            self.assertIn("the daemon reads", checks["port board"][0]["what"])
            self.assertRegex(checks["store"][1]["what"],
                             rf"^nestcupd \(process {rig.daemon.process.pid}\) writes it$")
            for about in ("neighbours", "kept", "sqlite", "disk", "flush", "clock", "probe cup"):
                self.assertIn(about, checks)
            if rig.status()["store"]["wal_reset_race"]:
                self.assertIn("one writer", rig.daemon.log())
                self.assertEqual(checks["sqlite"][0]["verdict"], "note")

    def test_what_is_missing_is_trouble(self):
        with CareRig("one-trial.toml") as rig:
            bench = rig.bench_path.read_text(encoding="utf-8")
            secret = rig.folder / "secret"
            secret.write_text("open to all\n", encoding="utf-8")
            secret.chmod(0o644)
            rig.bench_path.write_text(bench + '[[notebook]]\nkind = "webdav"\n'
                                      'url = "https://notes.example/lab"\nuser = "bench"\n'
                                      'password_file = "secret"\n', encoding="utf-8")
            code, checks = rig.doctor()
            self.assertEqual(code, 69)
            self.assertEqual(checks["daemon"][0]["verdict"], "trouble")
            self.assertIn("no daemon answers", checks["daemon"][0]["what"])
            self.assertIn(f"there is no {rig.device}", checks["port board"][0]["what"])
            self.assertEqual(checks["store"][0]["verdict"], "note")  # not made yet
            (password,) = checks["notebook webdav https://notes.example/lab"]
            self.assertIn("chmod 600", password["what"])
            self.assertEqual(sorted(os.listdir(rig.folder)), ["bench.toml", "secret"])
            # Words for a person say the same.
            said = nestcup("doctor", "--bench", rig.bench_path)
            self.assertEqual(said.returncode, 69)
            self.assertIn("trouble  daemon: no daemon answers", said.stdout)
            self.assertRegex(said.stdout, r"bench: \d+ checks, [3-9] in trouble, \d+ to note\n$")

    def test_a_damaged_store_is_trouble(self):
        with CareRig("one-trial.toml") as rig:
            rig.start()
            wait_for(lambda: rig.status()["store"]["committed_readings"] > 3, "readings")
            self.assertEqual(rig.daemon.end()[0], 0)
            store = rig.connect()
            rows = [(2 * DAY_US + n, 1, float(n)) for n in range(20_000)]
            store.executemany("INSERT INTO reading VALUES (?, ?, ?, NULL)", rows)
            store.execute("UPDATE reading_total SET rows = rows + ?", (len(rows),))
            store.commit()
            store.close()
            content = bytearray(pathlib.Path(rig.store_path).read_bytes())
            middle = len(content) // 2
            content[middle:middle + 8192] = b"x" * 8192
            pathlib.Path(rig.store_path).write_bytes(content)
            code, checks = rig.doctor()
            self.assertEqual((code, checks["store"][0]["verdict"]), (69, "trouble"))
            self.assertIn("damaged", checks["store"][0]["what"])


if __name__ == "__main__":
    unittest.main()
