"""What the runs come to, over the control socket: results, report, chart, history, and results that
are hidden."""

import json
import os
import signal
import subprocess
import unittest
import xml.etree.ElementTree

from rig import CUP, Rig, UnixConnection, repeated_after_stalls

ADDED = {"name": "added", "role": "added", "column": 2}
SHEET = """[sheet]
title = "A day"
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 50.0 }
added = { substance = "water", volume_mL = 50.0 }
"""


def raw(rig, path):
    """@return status code, content type, body"""
    connection = UnixConnection(rig.socket_path)
    try:
        connection.request("GET", path)
        response = connection.getresponse()
        return response.status, response.headers["Content-Type"], response.read().decode("utf-8")
    finally:
        connection.close()


class Results(unittest.TestCase):
    def nestcup(self, rig, *words):
        done = subprocess.run([os.environ["NESTCUP"], *words, "--bench", str(rig.bench_path)],
                              capture_output=True, encoding="utf-8", timeout=120, check=False)
        self.assertEqual(done.returncode, 0, done.stderr)
        return done.stdout

    def check_results(self, rig):
        """The same as the commands say of the same store."""
        code, answer = rig.ask("GET", "/v1/results")
        self.assertEqual(code, 200, answer)
        self.assertEqual(answer, json.loads(self.nestcup(rig, "results", "--json")))
        self.assertEqual(answer["trials"][0]["runs"], 1)
        self.assertIsNotNone(answer["trials"][0]["calorimeter_constant_J_per_K"]["value"])

    def check_report(self, rig):
        for query, options in (("", ()), ("?language=de", ("--language", "de")),
                               ("?without_results=true", ("--without-results",))):
            page = rig.folder / "page.html"
            self.nestcup(rig, "report", "--replace", "--out", str(page), *options)
            code, kind, body = raw(rig, "/v1/report" + query)
            self.assertEqual((code, kind), (200, "text/html; charset=utf-8"), body)
            self.assertEqual(body, page.read_text(encoding="utf-8"))
        for query in ("?language=xx", "?without_results=perhaps"):
            self.assertEqual(raw(rig, "/v1/report" + query)[0], 400)

    def check_chart(self, rig):
        code, kind, body = raw(rig, "/v1/runs/1/chart.svg")
        self.assertEqual((code, kind), (200, "image/svg+xml"), body)
        self.assertEqual(xml.etree.ElementTree.fromstring(body).tag,
                         "{http://www.w3.org/2000/svg}svg")
        german = raw(rig, "/v1/runs/1/chart.svg?language=de")[2]
        self.assertTrue("Lauf: 1" in german)  # no page of figures where it is not
        self.assertEqual(raw(rig, "/v1/runs/7/chart.svg")[0], 404)
        self.assertEqual(raw(rig, "/v1/runs/1/chart.svg?language=xx")[0], 400)

    def check_history(self, rig):
        before = raw(rig, "/v1/report")
        self.assertTrue(raw(rig, "/v1/report") == before)
        self.assertEqual(rig.ask("POST", "/v1/runs/1/strike", {"reason": "spilt"})[0], 200)
        self.assertTrue("spilt" in raw(rig, "/v1/report")[2])
        self.assertEqual(rig.ask("POST", "/v1/runs/1/restore", {"reason": "not spilt"})[0], 200)
        code, answer = rig.ask("GET", "/v1/runs/1/history")
        self.assertEqual(code, 200, answer)
        told = [(one["revision"], one["action"], one["reason"]) for one in answer["revisions"]]
        self.assertEqual(told, [(1, "finished", ""), (2, "struck", "spilt"),
                                (3, "restored", "not spilt")])
        self.assertEqual(answer["revisions"][0]["who"], "bench")
        self.assertTrue(answer["revisions"][1]["who"])
        self.assertRegex(answer["revisions"][1]["at"], r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$")
        self.assertEqual(rig.ask("GET", "/v1/runs/7/history")[0], 404)

    def check_hidden(self, rig):
        """Kept over a crash; whoever sits at the machine still sees everything."""
        for body in ({}, {"hidden": 1}, {"hidden": "yes"}):
            self.assertEqual(rig.ask("POST", "/v1/results/hidden", body)[0], 400)
        self.assertIs(rig.status()["results_hidden"], False)
        self.nestcup(rig, "results", "--hide")
        self.assertIs(rig.status()["results_hidden"], True)
        rig.daemon.end(signal.SIGKILL)
        rig.start_daemon()
        self.assertIs(rig.status()["results_hidden"], True)
        code, run = rig.ask("GET", "/v1/runs/1")
        self.assertEqual(code, 200, run)
        self.assertIsNotNone(run["record"]["corrected_rise_K"]["value"])
        self.assertEqual(raw(rig, "/v1/report")[0], 200)
        self.assertNotIn("hidden", rig.ask("GET", "/v1/results")[1])
        self.nestcup(rig, "results", "--show")
        rig.daemon.end(signal.SIGKILL)
        rig.start_daemon()
        self.assertIs(rig.status()["results_hidden"], False)

    @repeated_after_stalls
    def test_what_a_run_comes_to(self):
        with Rig("one-trial.toml", probes=[CUP, ADDED], after_period_s=60,
                 sheet="day.toml") as rig:
            (rig.folder / "day.toml").write_text(SHEET, encoding="utf-8")
            rig.start()
            self.assertEqual(rig.ask("GET", "/v1/results")[1]["trials"][0]["runs"], 0)
            rig.wait_run()
            self.check_results(rig)
            self.check_report(rig)
            self.check_chart(rig)
            self.check_history(rig)
            self.check_hidden(rig)

    def test_a_bench_without_a_sheet_has_no_results(self):
        with Rig("one-trial.toml") as rig:
            rig.start_daemon()
            for path in ("/v1/results", "/v1/report"):
                code, kind, body = raw(rig, path)
                self.assertEqual((code, kind), (404, "application/json"), body)
                self.assertIn("no sheet", body)


if __name__ == "__main__":
    unittest.main()
