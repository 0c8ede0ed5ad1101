"""Probes that take no part in runs are read, stored and shown, and no run knows of them."""

import json
import os
import subprocess
import unittest

from records import check_rise
from rig import CUP, Rig, repeated_after_stalls

# The board's second column is the other vessel, which here is a bath for all the bench knows.
BATH = {"name": "bath", "role": "other", "column": 2}


class OtherProbes(unittest.TestCase):
    @repeated_after_stalls
    def test_a_run_beside_a_bath(self):
        with Rig("one-trial.toml", probes=[BATH, CUP]) as rig:
            rig.start()
            record = rig.wait_run()["record"]
            self.assertEqual([probe["name"] for probe in record["probes"]], ["cup"])
            check_rise(self, record, rig.truth()[0])
            probes = {probe["name"]: probe for probe in rig.status()["probes"]}
            self.assertEqual(list(probes), ["cup", "bath"])
            self.assertEqual(probes["bath"]["role"], "other")
            rig.daemon.end()
            self.check_store(rig, record, probes["bath"]["readings"])

    def check_store(self, rig, record, least):
        with rig.look() as store:
            (count,) = store.execute("SELECT count(*) FROM reading JOIN probe ON probe = probe.id "
                                     "WHERE name = 'bath'").fetchone()
            self.assertGreaterEqual(count, least)
        store.close()
        self.assertEqual(self.command(rig, "verify"), "")
        trace = rig.folder / "run.csv"
        self.command(rig, "export", "1", "--out", str(trace))
        head, *rows = [line for line in trace.read_text(encoding="utf-8").splitlines()
                       if not line.startswith("#")]
        self.assertEqual(head, "time_s,cup_degC")
        self.assertEqual(len(rows), record["readings"]["count"])
        again = json.loads(self.command(rig, "replay", "--json", str(trace)))
        self.assertEqual(again["corrected_rise_K"]["value"], record["corrected_rise_K"]["value"])

    def command(self, rig, name, *words):
        bench = [] if name == "replay" else ["--bench", str(rig.bench_path)]
        done = subprocess.run([os.environ["NESTCUP"], name, *bench, *words], capture_output=True,
                              encoding="utf-8")
        self.assertEqual(done.returncode, 0, done.stderr)
        return "" if name == "verify" else done.stdout


if __name__ == "__main__":
    unittest.main()
