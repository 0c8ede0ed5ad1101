#!/usr/bin/env python3
"""A course's database read as a bench's store is: the same words and figures from both, the choice
of runs held against SQL written by hand, and what people get who may not look.

The environment names the programs: NESTCUP, NESTCUP_CAMPAIGN_STORE, NESTCUP_WRITE_STORE.
"""

import json
import pathlib
import signal
import tempfile
import unittest

from course import nestcup, prepared, synced
from server import Server
from shared_course import earlier_bench, members, password_env

RUNS = 5


class Book(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        for name in ("place", "home"):
            keeper = tempfile.TemporaryDirectory()
            cls.addClassCleanup(keeper.cleanup)
            setattr(cls, name, pathlib.Path(keeper.name).resolve())
        cls.server = Server(cls.place).start()
        cls.addClassCleanup(lambda: cls.server.stop(signal.SIGQUIT))
        cls.url = prepared(cls.server)
        cls.folders = [earlier_bench(cls.home / f"bench{i}", cls.url, RUNS, i, earlier=0)
                       for i in range(2)]
        for folder in cls.folders:
            synced(folder)
        cls.store = cls.folders[0] / "bench.db"
        cls.sheet = cls.home / "sheet.toml"
        ((text,),) = cls.server.sql("SELECT text FROM nestcup.sheet")
        cls.sheet.write_text(text, encoding="utf-8")

    def well(self, *words):
        call = nestcup(*words)
        self.assertEqual(call.returncode, 0, f"{words}: {call.stderr}")
        return call.stdout

    def listed(self, *words):
        lines = self.well("runs", "--json", "--from", self.url, *words).splitlines()
        return [json.loads(line)["id"] for line in lines]

    def ids(self, where, order="number"):
        return [row[0] for row in self.server.sql(
            f"SELECT id FROM nestcup.current_run WHERE {where} ORDER BY {order}")]

    def test_one_run_is_the_same_from_both(self):
        """The first bench's runs came first: their numbers are the same in the database."""
        for words in (("show", 2), ("show", 2, "--json"), ("export", 2), ("show", RUNS),
                      ("show", RUNS, "--revision", 1)):
            here = self.well(*words, "--store", self.store)
            self.assertGreater(len(here), 200)
            self.assertEqual(self.well(*words, "--from", self.url), here, words)
            self.assertEqual(self.well(*words, "--from", self.store), here, words)

    def test_figures_are_the_same_from_both(self):
        self.server.new_database("alone")
        prepared_url = self.server.url("alone")
        self.assertEqual(nestcup("database", "prepare", "--at", prepared_url).returncode, 0)
        alone = earlier_bench(self.home / "alone", prepared_url, RUNS, 0, earlier=0)
        synced(alone)
        places = (("--store", self.store), ("--from", prepared_url))
        results = [json.loads(self.well("results", "--json", "--sheet", self.sheet, *place))
                   for place in places]
        self.assertEqual(*results)
        self.assertGreater(len(json.dumps(results[0])), 200)
        pages = []
        for i, place in enumerate(places):
            page = self.home / f"page{i}" / "report.md"
            page.parent.mkdir()
            self.well("report", "--sheet", self.sheet, "--out", page, *place)
            pages.append(page.read_text(encoding="utf-8"))
        self.assertEqual(*pages)
        pooled = [json.loads(self.well("pool", "--json", *words))
                  for words in ((self.store,), ("--from", prepared_url))]
        self.assertEqual(*pooled)

    def test_choice_is_that_of_sql(self):
        every = self.ids("true")
        self.assertEqual(len(every), 2 * RUNS)
        self.assertEqual(self.listed(), every)
        self.assertEqual(self.listed("--last", 3), every[-3:])
        self.assertEqual(self.listed("--last", 99), every)
        ((title, bench),) = self.server.sql(
            "SELECT DISTINCT sheet_title, bench FROM nestcup.current_run")
        self.assertEqual(self.listed("--course", title), every)
        self.assertEqual(self.listed("--course", title.lower()), [])
        self.assertEqual(self.listed("--only", bench, "--course", title), every)
        self.assertEqual(self.listed("--only", "'; DROP TABLE nestcup.run; --"), [])
        ((middle,),) = self.server.sql(
            "SELECT to_char(started_at AT TIME ZONE 'UTC', 'YYYY-MM-DD\"T\"HH24:MI:SS\"Z\"') "
            "FROM nestcup.run ORDER BY number OFFSET 2 LIMIT 1")
        since = self.ids(f"started_at >= '{middle}'")
        before = self.ids(f"started_at < '{middle}'")
        self.assertTrue(since and before)
        self.assertEqual(self.listed("--since", middle), since)
        self.assertEqual(self.listed("--before", middle), before)
        self.assertEqual(self.listed("--since", middle, "--last", 1), since[-1:])
        day = middle[:10]
        self.assertEqual(self.listed("--since", day), self.ids(f"started_at >= '{day} 00:00Z'"))

    def test_rise_is_that_of_sql(self):
        rows = self.server.sql("SELECT id, (record::jsonb #>> '{corrected_rise_K,value}') "
                               "FROM nestcup.revision JOIN nestcup.run ON run = id "
                               "WHERE (run, revision) IN (SELECT run, max(revision) "
                               "FROM nestcup.revision GROUP BY run) ORDER BY number")
        lines = map(json.loads, self.well("runs", "--json", "--from", self.url).splitlines())
        self.assertEqual([[run["id"], run["corrected_rise_K"]["value"]] for run in lines],
                         [[run, float(rise)] for run, rise in rows])

    def test_numbers_ids_and_ends(self):
        second = self.server.sql("SELECT number, id FROM nestcup.run WHERE number_at_bench = 1 "
                                 "ORDER BY number")[1]
        for which in (second[0], second[1], second[1].upper()):
            shown = json.loads(self.well("show", which, "--json", "--from", self.url))
            self.assertEqual(shown["id"], second[1])
        call = nestcup("show", 4711, "--from", self.url)
        self.assertEqual((call.returncode, call.stdout), (66, ""))
        self.assertIn("has no run 4711", call.stderr)

    def test_wrong_calls(self):
        for words, code, said in (
                (("runs", "--from", self.url, "--store", self.store), 64, "give one of them"),
                (("runs", "--store", self.store, "--last", 2), 64, "is for databases"),
                (("runs", "--from", self.url, "--last", 0), 64, "from 1 on"),
                (("runs", "--from", self.url, "--since", "last week"), 64, "neither a date"),
                (("recompute", "--from", self.url, "--sheet", self.sheet), 64, "--sheet"),
                (("recompute", "--from", self.url, 3), 64, "argument RUN"),
                (("recompute", "--store", self.store, "--workers", 2), 64, "are for databases"),
                (("recompute", "--from", self.url, "--workers", 65), 64, "1 to 64"),
                (("verify", "--from", self.url, "--last", 3), 64, "belongs to --workers"),
                (("pool",), 64, "PLACE is missing"),
                (("runs", "--from", self.server.url("nowhere")), 78, "nowhere"),
                (("runs", "--from", "postgres://a:secret@h/d"), 78, "password")):
            call = nestcup(*words)
            self.assertEqual((call.returncode, call.stdout), (code, ""), f"{words}{call.stderr}")
            self.assertIn(said, call.stderr)
            self.assertEqual(call.stderr.count("\n"), 1, call.stderr)
            self.assertNotIn("secret", call.stderr)

    def test_rights(self):
        members(self.server)
        url = self.server.url(user="ruth")
        env = password_env(self.home, "sesame")
        listed = nestcup("runs", "--from", url, env=env)
        self.assertEqual(listed.returncode, 0, listed.stderr)
        self.assertIn("bench-4", listed.stdout)
        for words in (("recompute", "--from", url), ("verify", "--from", url, "--workers", 1)):
            call = nestcup(*words, env=env)
            self.assertEqual((call.returncode, call.stdout), (77, ""), call.stderr)
            self.assertIn("nestcup_worker", call.stderr)
        for statement in ("DELETE FROM nestcup.run", "UPDATE nestcup.revision SET record = '{}'",
                          "DELETE FROM nestcup.recomputed", "DELETE FROM nestcup.task"):
            self.assertIn("permission denied", self.server.refused(statement, "paul"))


if __name__ == "__main__":
    unittest.main()
